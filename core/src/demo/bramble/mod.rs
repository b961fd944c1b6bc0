//! Bramble, the demo model: the nose cowl of a cargo trike that exists nowhere else.
//!
//! A hood between two ridges, cheeks below them, a lamp pocket in each cheek, wheel arches with a rolled lip, and a
//! service hatch. Each half is cut from two master splines, so that its patches meet to the third order wherever no
//! fault has been put. Revision A carries faults of known size, revision B is A after a round of mending. The list
//! of [`seeded`] faults is an answer key for tests; it is demo data, never proof of accuracy.

mod answer;
mod fit;
mod form_seed;
mod half;
mod hatch;
mod lip;
mod master;
pub(super) mod patch;
mod pocket;
#[cfg(test)]
mod quality;
mod seed;
pub(super) mod sew;
mod shape;
pub(super) mod sheet;

pub use answer::{SeededFault, seeded};

use crate::exchange::write;
use crate::model::Model;

/// A state of the demo model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Revision {
    /// As first handed over, with all seeded faults.
    A,
    /// After mending: most faults gone, one new.
    B,
    /// With no fault at all.
    Sound,
}

/// The model of a revision, both halves, mm. Deterministic.
pub fn model(revision: Revision) -> Model {
    let (right, left) = answer::faults(revision);
    let mut sheets = half::half(&right, left.split, "right").sheets;
    let other = half::half(&left, right.split, "left").sheets;
    sheets.extend(other.iter().map(|s| s.mirrored(s.name.clone())));
    sew::model("Bramble nose cowl", &sheets)
}

/// The revision as a STEP file (AP242), always the same bytes.
pub fn step(revision: Revision) -> String {
    let file_name = match revision {
        Revision::A => "bramble-a.step",
        Revision::B => "bramble-b.step",
        Revision::Sound => "bramble.step",
    };
    write::step(&model(revision), &write::StepOptions { file_name: file_name.into(), ..write::StepOptions::default() }).text
}
