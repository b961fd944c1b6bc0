//! How long work reports and how it is told to stop.

/// Receives progress of long work and may cancel it.
pub trait Progress {
    /// Reports `done` of `total` steps of `stage`. Called often; keep it cheap.
    fn report(&mut self, stage: Stage, done: usize, total: usize);

    /// True when the caller no longer wants the result.
    fn cancelled(&self) -> bool {
        false
    }
}

/// The stages of an import, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Bytes to model.
    Read,
    /// Faces to triangles.
    Tessellate,
    /// Boundaries to joins.
    Joins,
    /// Joins and faces to findings.
    Measure,
    /// Lamps to stripes.
    Flow,
}

impl Stage {
    /// The stable lower-case name used in messages between threads.
    pub fn name(self) -> &'static str {
        match self {
            Stage::Read => "read",
            Stage::Tessellate => "tessellate",
            Stage::Joins => "joins",
            Stage::Measure => "measure",
            Stage::Flow => "flow",
        }
    }
}

/// Ignores every report and never cancels.
#[derive(Debug, Default, Clone, Copy)]
pub struct Silent;

impl Progress for Silent {
    fn report(&mut self, _: Stage, _: usize, _: usize) {}
}
