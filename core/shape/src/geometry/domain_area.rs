//! Area of a trimmed region by Green's theorem over its exact boundary.

use super::Surface;
use super::domain::{Domain, DomainSide};
use super::trim::TrimPoint;
use crate::math::quadrature::Estimate;
use crate::math::{Arrange, Interval, Point2, quadrature, real};
use crate::nurbs;
use core::cell::Cell;

/// ∬ |Su × Sv| du dv = −∮ G du with ∂G/∂v = |Su × Sv|. G is a closed form for analytic and swept kinds and, for the others, an
/// integral by Gauss–Kronrod over each span; the outer integral goes likewise over stretches of the trims
/// that end at their breaks and at the patch's knot lines.
pub(super) fn area(domain: &Domain, surface: &Surface) -> f64 {
    area_and_cost(domain, surface).0
}

/// The area, and what it cost, in evaluations of a bilinear patch.
fn area_and_cost(domain: &Domain, surface: &Surface) -> (f64, u32) {
    let (u, v) = domain.bounds();
    if !u.is_bounded() || !v.is_bounded() {
        return (0.0, 0);
    }
    let along = match surface {
        Surface::Nurbs(s) => cheaper(domain, s),
        // |Su × Sv| does not change along u, so that is where its integral is a product.
        Surface::Revolution(_) => Along::U,
        _ => Along::V,
    };
    let inner = Inner {
        surface,
        along,
        from: if along == Along::V { v.low } else { u.low },
        left: Cell::new(BUDGET),
        cost: cost(surface),
        scale: Cell::new(0.0),
    };
    let mut stretches: Vec<(&DomainSide, Interval, Estimate)> = Vec::new();
    for side in domain.loops.iter().flat_map(|l| &l.sides) {
        for w in stops(side, &inner).windows(2) {
            let over = Interval::new(w[0], w[1]);
            stretches.push((side, over, quadrature::kronrod_15(over, |s| inner.integrand(&side.at(surface, s)))));
        }
    }
    // Errors are judged against the whole: stretches that add next to nothing need no digits of their own.
    let size: f64 = stretches.iter().map(|(_, _, e)| e.size).sum();
    let least = NOISE * inner.scale.get() * u.length() * v.length();
    let sum = |(side, over, whole): &(&DomainSide, Interval, Estimate)| {
        let depth = if inner.left.get() == 0 { 0 } else { 6 };
        quadrature::refined(*over, *whole, OUTER * size + least, depth, &mut |s| inner.integrand(&side.at(surface, s)))
    };
    let area = stretches.iter().map(sum).sum::<f64>().abs();
    (area, BUDGET - inner.left.get())
}

/// Error allowed to each stretch of the boundary, as a share of all stretches' absolute sum. Larger: areas miss
/// 1e-7; smaller: slower for digits the file's own tolerance does not carry.
const OUTER: f64 = 1e-8;

/// Relative error allowed to the inner integral over one span. Larger: the outer integral sees steps and halves in
/// vain; smaller: slower.
const INNER: f64 = 1e-9;

/// Rounding of |Su × Sv| as a share of |Su| |Sv|: where the two are parallel all along, nothing else is left of it.
/// Larger: slivers lose digits; smaller: a patch folded to a line is refined for nothing, for a third of a second.
const NOISE: f64 = 1e-13;

/// Evaluations of a bilinear patch, or what costs as much, after which nothing is refined any more: damaged faces have
/// integrands that never settle. Smaller: large patches of many spans lose digits; larger: one damaged face costs seconds.
const BUDGET: u32 = 2_000_000;

/// Which parameter the inner integral runs along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Along {
    U,
    V,
}

struct Inner<'a> {
    surface: &'a Surface,
    along: Along,
    from: f64,
    left: Cell<u32>,
    /// What one evaluation costs.
    cost: u32,
    /// Largest |Su| |Sv| met.
    scale: Cell<f64>,
}

impl Inner<'_> {
    /// −G du or +F dv at a point of the boundary, by its share.
    fn integrand(&self, p: &TrimPoint) -> f64 {
        let (speed, sign, end) = match self.along {
            Along::V => (p.duv.x, -1.0, p.uv.v),
            Along::U => (p.duv.y, 1.0, p.uv.u),
        };
        if speed == 0.0 || end == self.from {
            return 0.0;
        }
        let v = p.uv.v;
        let g = match self.surface {
            Surface::Plane(_) => v - self.from,
            Surface::Cylinder(s) => s.radius * (v - self.from),
            Surface::Cone(s) => {
                // |ρ| / cos φ integrated from the apex, where ρ = r + v tan φ changes sign.
                let rho = |v: f64| s.radius + v * real::tan(s.half_angle);
                let from_apex = |v: f64| rho(v) * rho(v).abs() / (2.0 * real::sin(s.half_angle));
                from_apex(v) - from_apex(self.from)
            }
            Surface::Sphere(s) => s.radius * s.radius * (real::sin(v) - real::sin(self.from)),
            Surface::Torus(s) => s.minor * (s.major * (v - self.from) + s.minor * (real::sin(v) - real::sin(self.from))),
            Surface::Nurbs(s) => self.over_spans(p, s.knots_u().knots(), s.knots_v().knots()),
            Surface::Revolution(_) => self.element(p.uv) * (p.uv.u - self.from),
            Surface::Extrusion(_) => self.element(p.uv) * (v - self.from),
            surface => {
                let (u, v) = surface.breaks();
                self.over_spans(p, &u, &v)
            }
        };
        sign * speed * g
    }

    /// |Su × Sv| at a point.
    fn element(&self, uv: Point2) -> f64 {
        let d = self.surface.derivs(uv.u, uv.v, 1);
        let scale = d.su.length() * d.sv.length();
        if scale > self.scale.get() && scale.is_finite() {
            self.scale.set(scale);
        }
        d.su.cross(d.sv).length()
    }

    fn over_spans(&self, p: &TrimPoint, breaks_u: &[f64], breaks_v: &[f64]) -> f64 {
        let (breaks, end) = match self.along {
            Along::V => (breaks_v, p.uv.v),
            Along::U => (breaks_u, p.uv.u),
        };
        let (low, high, sign) = if end > self.from { (self.from, end, 1.0) } else { (end, self.from, -1.0) };
        let mut sum = 0.0;
        let mut start = low;
        let inner = breaks.iter().copied().filter(|&k| k > low && k < high);
        for stop in inner.chain([high]) {
            if stop <= start {
                continue;
            }
            let mut stretch = |w: f64| {
                self.left.set(self.left.get().saturating_sub(self.cost));
                let (u, v) = if self.along == Along::V { (p.uv.u, w) } else { (w, p.uv.v) };
                self.element(Point2::new(u, v))
            };
            let over = Interval::new(start, stop);
            let whole = quadrature::kronrod_15(over, &mut stretch);
            let depth = if self.left.get() == 0 { 0 } else { 8 };
            sum += quadrature::refined(over, whole, INNER * whole.size + NOISE * self.scale.get() * over.length(), depth, &mut stretch);
            start = stop;
        }
        sign * sum
    }
}

/// What an evaluation with first derivatives costs, in those of a bilinear patch: by control points for a spline, and by what was
/// timed for the others (an offset carries series along).
fn cost(surface: &Surface) -> u32 {
    match surface {
        Surface::Nurbs(s) => {
            let points = (s.knots_u().degree() + 1) * (s.knots_v().degree() + 1);
            (points as u32).div_ceil(4)
        }
        Surface::Offset(s) => 24 + 4 * cost(&s.basis),
        _ => 4,
    }
}

/// Shares from the side's start to its end at which smooth stretches meet.
fn stops(side: &DomainSide, inner: &Inner) -> Vec<f64> {
    let (low, high) = (side.from.min(side.to), side.from.max(side.to));
    let nodes = side.nodes();
    let mut stops = vec![low, high];
    stops.extend(side.trim.breaks());
    let cut = |stops: &mut Vec<f64>, breaks: &[f64], pick: &dyn Fn(f64) -> f64, of: &dyn Fn(usize) -> f64| {
        for &line in breaks {
            for i in 1..nodes.len() {
                let (a, b) = (of(i - 1) - line, of(i) - line);
                if a * b < 0.0 {
                    stops.push(crossing(nodes[i - 1].0, nodes[i].0, a, &|s| pick(s) - line));
                }
            }
        }
    };
    let (breaks_u, breaks_v) = inner.surface.breaks();
    cut(&mut stops, &breaks_u, &|t| side.uv(inner.surface, t).u, &|i| nodes[i].1.u);
    cut(&mut stops, &breaks_v, &|t| side.uv(inner.surface, t).v, &|i| nodes[i].1.v);
    stops.retain(|&s| s >= low && s <= high);
    stops.arrange_by(f64::total_cmp);
    stops.dedup_by(|b, a| *b - *a < 1e-12);
    if side.from > side.to {
        stops.reverse();
    }
    stops
}

/// Share at which `f` changes sign between two shares; `fa` is its value's sign at `a`.
fn crossing(a: f64, b: f64, fa: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (a, b);
    for _ in 0..40 {
        let middle = 0.5 * (a + b);
        if (f(middle) < 0.0) == (fa < 0.0) { a = middle } else { b = middle }
    }
    0.5 * (a + b)
}

/// The direction that costs fewer evaluations: sides along an isoparametric line of the inner direction are free.
fn cheaper(domain: &Domain, s: &nurbs::Surface) -> Along {
    let (mut moves_u, mut moves_v) = (0usize, 0usize);
    for side in domain.loops.iter().flat_map(|l| &l.sides) {
        for w in side.polyline().windows(2) {
            moves_u += usize::from(w[0].u != w[1].u);
            moves_v += usize::from(w[0].v != w[1].v);
        }
    }
    let along_v = moves_u.saturating_mul(s.knots_v().span_count() + 1);
    let along_u = moves_v.saturating_mul(s.knots_u().span_count() + 1);
    if along_v <= along_u { Along::V } else { Along::U }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::Point3;
    use crate::nurbs::KnotVector;

    /// A net all on one line, its points out of order: Su and Sv are parallel everywhere, and |Su × Sv| is rounding.
    #[test]
    fn a_patch_folded_to_a_line_costs_no_more_than_a_sound_one() {
        let net = |z: f64| {
            let along = [0.0, 7.0, 2.0, 9.0, 1.0, 5.0, 3.0, 8.0, 4.0];
            let at = |(k, t): (usize, f64)| Point3::new(11.0 + 3.1 * t, 5.0 - 1.7 * t, 0.3 * t + z * (k % 3) as f64);
            let knots = || KnotVector::bezier(2).unwrap();
            nurbs::Surface::new(knots(), knots(), along.into_iter().enumerate().map(at).collect(), None).unwrap()
        };
        let cost = |s: nurbs::Surface| {
            let s = Surface::Nurbs(s);
            let domain = Domain::rectangle(&s, Interval::new(0.0, 1.0), Interval::new(0.0, 1.0)).unwrap();
            area_and_cost(&domain, &s)
        };
        let (area, evaluations) = cost(net(0.0));
        assert!(area < 1e-9 && evaluations < 20_000, "{area} mm², {evaluations}");
        let (area, evaluations) = cost(net(4.0));
        assert!(area > 10.0 && evaluations < 1_000_000, "{area} mm², {evaluations}");
    }

    /// An offset past the radius of curvature has folds, where |Su × Sv| has a corner that no halving smooths out.
    #[test]
    fn a_folded_offset_stops_within_its_budget() {
        let knots = || KnotVector::bezier(3).unwrap();
        let net = (0..16).map(|k| {
            let (x, y) = ((k / 4) as f64, (k % 4) as f64);
            Point3::new(10.0 * x, 10.0 * y, 9.0 * real::sin(2.1 * x + 1.3 * y))
        });
        let basis = Surface::Nurbs(nurbs::Surface::new(knots(), knots(), net.collect(), None).unwrap());
        let s = Surface::Offset(super::super::Offset { basis: Box::new(basis), distance: 25.0 });
        let domain = Domain::rectangle(&s, Interval::new(0.0, 1.0), Interval::new(0.0, 1.0)).unwrap();
        let (area, spent) = area_and_cost(&domain, &s);
        assert!(area.is_finite() && area > 0.0);
        assert!(spent / cost(&s) < 100_000, "{spent}");
    }
}
