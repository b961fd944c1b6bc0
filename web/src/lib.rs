//! The WebAssembly face of Rakelight: what the worker and the page call.

pub mod bvh;
pub mod bytes;
pub mod camera;
pub mod joins_packet;
pub mod packet;
