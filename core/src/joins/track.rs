//! Where a piece of a join runs, and its borders at any place along it.

use super::sheets::{Sheets, SideRef, one_sided};
use super::{Border, Measures, measure};
use crate::geometry::Surface;
use crate::layout::MirrorPlane;
use crate::math::{Arrange, Point3, Vec2};
use crate::model::FaceId;

/// One piece of a join. The place along it is a number x from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Track {
    /// Two borders face each other; shares at x = 0 and 1 on either trim.
    Facing {
        /// The first face's side.
        a: SideRef,
        /// Shares on it.
        on_a: (f64, f64),
        /// The second face's side.
        b: SideRef,
        /// Shares on it.
        on_b: (f64, f64),
    },
    /// A border with nothing beside it.
    Alone {
        /// The side.
        a: SideRef,
        /// Shares on it.
        on_a: (f64, f64),
    },
    /// A border on the centre plane, facing its own mirror image.
    Mirrored {
        /// The side.
        a: SideRef,
        /// Shares on it.
        on_a: (f64, f64),
        /// The centre plane.
        plane: MirrorPlane,
        /// Largest angle at which the halves are smooth, degrees: beyond it their curvatures are not compared.
        smooth: f64,
    },
    /// A knot line inside a patch, or the line that a break of a swept curve draws.
    Knot {
        /// The surface.
        face: FaceId,
        /// True for a line of constant u.
        of_u: bool,
        /// The knot.
        knot: f64,
        /// The other parameter at x = 0 and 1.
        over: (f64, f64),
    },
}

/// Both borders at a place along a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// On the first face.
    pub a: Border,
    /// On the second; None on an outline.
    pub b: Option<Border>,
    /// +1 where curvatures are signed by the first face's Su × Sv, −1 by its opposite.
    pub sign: f64,
    /// Angle beyond which curvatures do not apply, degrees. Infinite but across the centre plane, where equal curvatures
    /// are a matter of symmetry and say something only of halves that are smooth.
    pub smooth: f64,
}

impl Meeting {
    /// What is measured there; on an outline a gap of 0 and nothing else.
    pub fn measures(&self) -> Measures {
        match &self.b {
            Some(b) => {
                let all = measure(&self.a, b).seen_from(self.sign);
                let smooth = all.angle.is_none_or(|angle| angle <= self.smooth);
                if smooth { all } else { Measures { curvature: None, slope: None, ..all } }
            }
            None => Measures { gap: 0.0, angle: None, curvature: None, slope: None },
        }
    }

    /// The point on the first face, mm.
    pub fn p(&self) -> Point3 {
        self.a.point()
    }

    /// The facing point; the same on an outline.
    pub fn q(&self) -> Point3 {
        self.b.map_or(self.a.point(), |b| b.point())
    }
}

impl Track {
    /// The face A.
    pub fn first_face(&self) -> FaceId {
        match self {
            Track::Facing { a, .. } | Track::Alone { a, .. } | Track::Mirrored { a, .. } => a.face,
            Track::Knot { face, .. } => *face,
        }
    }

    /// The face B; None on an outline and on the centre plane.
    pub fn second_face(&self) -> Option<FaceId> {
        match self {
            Track::Facing { b, .. } => Some(b.face),
            Track::Alone { .. } | Track::Mirrored { .. } => None,
            Track::Knot { face, .. } => Some(*face),
        }
    }

    /// The sides it runs along, of the first and of the second face; none inside a patch.
    pub fn sides(&self) -> [Option<SideRef>; 2] {
        match *self {
            Track::Facing { a, b, .. } => [Some(a), Some(b)],
            Track::Alone { a, .. } | Track::Mirrored { a, .. } => [Some(a), None],
            Track::Knot { .. } => [None, None],
        }
    }

    /// The borders at x (held to 0..1): P on A's trim, Q the foot of P on B's trim. None for another model's track.
    pub fn at(&self, sheets: &Sheets<'_>, x: f64) -> Option<Meeting> {
        let x = x.clamp(0.0, 1.0);
        match *self {
            Track::Alone { a, on_a } => Some(Meeting { a: sheets.rim(a)?.border(mix(on_a, x)), b: None, sign: 1.0, smooth: f64::INFINITY }),
            Track::Mirrored { a, on_a, plane, smooth } => {
                let first = sheets.rim(a)?.border(mix(on_a, x));
                Some(Meeting { a: first, b: Some(first.mirrored(plane)), sign: 1.0, smooth })
            }
            Track::Facing { a, on_a, b, on_b } => {
                let first = sheets.rim(a)?.border(mix(on_a, x));
                let rim = sheets.rim(b)?;
                let (low, high) = (on_b.0.min(on_b.1), on_b.0.max(on_b.1));
                let foot = rim.side.trim.closest(rim.surface, first.point(), Some(mix(on_b, x)));
                let (least, most) = rim.shares();
                // At the ends a foot may slide past the stretch by its tolerance, but never off the trim's side.
                let near = 0.05 * (high - low);
                let share = foot.s.clamp((low - near).max(least), (high + near).min(most));
                let mut second = rim.border(share);
                // A trim may end in a hook below every tolerance; which way the borders run past each other is the join's.
                let run = |on: (f64, f64), sign: f64| (on.1 - on.0) * sign;
                let ways = run(on_a, sheets.rim(a)?.sign()) * run(on_b, rim.sign());
                // A stretch without length on B runs neither way: there the borders' own directions are all there is.
                let alike = ways > 0.0;
                if ways != 0.0 && (first.along.dot(second.along) > 0.0) != alike {
                    second.along = if alike { first.along } else { -first.along };
                }
                Some(Meeting { a: first, b: Some(second), sign: 1.0, smooth: f64::INFINITY })
            }
            Track::Knot { face, of_u, knot, over } => {
                let surface = &sheets.face(face)?.surface;
                let t = mix(over, x);
                let (u, v) = if of_u { (knot, t) } else { (t, knot) };
                let border = |inside: Vec2| knot_border(surface, u, v, of_u, inside);
                let step = if of_u { Vec2::X } else { Vec2::Y };
                Some(Meeting { a: border(-step), b: Some(border(step)), sign: 1.0, smooth: f64::INFINITY })
            }
        }
    }

    /// The point at x on the first face's border alone; None for another model's track.
    pub fn point(&self, sheets: &Sheets<'_>, x: f64) -> Option<Point3> {
        match *self {
            Track::Facing { a, on_a, .. } | Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => {
                let rim = sheets.rim(a)?;
                Some(rim.side.at(rim.surface, mix(on_a, x)).point)
            }
            Track::Knot { .. } => self.at(sheets, x).map(|m| m.p()),
        }
    }

    /// The share of the way along, x, nearest to a point, and the distance of the point from A's border there.
    pub fn nearest(&self, sheets: &Sheets<'_>, p: Point3) -> Option<(f64, f64)> {
        match *self {
            Track::Facing { a, on_a, .. } | Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => {
                let rim = sheets.rim(a)?;
                // From the nearest of a few places, so that a curled border is not entered at the wrong turn.
                let starts = (0..=16).map(|i| mix(on_a, f64::from(i) / 16.0));
                let seed = starts.map(|s| (rim.side.at(rim.surface, s).point.distance(p), s)).min_by(|x, y| x.0.total_cmp(&y.0))?;
                let foot = rim.side.trim.closest(rim.surface, p, Some(seed.1));
                let x = unmix(on_a, foot.s).clamp(0.0, 1.0);
                Some((x, self.point(sheets, x)?.distance(p)))
            }
            Track::Knot { .. } => {
                let (mut low, mut high) = (0.0, 1.0);
                for _ in 0..60 {
                    let (l, h) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                    if self.point(sheets, l)?.distance(p) < self.point(sheets, h)?.distance(p) { high = h } else { low = l }
                }
                let x = 0.5 * (low + high);
                Some((x, self.point(sheets, x)?.distance(p)))
            }
        }
    }

    /// Places strictly inside where derivatives along may jump, rising.
    pub fn breaks(&self, sheets: &Sheets<'_>) -> Vec<f64> {
        let mut all = match *self {
            Track::Facing { a, on_a, .. } | Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => {
                sheets.rim(a).map_or(Vec::new(), |r| r.side.trim.breaks().into_iter().map(|s| unmix(on_a, s)).collect())
            }
            Track::Knot { face, of_u, over, .. } => {
                let (u, v) = sheets.face(face).map(|f| f.surface.breaks()).unwrap_or_default();
                let across = if of_u { v } else { u };
                across.into_iter().map(|k| unmix(over, k)).collect()
            }
        };
        all.retain(|&x| x > 1e-6 && x < 1.0 - 1e-6);
        all.arrange_by(f64::total_cmp);
        all
    }

    /// The same piece run the other way.
    pub fn reversed(self) -> Track {
        let turn = |(x, y): (f64, f64)| (y, x);
        match self {
            Track::Facing { a, on_a, b, on_b } => Track::Facing { a, on_a: turn(on_a), b, on_b: turn(on_b) },
            Track::Alone { a, on_a } => Track::Alone { a, on_a: turn(on_a) },
            Track::Mirrored { a, on_a, plane, smooth } => Track::Mirrored { a, on_a: turn(on_a), plane, smooth },
            Track::Knot { face, of_u, knot, over } => Track::Knot { face, of_u, knot, over: turn(over) },
        }
    }
}

/// The border of the part of a patch beyond a knot line, on the side `inside` points to.
fn knot_border(surface: &Surface, u: f64, v: f64, of_u: bool, inside: Vec2) -> Border {
    let derivs = one_sided(surface, u, v, inside);
    let along = if of_u { derivs.sv } else { derivs.su };
    // The region lies on the left of `along` in the parameter plane when inside is (−run.y, run.x).
    let run = if of_u { Vec2::Y } else { Vec2::X };
    let left = Vec2::new(-run.y, run.x).dot(inside) > 0.0;
    Border { derivs, along: if left { along } else { -along } }
}

fn mix((from, to): (f64, f64), x: f64) -> f64 {
    from * (1.0 - x) + to * x
}

fn unmix((from, to): (f64, f64), s: f64) -> f64 {
    (s - from) / (to - from)
}
