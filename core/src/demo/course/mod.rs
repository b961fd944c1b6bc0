//! Models for a course on joins and control rows: one idea each, of sizes known from how they are built.
//!
//! All are parts of one dome, z = h(x) + g(y), 180 mm long and 120 mm wide. Four pairs of patches meet over x = 0 and
//! part there in one order of h alone; two patches have the same border, one of them in rows as even as can be, the
//! other with its rows pushed to and fro.

mod dome;
mod pair;
mod rows;
#[cfg(test)]
mod tests;

use super::bramble::sew;
use super::bramble::sheet::Sheet;
use crate::exchange::write;
use crate::joins::Order;
use crate::model::Model;

/// One model of the course.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece {
    /// Two patches whose join reaches this order and breaks in the next; of G3, in the fourth.
    Pair(Order),
    /// One patch with even rows.
    Good,
    /// The same patch in more rows, uneven and to and fro: its border and all that one sees without lamps is the same.
    Poor,
}

impl Piece {
    /// All of them, in the order of a course.
    pub const ALL: [Piece; 6] =
        [Piece::Pair(Order::G0), Piece::Pair(Order::G1), Piece::Pair(Order::G2), Piece::Pair(Order::G3), Piece::Good, Piece::Poor];

    /// Name of its file.
    pub fn file_name(self) -> String {
        match self {
            Piece::Pair(order) => format!("join-{}.step", order.text()),
            Piece::Good => "patch-good.step".into(),
            Piece::Poor => "patch-poor.step".into(),
        }
    }

    /// The model, mm. Deterministic.
    pub fn model(self) -> Model {
        let (name, patches) = match self {
            Piece::Pair(Order::G0) => ("Pair with a kink", pair::patches(Order::G0)),
            Piece::Pair(Order::G1) => ("Pair with a curvature break", pair::patches(Order::G1)),
            Piece::Pair(Order::G2) => ("Pair with a break of the curvature slope", pair::patches(Order::G2)),
            Piece::Pair(Order::G3) => ("Pair that flows", pair::patches(Order::G3)),
            Piece::Good => ("Patch with even rows", vec![("patch", rows::good())]),
            Piece::Poor => ("Patch with uneven rows", vec![("patch", rows::poor())]),
        };
        let sheets: Vec<Sheet> = patches.into_iter().map(|(name, surface)| Sheet::whole(name.into(), "course", surface, true)).collect();
        sew::model(name, &sheets)
    }

    /// The model as a STEP file (AP242), always the same bytes.
    pub fn step(self) -> String {
        write::step(&self.model(), &write::StepOptions { file_name: self.file_name(), ..write::StepOptions::default() }).text
    }
}
