//! The page in a real browser; one module a subject.

mod beside;
mod check;
mod form;
mod import;
mod lamps;
mod large;
mod page;
mod reading;
mod review;
mod stripe_files;
mod stripes;
mod trace;
