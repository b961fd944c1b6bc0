//! The WebAssembly face of Rakelight: what the worker and the page call.

pub mod bounds;
pub mod bvh;
pub mod bytes;
pub mod camera;
pub mod colour;
pub mod facing;
pub mod flight;
pub mod form_at;
pub mod form_colour;
pub mod joins_packet;
pub mod lamps;
pub mod mirror_view;
pub mod near;
pub mod overlook;
pub mod packet;
pub mod pick;
pub mod pick_line;
pub mod rig_handles;
pub mod scene;
pub mod scene_map;
pub mod session;
pub mod surface_record;
pub mod viewer;
