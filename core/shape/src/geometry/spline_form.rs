//! Any surface as a spline over the same parameters, close enough to draw and to write.

use super::Surface;
use crate::math::{Interval, Point3, Vec3, real};
use crate::nurbs::{self, Direction, KnotVector, NurbsError};
use core::fmt;

/// Why a surface has no spline form.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum SplineFormError {
    /// A range is endless or has no length.
    Range,
    /// The surface gives positions that are not finite.
    NotFinite,
    /// The surface is too rough: the best distance reached, mm.
    TooRough(f64),
    /// The numbers make no spline.
    Spline(NurbsError),
}

impl fmt::Display for SplineFormError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Range => write!(f, "the range of parameters is endless or has no length"),
            Self::NotFinite => write!(f, "the surface gives positions that are not finite numbers"),
            Self::TooRough(left) => write!(f, "no spline of bearable size comes nearer than {left} mm"),
            Self::Spline(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for SplineFormError {}

impl From<NurbsError> for SplineFormError {
    fn from(e: NurbsError) -> Self {
        Self::Spline(e)
    }
}

/// Degree in a curved direction: the nodes of a cell are its points, so that error falls with the sixth power of its
/// width.
const DEGREE: usize = 5;

/// Most cells in one direction. Larger: a crease the surface does not declare is cut without end; smaller: long
/// surfaces of many waves have no form.
const MOST_CELLS: usize = 256;

/// Most cells in all, against the product of two fine directions. A cell holds up to 36 points.
const MOST_IN_ALL: usize = 16_384;

/// Thinnest cell worth halving, as a share of the range: below it the surface is torn. Larger: sharp bends count as
/// tears; smaller: a tear is bridged by a sliver no check looks into.
const THINNEST: f64 = 1e-7;

/// Most lines across along which one direction is cut. Larger: slower; smaller: a bend beside them is only seen by the
/// last check, and costs another round.
const MOST_LINES: usize = 48;

/// Rounds of cutting, each with a fifth of the aim. Smaller: surfaces with a bend beside all lines have no form.
const ROUNDS: usize = 3;

/// The part of a surface over a box in (u, v) as a spline over the same (u, v), within `tolerance`, mm.
///
/// Spline patches are cut exactly. Other surfaces are interpolated, in cells of degree 5 (1 along the straight lines
/// of planes, extrusions and ruled surfaces) that meet without a gap; cells are halved until the distance, checked
/// between the nodes, is below the tolerance. Derivatives then agree to about the tolerance over a cell's width.
///
/// # Errors
/// See [`SplineFormError`]; offsets of creased surfaces, which are torn along the crease, are too rough.
pub fn spline_form(surface: &Surface, u: Interval, v: Interval, tolerance: f64) -> Result<nurbs::Surface, SplineFormError> {
    if !(u.is_bounded() && v.is_bounded() && u.length() > 0.0 && v.length() > 0.0) {
        return Err(SplineFormError::Range);
    }
    if let Surface::Nurbs(s) = surface {
        return Ok(s.between(Direction::U, u.low, u.high)?.between(Direction::V, v.low, v.high)?);
    }
    let (degree_u, degree_v) = match surface {
        Surface::Plane(_) => (1, 1),
        Surface::Extrusion(_) | Surface::Ruled(_) | Surface::Cylinder(_) | Surface::Cone(_) => (DEGREE, 1),
        _ => (DEGREE, DEGREE),
    };
    let (nodes_u, nodes_v) = (Nodes::new(degree_u), Nodes::new(degree_v));
    let (breaks_u, breaks_v) = surface.breaks();
    let (rough_u, rough_v) = (cuts(u, breaks_u), cuts(v, breaks_v));
    let (lines_u, lines_v) = (lines(&rough_u), lines(&rough_v));
    // Interpolation of what is interpolated already enlarges the error a little: Lebesgue's constant is below 2 here.
    let mut aim = 0.3 * tolerance;
    let mut worst = f64::INFINITY;
    for _ in 0..ROUNDS {
        let cuts_u = fine_cuts(&rough_u, &nodes_u, &lines_v, aim, &|t, line| surface.point(t, line).to_vec())?;
        let cuts_v = fine_cuts(&rough_v, &nodes_v, &lines_u, aim, &|t, line| surface.point(line, t).to_vec())?;
        if cuts_u.len() * cuts_v.len() > MOST_IN_ALL {
            break;
        }
        let form = build(surface, &cuts_u, &cuts_v, &nodes_u, &nodes_v)?;
        worst = farthest(surface, &form, &cuts_u, &cuts_v);
        if worst <= tolerance {
            return Ok(form);
        }
        aim *= 0.2;
    }
    Err(SplineFormError::TooRough(worst))
}

/// Lines across the cuts of the other direction along which the error is looked at: uneven shares of each stretch, so
/// that symmetric surfaces do not fool the test, and no more than [`MOST_LINES`].
fn lines(cuts: &[f64]) -> Vec<f64> {
    const SHARES: [f64; 4] = [0.0, 0.21, 0.43, 0.77];
    let mut all: Vec<f64> = cuts.windows(2).flat_map(|w| SHARES.map(|s| Interval::new(w[0], w[1]).at(s))).collect();
    all.extend(cuts.last());
    let stride = all.len().div_ceil(MOST_LINES);
    all.into_iter().step_by(stride).collect()
}

/// Halves the stretches between cuts until interpolation along each line keeps to the aim between its nodes.
fn fine_cuts(rough: &[f64], nodes: &Nodes, lines: &[f64], aim: f64, point: &dyn Fn(f64, f64) -> Vec3) -> Result<Vec<f64>, SplineFormError> {
    let whole = rough.last().zip(rough.first()).map_or(0.0, |(b, a)| b - a);
    let mut done = vec![rough.first().copied().unwrap_or(0.0)];
    let mut ahead: Vec<f64> = rough.iter().skip(1).rev().copied().collect();
    while let (Some(&low), Some(&high)) = (done.last(), ahead.last()) {
        let over = Interval::new(low, high);
        let mut worst = 0.0f64;
        for &line in lines {
            let off = nodes.miss(&|share| point(over.at(share), line));
            if !off.is_finite() {
                return Err(SplineFormError::NotFinite);
            }
            worst = worst.max(off);
            if worst > aim {
                break;
            }
        }
        let middle = over.at(0.5);
        if worst > aim && middle > low && middle < high {
            if done.len() + ahead.len() > MOST_CELLS || over.length() < THINNEST * whole {
                return Err(SplineFormError::TooRough(worst));
            }
            ahead.push(middle);
        } else {
            done.push(high);
            ahead.pop();
        }
    }
    Ok(done)
}

/// Largest distance at an inner place of every cell that is no node, mm.
fn farthest(surface: &Surface, form: &nurbs::Surface, cuts_u: &[f64], cuts_v: &[f64]) -> f64 {
    let mut worst = 0.0f64;
    for a in cuts_u.windows(2) {
        for b in cuts_v.windows(2) {
            let (u, v) = (Interval::new(a[0], a[1]).at(0.43), Interval::new(b[0], b[1]).at(0.57));
            worst = worst.max(form.derivs(u, v, 0).s.distance(surface.point(u, v)));
        }
    }
    worst
}

/// Ends and inner breaks of a range; slivers beside a break are not worth a cell.
fn cuts(over: Interval, breaks: Vec<f64>) -> Vec<f64> {
    let sliver = 1e-9 * over.length();
    let mut all = vec![over.low];
    all.extend(breaks.into_iter().filter(|&t| t > over.low + sliver && t < over.high - sliver));
    all.push(over.high);
    all
}

/// Nodes of a cell in one direction, and what turns values there into control points.
struct Nodes {
    degree: usize,
    /// Shares of the cell, both ends included: Chebyshev's, which keep the error even.
    at: Vec<f64>,
    /// Row i gives control point i from the values at the nodes.
    rows: Vec<Vec<f64>>,
    /// Shares between the nodes, each with the factors that give the interpolant there from the values at the nodes.
    between: Vec<(f64, Vec<f64>)>,
}

impl Nodes {
    fn new(degree: usize) -> Self {
        let at: Vec<f64> = (0..=degree)
            .map(|k| match k {
                0 => 0.0,
                _ if k == degree => 1.0,
                _ => 0.5 - 0.5 * real::cos(real::PI * k as f64 / degree as f64),
            })
            .collect();
        let rows = inverse(at.iter().map(|&t| bernstein(degree, t)).collect());
        let between = at
            .windows(2)
            .map(|w| {
                let share = 0.5 * (w[0] + w[1]);
                let b = bernstein(degree, share);
                (share, (0..=degree).map(|k| b.iter().zip(&rows).map(|(x, row)| x * row[k]).sum()).collect())
            })
            .collect();
        Self { degree, at, rows, between }
    }

    /// Control points from values at the nodes.
    fn controls(&self, values: &[Vec3]) -> Vec<Vec3> {
        self.rows.iter().map(|row| row.iter().zip(values).map(|(&a, &x)| x * a).sum()).collect()
    }

    /// How far the interpolant of a curve over the cell strays from it between the nodes; not finite when the curve is
    /// not.
    fn miss(&self, curve: &dyn Fn(f64) -> Vec3) -> f64 {
        let values: Vec<Vec3> = self.at.iter().map(|&t| curve(t)).collect();
        let mut worst = 0.0;
        for (share, factors) in &self.between {
            let here: Vec3 = factors.iter().zip(&values).map(|(&a, &x)| x * a).sum();
            let off = here.distance(curve(*share));
            if off.is_nan() || off > worst {
                worst = off;
            }
            if off.is_nan() {
                break;
            }
        }
        worst
    }
}

/// Values of the Bernstein polynomials of a degree (NB eq. 1.8).
fn bernstein(degree: usize, t: f64) -> Vec<f64> {
    let mut b = vec![1.0];
    for d in 1..=degree {
        let mut next = vec![0.0; d + 1];
        for (i, x) in b.iter().enumerate() {
            next[i] += x * (1.0 - t);
            next[i + 1] += x * t;
        }
        b = next;
    }
    b
}

/// Inverse of a small well-conditioned matrix, by elimination with row exchange.
fn inverse(mut m: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let n = m.len();
    let mut inv: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    for k in 0..n {
        let pivot = (k..n).max_by(|&a, &b| m[a][k].abs().total_cmp(&m[b][k].abs())).unwrap_or(k);
        m.swap(k, pivot);
        inv.swap(k, pivot);
        let scale = 1.0 / m[k][k];
        for j in 0..n {
            m[k][j] *= scale;
            inv[k][j] *= scale;
        }
        for i in (0..n).filter(|&i| i != k) {
            let factor = m[i][k];
            for j in 0..n {
                let (a, b) = (m[k][j], inv[k][j]);
                m[i][j] -= factor * a;
                inv[i][j] -= factor * b;
            }
        }
    }
    inv
}

/// The spline of all cells, knots as many as the degree where they meet.
fn build(surface: &Surface, cuts_u: &[f64], cuts_v: &[f64], u: &Nodes, v: &Nodes) -> Result<nurbs::Surface, SplineFormError> {
    let (p, q) = (u.degree, v.degree);
    let (nu, nv) = ((cuts_u.len() - 1) * p + 1, (cuts_v.len() - 1) * q + 1);
    let mut points = vec![Point3::ORIGIN; nu * nv];
    for (i, a) in cuts_u.windows(2).enumerate() {
        for (j, b) in cuts_v.windows(2).enumerate() {
            let (over_u, over_v) = (Interval::new(a[0], a[1]), Interval::new(b[0], b[1]));
            // Control points of each line of nodes along v, then of those along u.
            let lines: Vec<Vec<Vec3>> =
                u.at.iter()
                    .map(|&s| {
                        let values: Vec<Vec3> = v.at.iter().map(|&t| surface.point(over_u.at(s), over_v.at(t)).to_vec()).collect();
                        v.controls(&values)
                    })
                    .collect();
            for l in 0..=q {
                let line: Vec<Vec3> = lines.iter().map(|x| x[l]).collect();
                for (k, c) in u.controls(&line).into_iter().enumerate() {
                    points[(i * p + k) * nv + j * q + l] = Point3::from_vec(c);
                }
            }
        }
    }
    let knots = |cuts: &[f64], degree: usize| {
        let mut all: Vec<f64> = cuts.iter().flat_map(|&t| core::iter::repeat_n(t, degree)).collect();
        all.extend(cuts.last());
        all.splice(0..0, cuts.first().copied());
        KnotVector::new(degree, all)
    };
    Ok(nurbs::Surface::new(knots(cuts_u, p)?, knots(cuts_v, q)?, points, None)?)
}

#[cfg(test)]
mod tests {
    use super::super::domain_tests::frame;
    use super::*;
    use crate::geometry::{Cone, Curve, Cylinder, Ellipse, Extrusion, Offset, Plane, Revolution, Ruled, Sphere, Torus};
    use proptest::prelude::*;

    fn spline(n: &[f64]) -> Curve {
        let points = (0..7).map(|i| [4.0 + n[i], 3.0 * i as f64 - 8.0, n[i + 7]]).collect();
        let weights = Some((0..7).map(|i| 1.0 + 0.4 * n[i + 3]).collect());
        Curve::Nurbs(nurbs::Curve::new(KnotVector::uniform(3, 4).unwrap(), points, weights).unwrap())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn keeps_its_tolerance_everywhere_with_the_same_parameters(
            n in proptest::collection::vec(-0.9f64..0.9, 16), digits in 3i32..10, places in proptest::collection::vec((0.0f64..=1.0, 0.0f64..=1.0), 12),
        ) {
            let f = frame();
            let (turn, unit) = (Interval::new(0.3, 6.0), Interval::new(0.0, 1.0));
            let ellipse = Curve::Ellipse(Ellipse { frame: f, semi_x: 5.0, semi_y: 2.0 });
            let revolution = Surface::Revolution(Revolution { frame: f, profile: Box::new(spline(&n)), range: unit });
            let kinds = [
                (Surface::Plane(Plane { frame: f }), turn, unit),
                (Surface::Cylinder(Cylinder { frame: f, radius: 4.0 }), turn, turn),
                (Surface::Cone(Cone { frame: f, radius: 4.0, half_angle: 0.4 }), turn, unit),
                (Surface::Sphere(Sphere { frame: f, radius: 4.0 }), turn, unit),
                (Surface::Torus(Torus { frame: f, major: 8.0, minor: 4.0 }), turn, turn),
                (revolution.clone(), turn, Interval::new(0.05, 0.9)),
                (Surface::Extrusion(Extrusion { directrix: Box::new(spline(&n)), direction: f.z, range: unit }), unit, turn),
                (
                    Surface::Ruled(Ruled { first: Box::new(spline(&n)), first_range: (0.0, 1.0), second: Box::new(ellipse), second_range: (2.0, 0.5) }),
                    unit,
                    unit,
                ),
                (Surface::Offset(Offset { basis: Box::new(revolution), distance: 0.05 }), turn, unit),
            ];
            let tolerance = real::pow(10.0, -f64::from(digits));
            for (s, u, v) in kinds {
                let form = spline_form(&s, u, v, tolerance).unwrap();
                prop_assert_eq!(form.domain(), (u, v));
                for &(a, b) in &places {
                    let (a, b) = (u.at(a), v.at(b));
                    let gap = form.derivs(a, b, 0).s.distance(s.point(a, b));
                    prop_assert!(gap <= 1.5 * tolerance + 1e-12, "{}: {gap} for {tolerance}", s.kind().name());
                }
            }
        }
    }

    #[test]
    fn says_why_there_is_none() {
        let s = Surface::Plane(Plane { frame: frame() });
        assert_eq!(spline_form(&s, Interval::ALL, Interval::new(0.0, 1.0), 1e-3), Err(SplineFormError::Range));
        let zigzag = nurbs::Curve::new(KnotVector::uniform(1, 2).unwrap(), vec![[5., 0., 0.], [6., 0., 2.], [5., 0., 4.]], None).unwrap();
        let unit = Interval::new(0.0, 1.0);
        let turned =
            Surface::Revolution(Revolution { frame: crate::math::Frame::WORLD, profile: Box::new(Curve::Nurbs(zigzag)), range: unit });
        assert!(spline_form(&turned, unit, unit, 1e-6).is_ok());
        let torn = Surface::Offset(Offset { basis: Box::new(turned), distance: 0.3 });
        assert!(matches!(spline_form(&torn, unit, unit, 1e-6), Err(SplineFormError::TooRough(x)) if x > 1e-6));
    }
}
