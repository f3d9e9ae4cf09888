//! frame_file
