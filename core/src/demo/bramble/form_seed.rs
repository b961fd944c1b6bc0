//! Faults of form and control structure: uneven and skew rows, a ridge that flips, a ripple, a sliver.

use super::fit::{even_knots, surface, through};
use super::patch::Patch;
use super::seed::{Truth, bernstein, largest, solve};
use crate::math::{Interval, Point3, Vec3, quadrature, real};
use crate::nurbs;

/// Evenness of a net of a Bézier patch: the largest second difference of the logarithms of its legs, over rows and
/// columns (Greville abscissae are even, so they drop out).
pub(super) fn unevenness(net: &[Vec<Vec3>]) -> f64 {
    let line = |row: &[Vec3]| {
        let legs: Vec<f64> = row.windows(2).map(|w| real::log((w[1] - w[0]).length())).collect();
        legs.windows(3).map(|w| (w[2] - 2.0 * w[1] + w[0]).abs()).fold(0.0, f64::max)
    };
    let rows = net.iter().map(|r| line(r)).fold(0.0, f64::max);
    super::patch::transposed(net).iter().map(|r| line(r)).fold(rows, f64::max)
}

/// Moves one control point along its row until the net's evenness is `target`.
///
/// The last but one column is taken: it leaves the first four, and with them the join at v = 0, as they are.
pub(super) fn uneven(patch: &Patch, row: usize, target: f64) -> (Patch, Truth) {
    let column = patch.degrees().1 - 1;
    let along = (patch.net[row][column + 1] - patch.net[row][column]).normalize();
    let moved = |a: f64| {
        let mut p = patch.clone();
        p.shift(row, column, along * a);
        p
    };
    let made = moved(solve(target, |a| unevenness(&moved(a).net)));
    let place = Point3::from_vec(made.net[row][column]);
    (made.clone(), Truth { value: unevenness(&made.net), place })
}

/// Slides the row beside the centre plane along it, most at v = 0 and not at all at v = 1, until it meets the plane
/// `target` degrees off square.
///
/// The slide is (1 − v) times the centre row's own derivative, so the tangent plane on the centre plane stays.
pub(super) fn skewed(patch: &Patch, target: f64) -> (Patch, Truth) {
    let p = patch.degrees().1;
    let centre = patch.net[0].clone();
    let moved = |a: f64| {
        let mut made = patch.clone();
        for k in 0..p {
            // Bézier points of (1 − v) · C′(v): (p − k)/p of the k-th leg, C′ having degree p − 1.
            made.net[1][k] += (centre[k + 1] - centre[k]) * (a * (p - k) as f64 / p as f64);
        }
        made
    };
    let off = |net: &[Vec<Vec3>], k: usize| {
        let leg = net[1][k] - net[0][k];
        90.0 - real::asin((leg.y.abs() / leg.length()).min(1.0)).to_degrees()
    };
    let worst = |net: &[Vec<Vec3>]| (0..=p).map(|k| off(net, k)).fold(0.0, f64::max);
    let made = moved(solve(target, |a| worst(&moved(a).net)));
    let value = worst(&made.net);
    (made, Truth { value, place: Point3::from_vec(centre[0]) })
}

/// Angle of the ridge at v, degrees: positive where the cheek turns down from the hood (a convex ridge).
pub(super) fn ridge_angle(hood: &Patch, cheek: &Patch, v: f64) -> f64 {
    let (h, c) = (hood.derivs(1.0, v), cheek.derivs(0.0, v));
    let along = h.sv.normalize();
    let square = |d: Vec3| (d - along * along.dot(d)).normalize();
    let (out_of_hood, into_cheek) = (square(h.su), square(c.su));
    let inward = h.su.cross(h.sv).normalize();
    real::atan2(into_cheek.dot(inward), into_cheek.dot(out_of_hood)).to_degrees()
}

/// Lifts one control point beside the ridge until the ridge turns concave by `target` degrees at its worst.
///
/// Second result: the largest angle anywhere along the two patches, what a join check sees.
pub(super) fn flipped(hood: &Patch, cheek: &Patch, target: f64) -> (Patch, Truth, Truth) {
    let d = cheek.derivs(0.0, 0.2);
    let outward = -d.su.cross(d.sv).normalize();
    let moved = |a: f64| {
        let mut p = cheek.clone();
        p.shift(1, 1, outward * a);
        p
    };
    let before = largest(|v| -ridge_angle(hood, cheek, v)).1;
    let amount = solve(target - before, |a| largest(|v| -ridge_angle(hood, &moved(a), v)).1 - before);
    let made = moved(amount);
    let truth = |sign: f64| {
        let (v, value) = largest(|v| sign * ridge_angle(hood, &made, v));
        Truth { value, place: cheek.derivs(0.0, v).s }
    };
    let (concave, convex) = (truth(-1.0), truth(1.0));
    (made, concave, convex)
}

/// Spans a rippled patch needs.
const RIPPLE_SPANS: usize = 14;
/// Length of one wave as a share of the patch.
const WAVE: f64 = 0.2;

/// Lays a cosine ripple over the patch, along v and fading towards all sides, of amplitude `target` mm.
///
/// Second result: the largest slope of the ripple, degrees (2πa/λ).
pub(super) fn rippled(patch: &Patch, column: usize, target: f64) -> (nurbs::Surface, Truth) {
    let (p, _) = patch.degrees();
    let knots = even_knots(RIPPLE_SPANS);
    let (u, peak) = largest(|u| bernstein(p, column, u));
    let d = patch.derivs(u, 0.5);
    let outward = -d.su.cross(d.sv).normalize();
    // Control ordinates of the wave; four rows at each end stay, so the joins there keep their third order.
    let greville = knots.greville();
    let last = greville.len() - 1;
    let wave: Vec<f64> = greville
        .iter()
        .enumerate()
        .map(|(j, &v)| {
            if j < 4 || j + 4 > last {
                return 0.0;
            }
            let (low, high) = (greville[3], greville[last - 3]);
            let x = (v - low) / (high - low);
            16.0 * x * x * (1.0 - x) * (1.0 - x) * real::cos(real::TAU * (v - 0.5) / WAVE)
        })
        .collect();
    let ordinates = wave.iter().map(|&w| [w]).collect();
    let curve = super::patch::built(nurbs::Curve::<1>::new(knots.clone(), ordinates, None));
    let height = |v: f64| curve.derivs(v, 0)[0][0];
    let crest = largest(|v| height(v).abs()).1;
    let scale = target / (peak * crest);
    let rows: Vec<Vec<Vec3>> = (0..=p)
        .map(|i| {
            let row = through(&knots, |v| patch.net[i].iter().enumerate().map(|(j, &q)| q * bernstein(5, j, v)).sum());
            let lift = |j: usize| if i == column { outward * (scale * wave[j]) } else { Vec3::ZERO };
            row.iter().enumerate().map(|(j, &q)| q + lift(j)).collect()
        })
        .collect();
    let steepest = largest(|v| curve.derivs(v, 1)[1][0].abs()).1 * scale * peak / d.sv.length();
    let truth = Truth { value: real::atan(steepest).to_degrees(), place: d.s };
    (surface(&rows, None, &knots), truth)
}

/// The v at which a strip cut from the start of the patch has the width `target` mm: that of the rectangle of the same
/// area and perimeter.
pub(super) fn sliver(patch: &Patch, target: f64) -> (f64, Truth) {
    let unit = Interval::new(0.0, 1.0);
    let width = |cut: f64| {
        let s = patch.part((0.0, 1.0), (0.0, cut)).surface();
        let area = quadrature::gauss_8(unit, |u| {
            quadrature::gauss_8(unit, |v| {
                let d = s.derivs(u, v, 1);
                d.su.cross(d.sv).length()
            })
        });
        let across = |v: f64| quadrature::gauss_8(unit, |u| s.derivs(u, v, 1).su.length());
        let along = |u: f64| quadrature::gauss_8(unit, |v| s.derivs(u, v, 1).sv.length());
        let perimeter = across(0.0) + across(1.0) + along(0.0) + along(1.0);
        let length = (perimeter + (perimeter * perimeter - 16.0 * area).max(0.0).sqrt()) / 4.0;
        area / length
    };
    let cut = solve(target, width);
    (cut, Truth { value: width(cut), place: patch.derivs(0.5, 0.5 * cut).s })
}
