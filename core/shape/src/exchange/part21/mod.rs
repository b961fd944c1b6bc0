//! The text form of STEP (ISO 10303-21): bytes to entities. Knows nothing of what the entities mean.

mod alphabet;
mod file;
mod header;
mod index;
mod instance;
mod lexer;
mod scan;
mod text;
mod value;

pub(super) use file::Part21;
pub(super) use instance::{Fields, Instance, number, reference};
pub(super) use text::encode;
pub(super) use value::Value;
