//! The page in a real browser; one module a subject.

mod beside;
mod cast;
mod centre;
mod check;
mod form;
mod import;
mod lamps;
mod large;
mod layout;
mod limits;
mod lines;
mod making;
mod mirror;
mod pace;
mod page;
mod probe;
mod reading;
mod review;
mod search;
mod sections;
mod stripe_files;
mod stripes;
mod studio;
mod trace;
mod trims;
mod zoom;
