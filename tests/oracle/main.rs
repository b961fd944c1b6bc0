//! The core against figures that others computed; one module a subject.

mod areas;
mod bramble;
mod budget;
mod check;
mod damaged;
mod exploded;
mod joins;
mod layers;
mod meshes;
