//! The core against figures that others computed; one module a subject.

mod areas;
mod budget;
mod damaged;
mod joins;
mod layers;
