//! What a side is carried on from: another patch along one of its sides, or anywhere inside it.

use super::TrialError;
use super::net::{BINOMIAL, Place4, SIDES, along, on_side};
use super::seam::inward;
use crate::geometry::{Curve, Foot, Surface, SurfaceSearch, closest_on_curve};
use crate::layout::BoxSide;
use crate::math::least_squares::LeastSquares;
use crate::math::{Interval, Vec3};
use crate::nurbs::{self, Side, SurfaceDerivs};

/// Where one patch's side meets another patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meets {
    /// Along a side of the other: the parameters on that side at the start and the end of the one's.
    Side(BoxSide, (f64, f64)),
    /// Inside the other.
    Inside,
}

/// Places along a side at which the other patch is looked for.
const LOOKS: usize = 17;

/// The side's place at a share of its length in parameters.
fn place(patch: &nurbs::Surface, side: BoxSide, share: f64) -> SurfaceDerivs {
    let (u, v) = on_side(patch, side, patch.knots_along(along(side)).domain().at(share));
    patch.derivs(u, v, 3)
}

/// The border of a clamped patch as a curve.
pub(super) fn border(patch: &nurbs::Surface, side: BoxSide) -> Result<nurbs::Curve<3>, TrialError> {
    let grain = super::net::Grain::new(patch, side);
    let points = (0..grain.columns).map(|c| patch.points()[grain.index(0, c)].to_array()).collect();
    let weights = patch.weights().map(|w| (0..grain.columns).map(|c| w[grain.index(0, c)]).collect());
    Ok(nurbs::Curve::new(patch.knots_along(along(side)).clone(), points, weights)?)
}

/// Where a patch's side meets another patch, within `search` mm; along one of the other's sides where that is `whole`. Corners within
/// the search distance of each other are one.
pub(super) fn meets(patch: &nurbs::Surface, side: BoxSide, other: &nurbs::Surface, whole: bool, search: f64) -> Result<Meets, TrialError> {
    let looks: Vec<_> = (0..LOOKS).map(|i| place(patch, side, i as f64 / (LOOKS - 1) as f64).s).collect();
    let mut best: Option<(f64, Meets)> = None;
    for edge in SIDES.into_iter().filter(|_| whole) {
        let curve = Curve::Nurbs(border(other, edge)?);
        let over = curve.domain();
        let feet: Vec<_> = looks.iter().map(|&p| closest_on_curve(&curve, over.low, over.high, p, None)).collect();
        let off = feet.iter().map(|f| f.distance).fold(0.0, f64::max);
        let end = |foot: Option<&crate::geometry::CurveFoot>| {
            let foot = foot?;
            let corner = [over.low, over.high].into_iter().find(|&t| curve.point(t).distance(foot.point) <= search);
            Some(corner.unwrap_or(foot.t))
        };
        let (Some(from), Some(to)) = (end(feet.first()), end(feet.last())) else { continue };
        if (to - from).abs() > 1e-6 * over.length() && best.is_none_or(|b| off < b.0) {
            best = Some((off, Meets::Side(edge, (from, to))));
        }
    }
    match best {
        Some((off, meets)) if off <= search => Ok(meets),
        _ => {
            let surface = Surface::Nurbs(other.clone());
            let finder = SurfaceSearch::new(&surface);
            let off = looks.iter().map(|&p| finder.closest(&surface, p).distance).fold(0.0, f64::max);
            if off <= search { Ok(Meets::Inside) } else { Err(TrialError::Apart(best.map_or(off, |b| b.0.min(off)))) }
        }
    }
}

/// A patch carried on over one of its sides, by a map of parameters that is linear across and, where that can be represented, bilinear:
/// s of parameter beyond the side, at share x of the stretch, stand for the parameters (edge ± pace · s, from + (to − from) x +
/// (`slide[0]` + `slide[1]` x) s).
#[derive(Debug, Clone)]
pub(super) struct Continuation {
    numerator: nurbs::Surface,
    weight: Option<nurbs::Surface>,
    side: BoxSide,
    stretch: (f64, f64),
    /// The follower's range along its side.
    over: Interval,
    pace: f64,
    slide: [f64; 2],
    /// Factor of all weights.
    pub scale: f64,
}

/// The pace fitted to the follower's own rows counts only within this factor of the ratio of lengths. Larger: a follower that does not
/// run on at all collapses its rows onto the side; smaller: rows are moved more than they must.
const PACE: f64 = 4.0;

impl Continuation {
    /// Of `leader` over `side`, met from and to the parameters of `stretch`, with the map that moves the follower's second row least.
    pub fn new(leader: &nurbs::Surface, side: BoxSide, stretch: (f64, f64), follower: (&nurbs::Surface, BoxSide), slides: bool) -> Self {
        let (patch, own) = follower;
        let numerator = match leader.weights() {
            None => leader.clone(),
            Some(w) => {
                let mut at = 0;
                let points = leader.points().iter().map(|p| {
                    at += 1;
                    crate::math::Point3::from_vec(p.to_vec() * w[at - 1])
                });
                nurbs::Surface::new(leader.knots_u().clone(), leader.knots_v().clone(), points.collect(), None)
                    .unwrap_or_else(|_| leader.clone())
            }
        };
        let over = patch.knots_along(along(own)).domain();
        let mut made = Self { numerator, weight: leader.weight_function(), side, stretch, over, pace: 1.0, slide: [0.0; 2], scale: 1.0 };
        made.fit(leader, patch, own, slides);
        made
    }

    fn fit(&mut self, leader: &nurbs::Surface, patch: &nurbs::Surface, own: BoxSide, slides: bool) {
        let sign = |side: BoxSide| if side.high { -1.0 } else { 1.0 };
        let (mut own_length, mut length, mut weights) = (0.0, 0.0, [0.0; 2]);
        let weight = patch.weight_function();
        let places: Vec<(f64, Vec3, Vec3, Vec3)> = (0..LOOKS)
            .map(|i| {
                let x = i as f64 / (LOOKS - 1) as f64;
                let d = place(patch, own, x);
                let (u, v) = self.at(x);
                let e = leader.derivs(u, v, 1);
                let (out, run) = if self.side.of_u { (e.su, e.sv) } else { (e.sv, e.su) };
                let (wu, wv) = on_side(patch, own, self.over.at(x));
                weights[0] += weight.as_ref().map_or(1.0, |w| w.derivs(wu, wv, 0).s.x);
                weights[1] += self.weight.as_ref().map_or(1.0, |w| w.derivs(u, v, 0).s.x);
                let into = inward(own, &d) * sign(own);
                own_length += into.length();
                length += out.length();
                // Beyond a high side its own parameter rises.
                (x, into, out * -sign(self.side), run)
            })
            .collect();
        self.scale = if weights[1] > 0.0 { weights[0] / weights[1] } else { 1.0 };
        let ratio = if length > 0.0 && own_length > 0.0 { own_length / length } else { 1.0 };
        let unknowns = if slides { 3 } else { 1 };
        let mut system = LeastSquares::new(unknowns, 1);
        for (x, into, out, run) in &places {
            for axis in 0..3 {
                system.add(0, &[out[axis], run[axis], x * run[axis]][..unknowns], &[into[axis]]);
            }
        }
        let solved: Vec<f64> = system.solve().map(|x| x.into_iter().flatten().collect()).unwrap_or_default();
        let pace = solved.first().copied().unwrap_or(ratio);
        self.pace = pace.clamp(ratio / PACE, ratio * PACE);
        if slides && self.pace == pace {
            self.slide = [solved.get(1).copied().unwrap_or(0.0), solved.get(2).copied().unwrap_or(0.0)];
        }
    }

    /// Parameters on the leader's side at a share of the stretch.
    fn at(&self, share: f64) -> (f64, f64) {
        on_side(&self.numerator, self.side, self.stretch.0 * (1.0 - share) + self.stretch.1 * share)
    }

    /// The leader's derivatives where the follower's side is at `t`.
    pub fn beside(&self, leader: &nurbs::Surface, t: f64) -> SurfaceDerivs {
        let (u, v) = self.at((t - self.over.low) / self.over.length());
        leader.derivs(u, v, 3)
    }

    /// Homogeneous derivatives, from order 0 to `order` ≤ 3, by the follower's parameter into the follower, where its side is at `t`.
    pub fn derivatives(&self, t: f64, order: usize) -> Vec<Place4> {
        let x = (t - self.over.low) / self.over.length();
        let (u, v) = self.at(x);
        let partials = |s: &nurbs::Surface| s.partials::<4>(u, v, order, Side::Right, Side::Right);
        let (top, bottom) = (partials(&self.numerator), self.weight.as_ref().map(partials));
        let out = if self.side.high { self.pace } else { -self.pace };
        let run = self.slide[0] + self.slide[1] * x;
        let power = |base: f64, exponent: usize| (0..exponent).fold(1.0, |p, _| p * base);
        let one = |m: usize| {
            let mut sum = [0.0; 4];
            for i in 0..=m {
                let factor = BINOMIAL[m][i] * power(out, m - i) * power(run, i) * self.scale;
                let (a, b) = if self.side.of_u { (m - i, i) } else { (i, m - i) };
                let w = bottom.as_ref().map_or(if m == 0 { 1.0 } else { 0.0 }, |w| w[a][b].x);
                let [px, py, pz] = top[a][b].to_array();
                for (s, value) in sum.iter_mut().zip([px, py, pz, w]) {
                    *s += factor * value;
                }
            }
            sum
        };
        (0..=order).map(one).collect()
    }
}

/// A surface met inside: at each place the follower's derivatives give up what does not lie in the leader, and keep all the rest.
pub(super) struct Lying<'a> {
    surface: Surface,
    search: SurfaceSearch,
    patch: &'a nurbs::Surface,
    weight: Option<nurbs::Surface>,
    side: BoxSide,
}

impl<'a> Lying<'a> {
    pub fn new(leader: &nurbs::Surface, patch: &'a nurbs::Surface, side: BoxSide) -> Self {
        let surface = Surface::Nurbs(leader.clone());
        let search = SurfaceSearch::new(&surface);
        Self { surface, search, patch, weight: patch.weight_function(), side }
    }

    fn foot(&self, t: f64) -> Foot {
        let (u, v) = on_side(self.patch, self.side, t);
        self.search.closest(&self.surface, self.patch.derivs(u, v, 0).s)
    }

    /// The leader's derivatives at the foot of the follower's side at `t`.
    pub fn beside(&self, t: f64) -> SurfaceDerivs {
        let foot = self.foot(t);
        self.surface.derivs(foot.uv.u, foot.uv.v, 3)
    }

    /// As [`Continuation::derivatives`], over the follower's own weights.
    pub fn derivatives(&self, t: f64, order: usize) -> Vec<Place4> {
        let l = self.beside(t);
        let (u, v) = on_side(self.patch, self.side, t);
        let own = self.patch.partials::<4>(u, v, 3, Side::Right, Side::Right);
        let sign = |m: usize| if self.side.high && m % 2 == 1 { -1.0 } else { 1.0 };
        let across = |p: &[[Vec3; 4]; 4], m: usize| sign(m) * if self.side.of_u { p[m][0] } else { p[0][m] };
        let (e, f, g) = (l.su.dot(l.su), l.su.dot(l.sv), l.sv.dot(l.sv));
        let det = e * g - f * f;
        let coordinates = |x: Vec3| {
            let (p, q) = (x.dot(l.su), x.dot(l.sv));
            if det > 0.0 { ((g * p - f * q) / det, (e * q - f * p) / det) } else { (0.0, 0.0) }
        };
        let tangent = |(a, b): (f64, f64)| l.su * a + l.sv * b;
        let second = |(a, b): (f64, f64), (c, d): (f64, f64)| l.suu * (a * c) + l.suv * (a * d + b * c) + l.svv * (b * d);
        let third =
            |(a, b): (f64, f64)| l.suuu * (a * a * a) + l.suuv * (3.0 * a * a * b) + l.suvv * (3.0 * a * b * b) + l.svvv * (b * b * b);
        let d = coordinates(across(&own, 1));
        let bend = second(d, d);
        let curve = coordinates(across(&own, 2) - bend);
        let twist = third(d) + second(d, curve) * 3.0;
        let places = [l.s.to_vec(), tangent(d), bend + tangent(curve), twist + tangent(coordinates(across(&own, 3) - twist))];
        let weights: [f64; 4] = match &self.weight {
            None => [1.0, 0.0, 0.0, 0.0],
            Some(w) => {
                let p = w.partials::<4>(u, v, 3, Side::Right, Side::Right);
                core::array::from_fn(|m| across(&p, m).x)
            }
        };
        let one = |m: usize| {
            let sum = (0..=m).fold(Vec3::ZERO, |sum, i| sum + places[m - i] * (BINOMIAL[m][i] * weights[i]));
            [sum.x, sum.y, sum.z, weights[m]]
        };
        (0..=order).map(one).collect()
    }
}
