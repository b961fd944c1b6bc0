//! Rakelight's portable geometry core.
#![forbid(unsafe_code)]
