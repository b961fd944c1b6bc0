//! Rakelight's portable geometry core: it reads freeform surface models, evaluates them and measures
//! their quality. No browser, no clock, no threads, no unsafe code.
//!
//! # Conventions, stated once
//! - Lengths are millimetres, angles radians, curvatures 1/mm; outputs that use degrees say so.
//! - A surface S(u, v) has the normal direction Su × Sv. A face whose `same_sense` is false turns it round.
//! - Normal curvature in a direction is positive where the section bends towards the normal
//!   (a sphere with its normal outward has −1/r).
//! - Loops keep the face on their left when seen against the face's normal.
//! - The same bytes give the same result on every machine: transcendental functions come from
//!   [`math::real`], and no hash-map order reaches a result.
//!
//! # Layers
//! Lower lines may use higher ones only: `math`, `progress`, `highlight`, `nurbs`, `geometry`, `model`, `exchange`,
//! `tessellate`, `layout`, `joins`, `flow`, `section`, `reference`, `fillet`, `gap`, `trial`, `finding`, `measure`, `review`,
//! `remedy`, `demo`. Compiled for speed, in packages of their own: `math` and `nurbs` (`numeric/`); `progress`, `geometry`, `model`,
//! `exchange` and `tessellate` (`shape/`).
#![forbid(unsafe_code)]

pub mod demo;
pub mod fillet;
pub mod finding;
pub mod flow;
pub mod gap;
pub mod highlight;
pub mod joins;
pub mod layout;
pub mod measure;
pub mod reference;
pub mod remedy;
pub mod review;
pub mod section;
pub mod trial;

pub use rakelight_numeric::{math, nurbs};
pub use rakelight_shape::{exchange, geometry, model, progress, tessellate};
