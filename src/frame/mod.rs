//! frame
