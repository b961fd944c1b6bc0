//! A fillet made anew with balanced setbacks.

use super::bench::{Bench, Outcome, Sheet};
use super::change::shares;
use super::fillet_section::{Leg, theoretical_edge};
use super::net::{Place4, across, along};
use super::seam::seam;
use super::{Moved, TrialError};
use crate::geometry::{Surface, SurfaceSearch};
use crate::joins::Order;
use crate::layout::BoxSide;
use crate::math::{Interval, Point2, Point3, Vec3, real};
use crate::model::FaceId;
use crate::nurbs::fit::{Constraint, CurveSample, fit_curve};
use crate::nurbs::{self, Direction, KnotVector};
use crate::section::Plane;

/// The form of a fillet's section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// Tangent to both faces: the arc of a circle where its two tangents are equally long, as they are between planes; else of a conic.
    Round,
    /// With the curvature of both faces where it touches them (G2): a quintic, which between planes at right angles peaks at 1.3 times
    /// the curvature of the circle with the same setbacks.
    Curvature,
}

/// How far from the theoretical edge a fillet touches the faces beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Setback {
    /// The mean of the present two, section by section.
    Mean,
    /// That of the circle of this radius, mm.
    Radius(f64),
    /// That on the first face, which keeps its edge: the other face has to follow.
    First,
    /// That on the second face.
    Second,
}

/// Makes a fillet anew between the two faces beside it: in sections square to the line half way between its present long edges it
/// touches both at the same distance from where they, run on, would meet (measures §6). The faces beside it do not change: where they
/// reach past the new edges, or stop short of them, is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refillet {
    /// The fillet's face. It must end where its patch ends.
    pub face: FaceId,
    /// The parameter that runs along it.
    pub along: Direction,
    /// The faces beside it: at the least and at the greatest other parameter.
    pub beside: [FaceId; 2],
    /// The form of its section.
    pub profile: Profile,
    /// How far from the theoretical edge it touches both.
    pub setback: Setback,
    /// How far its edges may lie from the faces, mm.
    pub tolerance: f64,
    /// How far its present edges may lie from them, mm.
    pub search: f64,
}

/// Degree along the fillet; and spans at most.
const DEGREE: usize = 5;
const SPANS: usize = 32;

/// Shares of the way to where the tangents meet at which a quintic's control points lie. Larger: a sharper peak; smaller: the curvature
/// no longer rises steadily to the middle at a right angle.
const LEGS: [f64; 2] = [0.3, 0.66];

/// The fillet's present edges and what lies beside them.
struct Ground {
    patch: nurbs::Surface,
    sides: [BoxSide; 2],
    beside: [nurbs::Surface; 2],
    feet: [(Surface, SurfaceSearch); 2],
}

/// A section: its control points, homogeneous, and its setback; how uneven its tangents are; what its ends move by, mm.
struct Section {
    points: Vec<Place4>,
    setback: f64,
    uneven: f64,
    reach: [f64; 2],
}

impl Refillet {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        let number = !matches!(self.setback, Setback::Radius(r) if !(r > 0.0 && r.is_finite()));
        if !(number && self.tolerance > 0.0 && self.search >= 0.0) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let of_u = self.along == Direction::V;
        let sides = [BoxSide { of_u, high: false }, BoxSide { of_u, high: true }];
        let beside = [bench.sheet(self.beside[0])?.patch, bench.sheet(self.beside[1])?.patch];
        let feet = [0, 1].map(|i| {
            let surface = Surface::Nurbs(beside[i].clone());
            let search = SurfaceSearch::new(&surface);
            (surface, search)
        });
        let ground = Ground { patch, sides, beside, feet };
        let line = ground.patch.knots_along(self.along).domain();
        let (made, sections, off) = self.lofted(&ground, line)?;
        let seams = [0, 1].map(|i| {
            let (surface, search) = &ground.feet[i];
            seam(&made, sides[i], |t| {
                let (u, v) = super::net::on_side(&made, sides[i], t);
                let p = made.derivs(u, v, 0).s;
                let seed = search.closest(surface, p).uv;
                let foot = foot_beyond(&ground.beside[i], p, seed);
                ground.beside[i].derivs(foot.u, foot.v, 3)
            })
        });
        let order = if self.profile == Profile::Curvature { Order::G2 } else { Order::G1 };
        let seam = seams[0].worse(seams[1]).upto(order);
        let span =
            |f: &dyn Fn(&Section) -> f64| sections.iter().map(f).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        let setback = span(&|s| s.setback);
        let mut notes = vec![format!("setbacks {:.4} to {:.4} mm, the same on both sides", setback.0, setback.1)];
        let uneven = span(&|s| s.uneven).1;
        if self.profile == Profile::Round {
            notes.push(format!("tangents differ in length by {:.4} % at most", 100.0 * uneven));
        }
        for (i, name) in ["first", "second"].into_iter().enumerate() {
            let reach = span(&|s| s.reach[i]);
            notes.push(format!(
                "its edge moves by {:.4} to {:.4} mm on the {name} face, away from the theoretical edge where positive",
                reach.0, reach.1
            ));
        }
        let moved = Moved { residual: off.max(seam.gap), seam: Some(seam), notes, ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: made, whole: true })], gone: Vec::new(), moved })
    }

    /// The fillet through its sections, which are fitted along it over more and more spans; with the sections, and the largest distance
    /// of its control lines from theirs, mm.
    fn lofted(&self, ground: &Ground, line: Interval) -> Result<(nurbs::Surface, Vec<Section>, f64), TrialError> {
        let mut spans = 1;
        loop {
            let inner: Vec<(f64, usize)> = (1..spans).map(|i| (line.at(i as f64 / spans as f64), 1)).collect();
            let knots = KnotVector::clamped(DEGREE, line, &inner)?;
            let places = shares(&knots, 3 * (DEGREE + 1));
            let sections = places.iter().map(|&t| self.section(ground, t)).collect::<Result<Vec<_>, _>>()?;
            let count = sections.first().map_or(0, |s| s.points.len());
            let mut lines = Vec::with_capacity(count);
            let mut off = 0.0f64;
            for k in 0..count {
                let samples: Vec<CurveSample<4>> =
                    places.iter().zip(&sections).map(|(&t, s)| CurveSample { t, point: s.points[k], weight: 1.0 }).collect();
                let ends = [samples.first(), samples.last()].into_iter().flatten();
                let ends: Vec<_> = ends.map(|s| Constraint::on_curve(&knots, s.t, 0, s.point)).collect();
                let curve = fit_curve(&knots, &samples, None, &ends)?;
                off = off.max(nurbs::fit::curve_deviation(&curve, &samples).map_or(0.0, |d| d.max));
                lines.push(curve);
            }
            if off <= self.tolerance || spans >= SPANS {
                if off > self.tolerance {
                    return Err(TrialError::OutOfTolerance(off));
                }
                let made = self.assembled(ground, &knots, &lines)?;
                return Ok((made, sections, off));
            }
            spans *= 2;
        }
    }

    fn assembled(&self, ground: &Ground, knots: &KnotVector, lines: &[nurbs::Curve<4>]) -> Result<nurbs::Surface, TrialError> {
        let width = ground.patch.knots_along(across(ground.sides[0])).domain();
        let section = KnotVector::clamped(lines.len() - 1, width, &[])?;
        let (ku, kv) = if along(ground.sides[0]) == Direction::V { (section, knots.clone()) } else { (knots.clone(), section) };
        let (nu, nv) = (ku.point_count(), kv.point_count());
        let of_u = ground.sides[0].of_u;
        let place = |k: usize| -> Place4 {
            let (i, j) = (k / nv, k % nv);
            if of_u { lines[i].points()[j] } else { lines[j].points()[i] }
        };
        let blank = nurbs::Surface::new(ku, kv, vec![crate::math::Point3::ORIGIN; nu * nv], None)?;
        let net: Vec<Place4> = (0..nu * nv).map(place).collect();
        Ok(super::net::with_net(&blank, &net, self.profile == Profile::Round)?)
    }

    /// The section at a parameter along the fillet.
    fn section(&self, ground: &Ground, t: f64) -> Result<Section, TrialError> {
        let border = |i: usize| {
            let (u, v) = super::net::on_side(&ground.patch, ground.sides[i], t);
            let d = ground.patch.derivs(u, v, 1);
            (d.s, if ground.sides[i].of_u { d.sv } else { d.su })
        };
        let (a, b) = (border(0), border(1));
        let unit = |v: Vec3| v.try_normalize().ok_or(TrialError::Side);
        let spine = a.0.lerp(b.0, 0.5);
        let plane = Plane::through(spine, unit(a.1)? + unit(b.1)?).ok_or(TrialError::Side)?;
        let mut seeds = [Point2::default(); 2];
        for (i, p) in [a.0, b.0].into_iter().enumerate() {
            let foot = ground.feet[i].1.closest(&ground.feet[i].0, p);
            if foot.distance > self.search {
                return Err(TrialError::Apart(foot.distance));
            }
            seeds[i] = foot.uv;
        }
        let faces = [&ground.beside[0], &ground.beside[1]];
        let (edge, opening) = theoretical_edge(faces, seeds, &plane, [a.0, b.0])?;
        let now = [a.0.distance(edge), b.0.distance(edge)];
        let setback = match self.setback {
            Setback::Mean => 0.5 * (now[0] + now[1]),
            Setback::Radius(r) => r / real::tan(0.5 * opening),
            Setback::First => in_plane(ground, 0, t, &plane).distance(edge),
            Setback::Second => in_plane(ground, 1, t, &plane).distance(edge),
        };
        let legs = [0, 1].map(|i| Leg::at(faces[i], seeds[i], &plane, edge, setback));
        let [p, q] = legs;
        let (p, q) = (p?, q?);
        let (x, y) = p.meets(&q, &plane).ok_or(TrialError::Other("the faces run beside each other in a section"))?;
        let plain = |v: Vec3| [v.x, v.y, v.z, 1.0];
        let points = match self.profile {
            Profile::Round => {
                let corner = p.point.to_vec() + p.heading * x;
                let (to, fro) = (p.point.to_vec() - corner, q.point.to_vec() - corner);
                let w = real::sin(0.5 * real::angle_between(to, fro));
                vec![plain(p.point.to_vec()), [corner.x * w, corner.y * w, corner.z * w, w], plain(q.point.to_vec())]
            }
            Profile::Curvature => {
                let half = |leg: &Leg, length: f64| {
                    let first = leg.heading * (LEGS[0] * length);
                    // A quintic's curvature at its end is 4/5 of the second control leg's height over the first leg's square.
                    let bend = leg.curvature * (1.25 * first.length_squared());
                    let from = leg.point.to_vec();
                    [from, from + first, from + leg.heading * (LEGS[1] * length) + bend]
                };
                let ([p0, p1, p2], [q0, q1, q2]) = (half(&p, x), half(&q, y));
                [p0, p1, p2, q2, q1, q0].map(plain).to_vec()
            }
        };
        let uneven = (x - y).abs() / x.max(y);
        Ok(Section { points, setback, uneven, reach: now.map(|n| setback - n) })
    }
}

/// Where a present edge of the fillet passes a plane, near its parameter `t`: a section is square to the line between the edges, and its
/// ends need not have the same parameter.
fn in_plane(ground: &Ground, i: usize, t: f64, plane: &Plane) -> Point3 {
    let over = ground.patch.knots_along(along(ground.sides[i])).domain();
    let at = |t: f64| {
        let (u, v) = super::net::on_side(&ground.patch, ground.sides[i], t);
        let d = ground.patch.derivs(u, v, 1);
        (d.s, if ground.sides[i].of_u { d.sv } else { d.su })
    };
    let mut t = t;
    for _ in 0..20 {
        let (p, run) = at(t);
        let pace = run.dot(plane.normal);
        if pace == 0.0 {
            break;
        }
        t = (t - plane.distance(p) / pace).clamp(over.low - 0.1 * over.length(), over.high + 0.1 * over.length());
    }
    at(t).0
}

/// The foot on a patch or on what its polynomials would be beyond its border, from a seed inside.
fn foot_beyond(patch: &nurbs::Surface, p: crate::math::Point3, seed: Point2) -> Point2 {
    let mut uv = seed;
    for _ in 0..20 {
        let d = patch.derivs(uv.u, uv.v, 1);
        let r = p - d.s;
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        if det <= 0.0 {
            break;
        }
        let (x, y) = (r.dot(d.su), r.dot(d.sv));
        uv = Point2::new(uv.u + (g * x - f * y) / det, uv.v + (e * y - f * x) / det);
    }
    uv
}
