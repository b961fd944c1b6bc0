//! One boundary piece of a face on the face's own surface.

use super::SurfaceSearch;
use super::closest::{Foot, closest_on_surface, closest_with_derivs, near};
use super::curve_closest::closest_on_curve;
use super::pole::Pole;
use super::trim_nodes::{self, Piece};
use super::{Curve, Pcurve, Surface};
use crate::math::{Arrange, Point2, Point3, Vec2, Vec3};
use crate::nurbs::SurfaceDerivs;
use core::fmt;

/// A boundary piece as a curve on one surface, by a share s from 0 (the edge's start) to 1 (its end).
///
/// It is either the file's own parameter-plane curve, or the feet of a space curve on the surface, or a straight
/// line between two parameter points. Parameters run on over periods, so they are continuous along the trim but
/// at its [`Trim::cuts`].
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    pub(super) path: Path,
    pub(super) pieces: Vec<Piece>,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Path {
    Pcurve { curve: Pcurve, t0: f64, t1: f64 },
    Foot { curve: Curve, t0: f64, t1: f64 },
    Straight { from: Point2, to: Point2 },
}

/// A known point of a trim, kept to start exact evaluation from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrimNode {
    /// Share of the trim, 0 to 1.
    pub s: f64,
    /// Parameters.
    pub uv: Point2,
    /// Position on the surface, mm.
    pub point: Point3,
}

/// An exact point of a trim with derivatives by the share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrimPoint {
    /// Share of the trim, 0 to 1.
    pub s: f64,
    /// Parameters.
    pub uv: Point2,
    /// Position on the surface, mm.
    pub point: Point3,
    /// dP/ds, mm.
    pub tangent: Vec3,
    /// d(u, v)/ds.
    pub duv: Vec2,
}

/// Why a curve makes no trim.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum TrimError {
    /// The curve or its parameters give positions that are not finite numbers.
    NotFinite,
    /// The feet jump from one part of the surface to another; at this share.
    Broken(f64),
}

impl fmt::Display for TrimError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => write!(f, "the curve gives positions that are not finite numbers"),
            Self::Broken(s) => write!(f, "the curve's projection jumps on the surface, {:.3} of the way along", s),
        }
    }
}

impl std::error::Error for TrimError {}

impl Trim {
    /// The trim a parameter-plane curve from `t0` to `t1` makes. Its share is the curve's own parameter, so its
    /// speed may differ from the space edge's; [`Trim::closest`] leads from one to the other.
    ///
    /// # Errors
    /// When positions are not finite.
    pub fn on_pcurve(surface: &Surface, curve: &Pcurve, t0: f64, t1: f64) -> Result<Trim, TrimError> {
        let breaks = match curve {
            Pcurve::Nurbs(c) => c.knots().interior().iter().map(|&(t, _)| (t - t0) / (t1 - t0)).collect(),
            _ => Vec::new(),
        };
        trim_nodes::direct(surface, Path::Pcurve { curve: curve.clone(), t0, t1 }, &breaks)
    }

    /// The trim made of the feet on the surface of a space curve from `t0` to `t1`: what a face without a
    /// parameter-plane curve is bounded by. `search` is that surface's.
    ///
    /// # Errors
    /// When positions are not finite, or the feet jump.
    pub fn foot_of(surface: &Surface, search: &SurfaceSearch, curve: &Curve, t0: f64, t1: f64) -> Result<Trim, TrimError> {
        let breaks: Vec<f64> = curve.breaks_between(t0, t1).into_iter().map(|t| (t - t0) / (t1 - t0)).collect();
        trim_nodes::feet(surface, search, Path::Foot { curve: curve.clone(), t0, t1 }, &breaks)
    }

    /// The straight line between two parameter points: a seam, the side of a pole, a bridge over a gap.
    pub fn straight(surface: &Surface, from: Point2, to: Point2) -> Trim {
        let path = Path::Straight { from, to };
        let node = |s: f64| {
            let uv = path.direct_uv(s);
            TrimNode { s, uv, point: surface.point(uv.u, uv.v) }
        };
        let fallback = Piece { nodes: vec![node(0.0), node(1.0)], loose: (0.0, 1.0) };
        trim_nodes::direct(surface, path.clone(), &[]).unwrap_or(Trim { path, pieces: vec![fallback] })
    }

    /// Nodes in rising share, dense enough that straight lines between them stay near the trim; two at each cut.
    pub fn nodes(&self) -> impl DoubleEndedIterator<Item = &TrimNode> {
        self.pieces.iter().flat_map(|p| &p.nodes)
    }

    /// Shares strictly inside at which (u, v) jumps: the trim passes through a pole, or over the seam of a closed
    /// patch. Rising; nearly always none.
    pub fn cuts(&self) -> Vec<f64> {
        self.pieces.iter().skip(1).filter_map(|p| p.nodes.first()).map(|n| n.s).collect()
    }

    /// Shares strictly inside where smoothness may break: knots of its curve, and cuts. Rising.
    pub fn breaks(&self) -> Vec<f64> {
        let mut all = self.cuts();
        let mut add = |t: f64, t0: f64, t1: f64| all.push((t - t0) / (t1 - t0));
        match &self.path {
            Path::Pcurve { curve: Pcurve::Nurbs(c), t0, t1 } => c.knots().interior().iter().for_each(|&(t, _)| add(t, *t0, *t1)),
            Path::Foot { curve, t0, t1 } => curve.breaks_between(*t0, *t1).into_iter().for_each(|t| add(t, *t0, *t1)),
            _ => {}
        }
        all.retain(|&s| s > 0.0 && s < 1.0);
        all.arrange_by(f64::total_cmp);
        all.dedup();
        all
    }

    /// True for the file's own parameter-plane curve.
    pub fn is_pcurve(&self) -> bool {
        matches!(self.path, Path::Pcurve { .. })
    }

    /// Exact parameters at share `s` (held to 0..1), continuous but at cuts, where it gives the later side.
    pub fn uv(&self, surface: &Surface, s: f64) -> Point2 {
        self.uv_in(surface, s, self.piece_at(s)).0
    }

    /// Exact point and derivatives at share `s` (held to 0..1). Where the surface or the curve is singular a
    /// derivative may be zero.
    pub fn at(&self, surface: &Surface, s: f64) -> TrimPoint {
        self.at_piece(surface, s, self.piece_at(s))
    }

    /// The point of the trim closest to `p`, near the share `seed` or, without one, anywhere (by its nodes).
    pub fn closest(&self, surface: &Surface, p: Point3, seed: Option<f64>) -> TrimPoint {
        let start = seed.unwrap_or_else(|| {
            let nearest = self.nodes().min_by(|a, b| a.point.distance(p).total_cmp(&b.point.distance(p)));
            nearest.map_or(0.5, |n| n.s)
        });
        let mut here = self.at(surface, start);
        let still = 1e-12 * (1.0 + p.to_vec().abs().max_element());
        // Rounding of positions hides the last digits of the distance; across a gap, where it is flat at its least, a foot
        // held to a smaller one would stop short by the root of them.
        let noise = 0.02 * still;
        for _ in 0..30 {
            let speed = here.tangent.length_squared();
            if speed == 0.0 {
                break;
            }
            // Gauss–Newton: the point asked about lies near the trim, so its curvature term is negligible; the
            // halving below keeps it safe where it does not.
            let step = (p - here.point).dot(here.tangent) / speed;
            if step.abs() * speed.sqrt() <= still {
                // Right to rounding, and so is the point moved along it: nothing is evaluated anew.
                let moved = (here.s + step).clamp(0.0, 1.0) - here.s;
                return TrimPoint { s: here.s + moved, uv: here.uv + here.duv * moved, point: here.point + here.tangent * moved, ..here };
            }
            let mut share = 1.0;
            let mut taken = None;
            for _ in 0..16 {
                let next = self.at(surface, (here.s + share * step).clamp(0.0, 1.0));
                if next.point.distance(p) <= here.point.distance(p) + noise {
                    taken = Some(next);
                    break;
                }
                if share * step.abs() * speed.sqrt() <= 1e3 * still {
                    break;
                }
                share *= 0.5;
            }
            let Some(next) = taken else { break };
            // Held at an end it may go nowhere.
            let moved = (next.s - here.s).abs() * speed.sqrt();
            here = next;
            if moved <= still {
                break;
            }
        }
        here
    }

    /// Largest distance, at the nodes, from the trim to the space curve it stands for, mm.
    pub fn edge_deviation(&self, curve: &Curve, t0: f64, t1: f64) -> f64 {
        self.nodes().map(|n| closest_on_curve(curve, t0, t1, n.point, Some(t0 * (1.0 - n.s) + t1 * n.s)).distance).fold(0.0, f64::max)
    }

    /// Largest distance, at the nodes, of the space curve whose feet the trim is from the surface, mm; 0 of other trims.
    pub fn foot_distance(&self) -> f64 {
        let off = |n: &TrimNode| self.path.space_point(n.s).map_or(0.0, |p| p.distance(n.point));
        self.nodes().map(off).fold(0.0, f64::max)
    }

    /// True when the foot farthest from its space curve lies on the border of a patch: the curve runs beyond it.
    pub fn is_held(&self, surface: &Surface) -> bool {
        let Some((du, dv)) = surface.limits() else { return false };
        let off = |n: &TrimNode| self.path.space_point(n.s).map_or(0.0, |p| p.distance(n.point));
        let worst = self.nodes().max_by(|a, b| off(a).total_cmp(&off(b)));
        worst.is_some_and(|n| n.uv.u <= du.low || n.uv.u >= du.high || n.uv.v <= dv.low || n.uv.v >= dv.high)
    }

    /// Length of the polyline through the nodes, mm.
    pub fn node_length(&self) -> f64 {
        self.pieces.iter().flat_map(|p| p.nodes.windows(2)).map(|w| w[0].point.distance(w[1].point)).sum()
    }

    pub(super) fn piece_at(&self, s: f64) -> usize {
        let after = self.pieces.iter().skip(1).take_while(|p| p.nodes.first().is_some_and(|n| n.s <= s)).count();
        after.min(self.pieces.len().saturating_sub(1))
    }

    /// Parameters on a given piece, whether they are taken from nodes alone (next to a pole), and derivatives to second order there where they
    /// were found on the way.
    fn uv_in(&self, surface: &Surface, s: f64, piece: usize) -> (Point2, bool, Option<SurfaceDerivs>) {
        let s = s.clamp(0.0, 1.0);
        let Path::Foot { curve, t0, t1 } = &self.path else { return (self.path.direct_uv(s), false, None) };
        let Some(piece) = self.pieces.get(piece) else { return (Point2::default(), true, None) };
        let guess = piece.guess(s);
        if s < piece.loose.0 || s > piece.loose.1 {
            return (guess, true, None);
        }
        let (foot, derivs) = closest_with_derivs(surface, curve.point(t0 * (1.0 - s) + t1 * s), guess);
        (foot.uv, false, Some(derivs))
    }

    pub(super) fn at_piece(&self, surface: &Surface, s: f64, piece: usize) -> TrimPoint {
        let s = s.clamp(0.0, 1.0);
        let (uv, loose, found) = self.uv_in(surface, s, piece);
        let d = found.unwrap_or_else(|| surface.derivs(uv.u, uv.v, if matches!(self.path, Path::Foot { .. }) { 2 } else { 1 }));
        let duv = match &self.path {
            Path::Straight { from, to } => *to - *from,
            Path::Pcurve { curve, t0, t1 } => curve.derivs(t0 * (1.0 - s) + t1 * s).1 * (t1 - t0),
            Path::Foot { .. } if loose => self.pieces.get(piece).map_or(Vec2::ZERO, |p| p.slope(s)),
            Path::Foot { curve, t0, t1 } => {
                let row = curve.derivs(t0 * (1.0 - s) + t1 * s, 1);
                let (c, speed) = (Point3::new(row[0][0], row[0][1], row[0][2]), Vec3::from_array(row[1]) * (t1 - t0));
                foot_speed(surface, uv, &d, d.s - c, speed)
            }
        };
        TrimPoint { s, uv, point: d.s, tangent: d.su * duv.x + d.sv * duv.y, duv }
    }
}

impl Path {
    /// Parameters where the path is given in the parameter plane; the origin for feet.
    pub(super) fn direct_uv(&self, s: f64) -> Point2 {
        match self {
            Path::Pcurve { curve, t0, t1 } => curve.point(t0 * (1.0 - s) + t1 * s),
            Path::Straight { from, to } => Point2::new(from.u * (1.0 - s) + to.u * s, from.v * (1.0 - s) + to.v * s),
            Path::Foot { .. } => Point2::default(),
        }
    }

    /// Foot of the path's space curve near a seed.
    pub(super) fn foot(&self, surface: &Surface, s: f64, seed: Point2) -> Option<Foot> {
        Some(closest_on_surface(surface, self.space_point(s)?, seed))
    }

    /// Position on the path's space curve.
    pub(super) fn space_point(&self, s: f64) -> Option<Point3> {
        match self {
            Path::Foot { curve, t0, t1 } => Some(curve.point(t0 * (1.0 - s) + t1 * s)),
            _ => None,
        }
    }

    /// Share at which the path's space curve comes nearest to a pole, and how near.
    pub(super) fn nearest_to(&self, pole: &Pole) -> Option<(f64, f64)> {
        let Path::Foot { curve, t0, t1 } = self else { return None };
        let foot = closest_on_curve(curve, *t0, *t1, pole.point, None);
        Some(((foot.t - t0) / (t1 - t0), foot.distance))
    }
}

/// Speed of the foot (u, v) of a point moving with `speed`: derivative of (S − C)·Su = (S − C)·Sv = 0.
/// A foot held by a side of the patch slides along that side.
fn foot_speed(surface: &Surface, uv: Point2, d: &SurfaceDerivs, r: Vec3, speed: Vec3) -> Vec2 {
    let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
    let (a, b, c) = (e + r.dot(d.suu), f + r.dot(d.suv), g + r.dot(d.svv));
    let (x, y) = (speed.dot(d.su), speed.dot(d.sv));
    let over = |n: f64, by: f64| if by > 0.0 { n / by } else { 0.0 };
    if let Some((du, dv)) = surface.limits() {
        // Held: on the bound and the curve does not lead back inside.
        let held = |t: f64, low: f64, high: f64, towards: f64| (t <= low && towards <= 0.0) || (t >= high && towards >= 0.0);
        let (gu, gv) = (-r.dot(d.su), -r.dot(d.sv));
        let held_u = held(uv.u, du.low, du.high, gu);
        let held_v = held(uv.v, dv.low, dv.high, gv);
        match (held_u, held_v) {
            (true, true) => {
                // A corner: whichever direction the curve leads in along the sides.
                return if x * x * g > y * y * e { Vec2::new(over(x, a), 0.0) } else { Vec2::new(0.0, over(y, c)) };
            }
            (true, false) => return Vec2::new(0.0, over(y, c)),
            (false, true) => return Vec2::new(over(x, a), 0.0),
            (false, false) => {}
        }
    }
    let det = a * c - b * b;
    if det > 1e-14 * e * g { Vec2::new((c * x - b * y) / det, (a * y - b * x) / det) } else { Vec2::new(over(x, e), over(y, g)) }
}

/// Unwraps `uv` next to `seed` by whole closures.
pub(super) fn unwrapped(uv: Point2, seed: Point2, periods: (Option<f64>, Option<f64>)) -> Point2 {
    Point2::new(near(uv.u, seed.u, periods.0), near(uv.v, seed.v, periods.1))
}
