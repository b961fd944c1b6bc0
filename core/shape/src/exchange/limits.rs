//! What a file may make a reader take, drawn down before memory is taken.

use super::report::{Fault, Reason};
use crate::model::Source;

/// Upper bounds on what reading one file may cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Bytes of the file.
    pub bytes: usize,
    /// Bytes that a packed file may unpack to.
    pub unpacked: usize,
    /// How many times its packed size a file may unpack to. Text of models packs by 4 to 30. Smaller: dull but sound files
    /// are refused; larger: a small hostile file takes more memory. Deflate itself ends at about 1030.
    pub ratio: usize,
    /// Entities in the file. Smaller: large assemblies are refused; larger: the index of a hostile file grows.
    pub entities: usize,
    /// Values in one entity. Smaller: large control nets are refused; larger: one entity may take much memory.
    pub values: usize,
    /// How deep lists, references and assemblies may nest. Larger costs stack, which wasm has little of.
    pub depth: usize,
    /// Control points of all curves and surfaces, each copy counted.
    pub points: usize,
    /// Placed faces and edges; assemblies multiply them, so a small file can ask for many.
    pub placed: usize,
    /// Things left out that are listed one by one. Larger: a file of nothing but broken faces takes much memory.
    pub unread: usize,
    /// Remarks kept in the report. The rest is counted only.
    pub remarks: usize,
    /// Read what the file marks as invisible too.
    pub hidden: bool,
    /// Millimetres to take for the file's unit of length instead of what the file states; positive and finite.
    pub unit: Option<f64>,
}

impl Limits {
    /// Millimetres in one unit of length that the file states as `stated` mm.
    pub(super) fn in_mm(&self, stated: f64) -> f64 {
        self.unit.filter(|mm| *mm > 0.0 && mm.is_finite()).unwrap_or(stated)
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 1 << 29,
            unpacked: 1 << 29,
            ratio: 200,
            entities: 20_000_000,
            values: 8_000_000,
            depth: 48,
            points: 20_000_000,
            placed: 4_000_000,
            unread: 20_000,
            remarks: 500,
            hidden: false,
            unit: None,
        }
    }
}

/// What is left of the limits.
#[derive(Debug)]
pub(super) struct Budget {
    points: usize,
    placed: usize,
}

impl Budget {
    pub(super) fn new(limits: &Limits) -> Self {
        Self { points: limits.points, placed: limits.placed }
    }

    /// Takes `n` control points for the entity at `at`.
    pub(super) fn points(&mut self, n: usize, at: Source) -> Result<(), Fault> {
        self.points = draw(self.points, n, at, "control points")?;
        Ok(())
    }

    /// Takes `n` placed faces, edges or instances.
    pub(super) fn placed(&mut self, n: usize, at: Source) -> Result<(), Fault> {
        self.placed = draw(self.placed, n, at, "placed faces and edges")?;
        Ok(())
    }
}

fn draw(left: usize, n: usize, at: Source, what: &'static str) -> Result<usize, Fault> {
    left.checked_sub(n).ok_or_else(|| Fault::new(at, "", Reason::Limit(what)))
}
