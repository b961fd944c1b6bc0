//! The page in a real browser; one module a subject.

mod beside;
mod cast;
mod check;
mod form;
mod import;
mod lamps;
mod large;
mod limits;
mod mirror;
mod pace;
mod page;
mod probe;
mod reading;
mod review;
mod search;
mod stripe_files;
mod stripes;
mod studio;
mod trace;
mod trims;
mod zoom;
