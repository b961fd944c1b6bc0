//! An edge of a panel that something can face across a gap.

use crate::geometry::TrimPoint;
use crate::joins::{Sheets, SideRef};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;

/// What a panel's edge is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BrinkKind {
    /// The outline of the sheet: no rounding is there to be measured.
    Bare,
    /// The surface falls away at an angle: a flange without a rounding.
    Sharp,
    /// The surface rolls over.
    Rounded,
}

impl BrinkKind {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            BrinkKind::Bare => "bare",
            BrinkKind::Sharp => "sharp",
            BrinkKind::Rounded => "rounded",
        }
    }
}

/// A place on an edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    /// Share of the trim.
    pub share: f64,
    /// On the panel's own border, mm.
    pub point: Point3,
    /// Unit, away from the panel in its tangent plane.
    pub out: Vec3,
    /// Unit normal of the panel on the side that is looked at.
    pub normal: Vec3,
}

/// One piece of an edge: along one trim of one panel.
#[derive(Debug, Clone)]
pub(super) struct Brink {
    pub kind: BrinkKind,
    pub panel: FaceId,
    /// The trim on the panel.
    pub side: SideRef,
    /// Least and greatest share of it.
    pub over: (f64, f64),
    /// The trim on the face behind the edge, and the join there.
    pub behind: Option<SideRef>,
    /// What it belongs to: the skin, or the panel picked.
    pub group: usize,
    /// +1 where the side looked at is that of Su × Sv, else −1.
    pub sign: f64,
    /// How far the edge reaches out over the panel's border, mm: the rounding's.
    pub reach: f64,
    /// About its length, mm.
    pub length: f64,
}

impl Brink {
    /// The place at a share; None where the panel has no tangent plane.
    pub fn spot(&self, sheets: &Sheets<'_>, share: f64) -> Option<Spot> {
        let border = sheets.rim(self.side)?.border(share);
        Some(Spot { share, point: border.point(), out: -border.conormal()?, normal: border.normal()? * self.sign })
    }

    /// Direction in which the edge runs with the panel on its left, seen from the side looked at.
    pub fn along(spot: &Spot) -> Vec3 {
        spot.normal.cross(spot.out)
    }
}

/// Share at which a trim crosses the plane through `middle` square to unit `along`, from a share nearby and held to `over`; None
/// where it does not.
pub(super) fn crossing(
    sheets: &Sheets<'_>,
    side: SideRef,
    over: (f64, f64),
    seed: f64,
    (middle, along): (Point3, Vec3),
) -> Option<TrimPoint> {
    let rim = sheets.rim(side)?;
    let mut share = seed.clamp(over.0, over.1);
    for _ in 0..CROSSING_STEPS {
        let here = rim.side.at(rim.surface, share);
        let (off, speed) = ((here.point - middle).dot(along), here.tangent.dot(along));
        if off.abs() <= ON_PLANE {
            return Some(here);
        }
        let next = (share - off / speed).clamp(over.0, over.1);
        if !next.is_finite() || next == share {
            return None;
        }
        share = next;
    }
    None
}

/// Newton steps to a plane; a seed a few millimetres off needs four.
const CROSSING_STEPS: usize = 25;

/// Distance from a plane that counts as on it, mm. Larger: seen in widths; smaller: rounding is chased far from the origin.
pub(super) const ON_PLANE: f64 = 1e-9;
