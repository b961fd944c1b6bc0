//! The native command: builds, serves, checks and packs.
fn main() {}
