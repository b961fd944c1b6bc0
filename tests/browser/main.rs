//! The page in a real browser; one module a subject.

mod page;
mod stripes;
