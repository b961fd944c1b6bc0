//! What the core's loops are made of: points and small numeric tools, and splines. A package of its own, since it is compiled for speed
//! where the rest of the module is compiled for size. Conventions: the core's front page.
#![forbid(unsafe_code)]

pub mod math;
pub mod nurbs;
