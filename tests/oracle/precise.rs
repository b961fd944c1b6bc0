//! Curvature and its slope across joins against an independent computation in arbitrary precision.
//!
//! No fundamental form and no third derivative of a surface is used here. The section curve is what it is by
//! definition: the points of the surface in the plane square to the join. It is solved for at four places 1e-15 mm and
//! 2e-15 mm to both sides with 400 bits, as its height over the tangent plane, and differenced: at its own foot a plane curve
//! y(x) with y′ = 0 has κ = y″ and dκ/ds = y‴ (any book of curves).

use dashu_float::FBig;
use dashu_float::round::mode::HalfEven;
use rakelight_core::joins::{Border, measure};
use rakelight_core::math::Point3;
use rakelight_core::nurbs::{Direction, KnotVector, Surface};
use rakelight_tests::dice::Dice;

type Big = FBig<HalfEven>;
type Big3 = [Big; 3];

/// Bits carried: differences over 1e-15 cubed leave 1e-120 · 1e45.
const BITS: usize = 400;

fn big(x: f64) -> Big {
    Big::try_from(x).expect("finite").with_precision(BITS).value()
}

fn dot(a: &Big3, b: &Big3) -> Big {
    &a[0] * &b[0] + &a[1] * &b[1] + &a[2] * &b[2]
}

fn minus(a: &Big3, b: &Big3) -> Big3 {
    [&a[0] - &b[0], &a[1] - &b[1], &a[2] - &b[2]]
}

fn cross(a: &Big3, b: &Big3) -> Big3 {
    [&a[1] * &b[2] - &a[2] * &b[1], &a[2] * &b[0] - &a[0] * &b[2], &a[0] * &b[1] - &a[1] * &b[0]]
}

fn unit(a: &Big3) -> Big3 {
    let length = root(&dot(a, a));
    [&a[0] / &length, &a[1] / &length, &a[2] / &length]
}

/// √x by Newton from its f64 value.
fn root(x: &Big) -> Big {
    let mut r = big(x.to_f64().value().sqrt());
    for _ in 0..6 {
        r = (&r + x / &r) / big(2.0);
    }
    r
}

/// A rational Bézier patch: homogeneous control points [u][v].
struct Patch {
    net: Vec<Vec<[Big; 4]>>,
}

impl Patch {
    fn new(points: &[Vec<[f64; 3]>], weights: &[Vec<f64>]) -> Self {
        let homogeneous = |p: &[f64; 3], w: f64| [big(p[0]) * big(w), big(p[1]) * big(w), big(p[2]) * big(w), big(w)];
        let row = |(p, w): (&Vec<[f64; 3]>, &Vec<f64>)| p.iter().zip(w).map(|(p, w)| homogeneous(p, *w)).collect();
        Self { net: points.iter().zip(weights).map(row).collect() }
    }

    /// The point, by de Casteljau's algorithm; beyond 0 to 1 as well.
    fn point(&self, u: &Big, v: &Big) -> Big3 {
        let rows: Vec<[Big; 4]> = self.net.iter().map(|row| casteljau(row, v)).collect();
        let [x, y, z, w] = casteljau(&rows, u);
        [x / &w, y / &w, z / &w]
    }
}

fn casteljau(row: &[[Big; 4]], t: &Big) -> [Big; 4] {
    let mut level = row.to_vec();
    let rest = big(1.0) - t;
    while level.len() > 1 {
        level = level.windows(2).map(|w| std::array::from_fn(|i| &w[0][i] * &rest + &w[1][i] * t)).collect();
    }
    level.remove(0)
}

/// Su and Sv at (u, v) by central differences over 1e-40, right to some 80 digits.
fn tangents(patch: &Patch, u: f64, v: f64) -> [Big3; 2] {
    let (u, v, e) = (big(u), big(v), big(1e-40));
    let along_u = minus(&patch.point(&(&u + &e), &v), &patch.point(&(&u - &e), &v));
    let along_v = minus(&patch.point(&u, &(&v + &e)), &patch.point(&u, &(&v - &e)));
    let scale = big(2.0) * &e;
    [along_u.map(|x| x / &scale), along_v.map(|x| x / &scale)]
}

/// Curvature and slope at (u, v) of the section square to `side`, positive where it bends towards Su × Sv, along
/// (Su × Sv) × `side`.
fn section(patch: &Patch, (u, v): (f64, f64), side: &Big3) -> (f64, f64) {
    let foot = patch.point(&big(u), &big(v));
    let [su, sv] = tangents(patch, u, v);
    let normal = &unit(&cross(&su, &sv));
    let ahead = &cross(normal, side);
    // Rounded, the Jacobian is still enough to solve by: each step divides what is left by some 1e14.
    let near = |a: &Big3, b: &Big3| dot(a, b).to_f64().value();
    let (j00, j01, j10, j11) = (near(&su, ahead), near(&sv, ahead), near(&su, side), near(&sv, side));
    let det = j00 * j11 - j01 * j10;
    let inverse = [[j11 / det, -j01 / det], [-j10 / det, j00 / det]].map(|r| r.map(big));
    let h = big(1e-15);
    let height = |steps: f64| {
        let (mut u, mut v) = (big(u), big(v));
        let x = &h * big(steps);
        for _ in 0..12 {
            let off = minus(&patch.point(&u, &v), &foot);
            let (f0, f1) = (dot(&off, ahead) - &x, dot(&off, side));
            u -= &inverse[0][0] * &f0 + &inverse[0][1] * &f1;
            v -= &inverse[1][0] * &f0 + &inverse[1][1] * &f1;
        }
        let off = minus(&patch.point(&u, &v), &foot);
        // Solved: what is left is far below what the differences need.
        assert!((dot(&off, ahead) - &x).to_f64().value().abs() < 1e-100 && dot(&off, side).to_f64().value().abs() < 1e-100);
        dot(&off, normal)
    };
    let (m2, m1, p1, p2) = (height(-2.0), height(-1.0), height(1.0), height(2.0));
    let second = (&p1 + &m1) / (&h * &h);
    let third = (&p2 - &p1 * big(2.0) + &m1 * big(2.0) - &m2) / (&h * &h * &h * big(2.0));
    (second.to_f64().value(), third.to_f64().value())
}

/// A patch pair with one border in common: u = 1 of the first, u = 0 of the second.
struct Pair {
    points: [Vec<Vec<[f64; 3]>>; 2],
    weights: [Vec<Vec<f64>>; 2],
}

fn pair(dice: &mut Dice, tangent: bool) -> Pair {
    let across = [2 + dice.below(4), 2 + dice.below(4)];
    let along = 1 + dice.below(5);
    let rational = dice.below(2) == 1;
    let mut draw = |low: f64, high: f64| dice.within(low, high);
    let mut nets = [Vec::new(), Vec::new()];
    let mut weights = [Vec::new(), Vec::new()];
    for (k, degree) in across.into_iter().enumerate() {
        for i in 0..=degree {
            // The first lies at negative x, the second at positive; the border at x = 0.
            let x = if k == 0 { i as f64 / degree as f64 - 1.0 } else { i as f64 / degree as f64 };
            let point = |j: usize, draw: &mut dyn FnMut(f64, f64) -> f64| {
                let y = j as f64 / along as f64;
                [80.0 * x + draw(-6.0, 6.0), 60.0 * y + draw(-6.0, 6.0), draw(-15.0, 15.0)]
            };
            nets[k].push((0..=along).map(|j| point(j, &mut draw)).collect::<Vec<_>>());
            // Near 1 beside the border, so that the row that runs on there has positive weights.
            let range = if i + 1 >= degree { (0.8, 1.2) } else { (0.4, 2.5) };
            weights[k].push((0..=along).map(|_| if rational { draw(range.0, range.1) } else { 1.0 }).collect::<Vec<_>>());
        }
    }
    let (first, second) = (across[0], 1);
    nets[1][0] = nets[0][first].clone();
    weights[1][0] = weights[0][first].clone();
    if tangent {
        // In homogeneous coordinates the second row runs on from the first's by one factor, so tangent planes agree.
        let stretch = draw(0.6, 1.6);
        for j in 0..=along {
            let (w0, w1) = (weights[0][first - 1][j], weights[0][first][j]);
            let w = w1 + stretch * (w1 - w0);
            let run_on = |c: usize| {
                let (a, b) = (nets[0][first - 1][j][c] * w0, nets[0][first][j][c] * w1);
                (b + stretch * (b - a)) / w
            };
            nets[1][second][j] = std::array::from_fn(run_on);
            weights[1][second][j] = w;
        }
    }
    Pair { points: nets, weights }
}

fn surface(points: &[Vec<[f64; 3]>], weights: &[Vec<f64>]) -> Surface {
    let degree = |n: usize| KnotVector::bezier(n - 1).expect("a degree");
    let flat = points.iter().flatten().map(|p| Point3::new(p[0], p[1], p[2])).collect();
    let all: Vec<f64> = weights.iter().flatten().copied().collect();
    let rational = all.iter().any(|w| *w != 1.0);
    Surface::new(degree(points.len()), degree(points[0].len()), flat, rational.then_some(all)).expect("a patch")
}

/// The same shape with knots put in and a degree raised, so that the spline code is asked and not only Bézier's.
fn dressed(s: &Surface, dice: &mut Dice) -> Surface {
    let s = s.with_knots(Direction::U, &[dice.within(0.1, 0.9)]).expect("a knot");
    let s = s.with_knots(Direction::V, &[dice.within(0.1, 0.5), dice.within(0.5, 0.9)]).expect("knots");
    if dice.below(2) == 1 { s.elevated(Direction::U).expect("a degree") } else { s }
}

/// Relative difference, of values that are not both zero.
fn off(got: f64, want: f64) -> f64 {
    (got - want).abs() / want.abs()
}

#[test]
fn two_hundred_random_pairs_agree_in_curvature_and_slope() {
    let mut dice = Dice::new(20_261_126);
    let mut worst = [0.0f64; 4];
    for number in 0..200 {
        let pair = pair(&mut dice, number % 2 == 0);
        let sides: [Surface; 2] = std::array::from_fn(|k| dressed(&surface(&pair.points[k], &pair.weights[k]), &mut dice));
        let exact: [Patch; 2] = std::array::from_fn(|k| Patch::new(&pair.points[k], &pair.weights[k]));
        let v = dice.within(0.05, 0.95);
        let at = |k: usize, u: f64, sign: f64| {
            let derivs = sides[k].derivs(u, v, 3);
            Border { derivs, along: derivs.sv * sign }
        };
        // Each with its face on the left: A's border runs with v, B's against it.
        let got = measure(&at(0, 1.0, 1.0), &at(1, 0.0, -1.0));
        assert!(got.gap < 1e-12, "pair {number}: gap {}", got.gap);
        if number % 2 == 0 {
            assert!(got.angle.is_some_and(|a| a < 1e-5), "pair {number}: angle {:?}", got.angle);
        }
        let (curvature, slope) = (got.curvature.expect("curved"), got.slope.expect("a slope"));
        let side = unit(&tangents(&exact[0], 1.0, v)[1]);
        let (a, b) = (section(&exact[0], (1.0, v), &side), section(&exact[1], (0.0, v), &side));
        let here = [
            off(curvature.a, a.0).max(off(curvature.b, b.0)),
            off(curvature.jump(), (a.0 - b.0).abs()),
            off(slope.a, a.1).max(off(slope.b, b.1)),
            off(slope.jump(), (a.1 - b.1).abs()),
        ];
        assert!(here.iter().all(|x| *x <= 1e-6), "pair {number}: {here:?}, {got:?} against {a:?}, {b:?}");
        worst = std::array::from_fn(|i| worst[i].max(here[i]));
    }
    println!("worst relative differences of curvature, its jump, slope, its jump: {:?}", worst.map(|w| format!("{w:.1e}")));
}
