//! Truth from outside: each check names its source.

mod beams;
