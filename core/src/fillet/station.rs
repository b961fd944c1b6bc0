//! What a section of a fillet shows: radius, setbacks, opening, lead-in.

use super::across::place;
use super::blend::FaceOf;
use super::cut::Cut;
use super::supports::{Support, round, tangents_meet};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point2, Point3, Vec3, real};
use crate::model::FaceId;
use crate::section::Plane;

/// Openings of the theoretical edge between which it means something, degrees (measures §6): beyond, the faces beside are one, or
/// run beside each other.
const OPENINGS: (f64, f64) = (10.0, 170.0);

/// One section of a fillet, square to its spine.
#[derive(Debug, Clone, PartialEq)]
pub struct FilletStation {
    /// Arc length of the spine from the fillet's start, mm.
    pub along: f64,
    /// The fillet's face here.
    pub face: FaceId,
    /// Point of the spine: half way between the touching points.
    pub spine: Point3,
    /// Unit direction of the spine, the section's normal.
    pub direction: Vec3,
    /// Where the fillet touches the faces beside it: TA, TB.
    pub touch: [Point3; 2],
    /// The faces beside it.
    pub beside: [FaceId; 2],
    /// The joins it touches them along.
    pub rails: [usize; 2],
    /// Where the tangent lines of the faces beside it meet: X_t.
    pub tangents: Option<Point3>,
    /// The theoretical edge, where these faces meet, run on: X_e; and what is measured from it.
    pub setting: Option<Setting>,
    /// Smallest radius of the section, mm.
    pub radius: f64,
    /// Where it is that small.
    pub tightest: Point3,
    /// Parameters there, on the fillet's face.
    pub uv: Point2,
    /// Parameters half way along the section.
    pub middle: Point2,
    /// Turn of the section, degrees.
    pub turn: f64,
    /// True where the fillet is on the outside of the bend, seen from the skin's outward side.
    pub convex: bool,
    /// Arc length from either touching point to where the curvature has nine tenths of its peak, mm.
    pub lead: [f64; 2],
    /// The section, from one touching point to the other, mm.
    pub line: Vec<Point3>,
}

/// How a fillet lies to its theoretical edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The edge: X_e.
    pub edge: Point3,
    /// Distances of the touching points from the edge, mm.
    pub setbacks: [f64; 2],
    /// Interior angle at the edge, degrees.
    pub opening: f64,
    /// Radius of the circle with equal setbacks of the same mean, mm.
    pub equal: f64,
}

impl Setting {
    /// Smaller setback over the larger one, 1 at best.
    pub fn balance(&self) -> f64 {
        let [a, b] = self.setbacks;
        a.min(b) / a.max(b)
    }
}

impl FilletStation {
    /// Reads a cut; None where its surfaces have no tangent planes or it does not bend.
    pub fn of(sheets: &Sheets<'_>, graph: &JoinGraph, face: &FaceOf<'_>, plane: &Plane, cut: &Cut) -> Option<Self> {
        let summit = cut.summit().filter(|s| s.curvature > 0.0)?;
        let sides = [face.sides.get(cut.sides[0])?, face.sides.get(cut.sides[1])?];
        let supports = supports(sheets, face, plane, cut);
        Some(Self {
            along: 0.0,
            face: face.id,
            spine: cut.spine(),
            direction: plane.normal,
            touch: cut.touch(),
            beside: sides.map(|s| s.other),
            rails: sides.map(|s| s.join),
            tangents: supports.as_ref().and_then(|[a, b]| tangents_meet(plane, [&a.touch, &b.touch])),
            setting: supports.as_ref().and_then(|s| setting(plane, s, cut.touch())),
            radius: 1.0 / summit.curvature,
            tightest: summit.point,
            uv: summit.uv,
            middle: cut.middle()?,
            turn: cut.turn.abs().to_degrees(),
            convex: cut.turn * graph.orientation.sign(face.id) < 0.0,
            lead: cut.lead_in(summit.curvature),
            line: cut.way.iter().map(|s| s.point).collect(),
        })
    }

    /// The same seen from the other side.
    pub(super) fn turn_round(&mut self) {
        self.touch.reverse();
        self.beside.reverse();
        self.rails.reverse();
        self.lead.reverse();
        self.line.reverse();
        if let Some(s) = &mut self.setting {
            s.setbacks.reverse();
        }
    }
}

/// The faces beside a fillet in a section, from its touching points on.
pub fn supports<'a>(sheets: &Sheets<'a>, face: &FaceOf<'_>, plane: &Plane, cut: &Cut) -> Option<[Support<'a>; 2]> {
    let one = |end: usize| -> Option<Support<'a>> {
        let (at, side) = (cut.ends.get(end)?, face.sides.get(*cut.sides.get(end)?)?);
        let surface = &sheets.face(side.other)?.surface;
        let own = if end == 0 { cut.way.first()? } else { cut.way.last()? };
        let into = if end == 0 { own.heading } else { -own.heading };
        let touch = place(surface, plane, at.uv_beside, into, 0.0)?;
        Some(Support { surface, touch, inner: own.normal * cut.turn.signum() })
    };
    Some([one(0)?, one(1)?])
}

fn setting(plane: &Plane, [a, b]: &[Support<'_>; 2], touch: [Point3; 2]) -> Option<Setting> {
    let [p, q] = round(plane, [a, b], 0.0)?;
    let opening = real::angle_between(-p.heading, -q.heading).to_degrees();
    let edge = p.point.lerp(q.point, 0.5);
    let setbacks = touch.map(|t| t.distance(edge));
    let equal = 0.5 * (setbacks[0] + setbacks[1]) * real::tan(0.5 * opening.to_radians());
    (OPENINGS.0..=OPENINGS.1).contains(&opening).then_some(Setting { edge, setbacks, opening, equal })
}
