//! `check` at the command line.
