//! The WebAssembly face of Rakelight: what the worker and the page call.

pub mod bvh;
pub mod bytes;
pub mod camera;
pub mod colour;
pub mod joins_packet;
pub mod packet;
pub mod pick;
pub mod scene;
pub mod surface_record;
