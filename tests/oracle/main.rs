//! The core against figures that others computed; one module a subject.

mod areas;
mod boxes;
mod bramble;
mod budget;
mod centre;
mod check;
mod damaged;
mod exploded;
mod fillets;
mod fits;
mod hostile;
mod joins;
mod joins_by_name;
mod kernel;
mod layers;
mod layout;
mod meshes;
mod precise;
mod reference;
mod remedies;
mod report;
mod revision;
mod round_trip;
mod teapot;
mod trials;
mod trims;

/// Counts what each test's thread asks for, where a test bounds it.
#[global_allocator]
static MEMORY: rakelight_tests::memory::Counting = rakelight_tests::memory::Counting;
