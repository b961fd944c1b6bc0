//! Worked values printed in books, written down from memory where no page was at hand to look them up; each stands beside its source.

use super::{Curvatures, curvatures};
use crate::math::{Point3, Vec3};
use crate::nurbs::{Curve, KnotVector, Surface};

fn close(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-10 * want.abs().max(1.0), "{got} against {want}");
}

fn at(surface: &Surface, u: f64, v: f64) -> Curvatures {
    let d = surface.derivs(u, v, 2);
    curvatures(&d, d.su.cross(d.sv).normalize()).unwrap()
}

fn curve(knots: &[f64], points: &[[f64; 3]], weights: &[f64]) -> Curve<3> {
    Curve::new(KnotVector::new(2, knots.to_vec()).unwrap(), points.to_vec(), Some(weights.to_vec())).unwrap()
}

/// The NURBS Book, example 4.1 (from memory): a rational quadratic over {0, 0, 0, 1, 2, 3, 3, 3} with weights {1, 4, 1, 1, 1} passes
/// through (7/5, 6/5) at u = 1.
#[test]
fn nurbs_book_example_4_1() {
    let points = [[0.0, 0.0, 0.0], [1.0, 1.0, 0.0], [3.0, 2.0, 0.0], [4.0, 1.0, 0.0], [5.0, -1.0, 0.0]];
    let c = curve(&[0.0, 0.0, 0.0, 1.0, 2.0, 3.0, 3.0, 3.0], &points, &[1.0, 4.0, 1.0, 1.0, 1.0]);
    let p = c.derivs(1.0, 0)[0];
    close(p[0], 1.4);
    close(p[1], 1.2);
}

/// The NURBS Book, example 4.2 (from memory): the quarter circle with weights {1, 1, 2} has C′(0) = (0, 2), C′(1) = (−1, 0),
/// C″(0) = (−4, 0) and C″(1) = (1, −1); both ends have curvature 1.
#[test]
fn nurbs_book_example_4_2() {
    let c = curve(&[0.0, 0.0, 0.0, 1.0, 1.0, 1.0], &[[1.0, 0.0, 0.0], [1.0, 1.0, 0.0], [0.0, 1.0, 0.0]], &[1.0, 1.0, 2.0]);
    for (t, first, second) in [(0.0, [0.0, 2.0], [-4.0, 0.0]), (1.0, [-1.0, 0.0], [1.0, -1.0])] {
        let d = c.derivs(t, 2);
        for k in 0..2 {
            close(d[1][k], first[k]);
            close(d[2][k], second[k]);
        }
        let (p, q) = (Vec3::from_array(d[1]), Vec3::from_array(d[2]));
        let length = p.length();
        close(p.cross(q).length() / (length * length * length), 1.0);
    }
}

/// Patrikalakis, Maekawa & Cho, *Shape Interrogation*, ch. 3, and do Carmo §3.3 (from memory): the hyperbolic paraboloid (u, v, uv) has
/// K = −1/(1 + u² + v²)² and H = −uv/(1 + u² + v²)^(3/2) against its upward normal; κ = ±1 at the origin.
#[test]
fn hyperbolic_paraboloid() {
    let line = || KnotVector::new(1, vec![-2.0, -2.0, 2.0, 2.0]).unwrap();
    let net = [(-2.0, -2.0), (-2.0, 2.0), (2.0, -2.0), (2.0, 2.0)].map(|(x, y)| Point3::new(x, y, x * y));
    let saddle = Surface::new(line(), line(), net.to_vec(), None).unwrap();
    let origin = at(&saddle, 0.0, 0.0);
    close(origin.max, 1.0);
    close(origin.min, -1.0);
    // At (1, 1): K = −1/9 and H = −1/(3√3), so κ = −1/√27 ± √(1/27 + 1/9).
    let k = at(&saddle, 1.0, 1.0);
    let (mean, spread) = (-1.0 / 27.0_f64.sqrt(), (4.0 / 27.0_f64).sqrt());
    close(k.max, mean + spread);
    close(k.min, mean - spread);
    close(k.gaussian(), -1.0 / 9.0);
}

/// The Bézier net over −1…1 of a polynomial given by its polar form in three arguments each way.
fn bicubic(polar: impl Fn([f64; 3], [f64; 3]) -> [f64; 3]) -> Surface {
    let knots = || KnotVector::new(3, vec![-1.0, -1.0, -1.0, -1.0, 1.0, 1.0, 1.0, 1.0]).unwrap();
    let corners = [[-1.0, -1.0, -1.0], [-1.0, -1.0, 1.0], [-1.0, 1.0, 1.0], [1.0, 1.0, 1.0]];
    let net = corners.iter().flat_map(|u| corners.iter().map(|v| polar(*u, *v))).map(|[x, y, z]| Point3::new(x, y, z));
    Surface::new(knots(), knots(), net.collect(), None).unwrap()
}

/// Polar forms of t, t² and t³ in three arguments (Ramshaw; The NURBS Book, ch. 6.6).
fn polars(t: [f64; 3]) -> [f64; 3] {
    [(t[0] + t[1] + t[2]) / 3.0, (t[0] * t[1] + t[1] * t[2] + t[2] * t[0]) / 3.0, t[0] * t[1] * t[2]]
}

/// do Carmo §3.3, exercise 5 (from memory): Enneper's surface (u − u³/3 + uv², v − v³/3 + vu², u² − v²) has principal curvatures
/// ±2/(1 + u² + v²)².
#[test]
fn enneper() {
    let surface = bicubic(|u, v| {
        let ([u1, u2, u3], [v1, v2, v3]) = (polars(u), polars(v));
        [u1 - u3 / 3.0 + u1 * v2, v1 - v3 / 3.0 + v1 * u2, u2 - v2]
    });
    for (u, v) in [(0.0, 0.0), (0.5, 0.0), (1.0, 1.0), (-0.5, 0.5), (0.3, -0.9)] {
        let root: f64 = 1.0 + u * u + v * v;
        let k = at(&surface, u, v);
        close(k.max, 2.0 / (root * root));
        close(k.min, -2.0 / (root * root));
    }
}

/// do Carmo §3.3 (from memory): the monkey saddle z = x³ − 3xy² has a planar point at the origin; elsewhere its curvatures are those of a
/// graph, K = −36 (x² + y²)/(1 + 9 (x² + y²)²)².
#[test]
fn monkey_saddle() {
    let surface = bicubic(|u, v| {
        let ([u1, _, u3], [v1, v2, _]) = (polars(u), polars(v));
        [u1, v1, u3 - 3.0 * u1 * v2]
    });
    let flat = at(&surface, 0.0, 0.0);
    assert!(flat.max.abs() < 1e-12 && flat.min.abs() < 1e-12, "{flat:?}");
    for (x, y) in [(0.5, 0.0), (0.5, 0.5), (-0.3, 0.8)] {
        let square: f64 = x * x + y * y;
        let w = 1.0 + 9.0 * square * square;
        close(at(&surface, x, y).gaussian(), -36.0 * square / (w * w));
    }
}

/// An ellipsoid with half axes a > b > c has its umbilics at x = ±a √((a² − b²)/(a² − c²)), y = 0, z = ±c √((b² − c²)/(a² − c²))
/// (Struik, *Lectures on Classical Differential Geometry*, §2-8, and do Carmo §3.3, exercise; from memory). With
/// K = 1/(abc (x²/a⁴ + y²/b⁴ + z²/c⁴))² both curvatures are ac/b³ there.
#[test]
fn umbilics_of_an_ellipsoid() {
    let (a, b, c) = (5.0, 3.0, 2.0);
    // An octant of the unit sphere as a half-degenerate biquadratic patch (The NURBS Book, ex. 7.4), mapped.
    let quarter = [(1.0, 0.0, 1.0), (1.0, 1.0, 0.5_f64.sqrt()), (0.0, 1.0, 1.0)];
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    for (x, y, w) in quarter {
        for (r, z, v) in quarter {
            points.push(Point3::new(a * x * r, b * y * r, c * z));
            weights.push(w * v);
        }
    }
    let knots = || KnotVector::bezier(2).unwrap();
    let surface = Surface::new(knots(), knots(), points, Some(weights)).unwrap();
    // The umbilic lies on the side u = 0, where z/c is the sine of the latitude; v is solved for by halving.
    let z = c * ((b * b - c * c) / (a * a - c * c)).sqrt();
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..80 {
        let v = 0.5 * (low + high);
        if surface.derivs(0.0, v, 0).s.z < z { low = v } else { high = v }
    }
    let v = 0.5 * (low + high);
    close(surface.derivs(0.0, v, 0).s.x, a * ((a * a - b * b) / (a * a - c * c)).sqrt());
    let k = at(&surface, 0.0, v);
    let want = a * c / (b * b * b);
    close(k.max.abs(), want);
    close(k.min.abs(), want);
    // Off the umbilic: the end of the longest axis has a/b² and a/c².
    let end = at(&surface, 0.0, 0.0);
    let (x, y) = (end.max.abs().max(end.min.abs()), end.max.abs().min(end.min.abs()));
    close(x, a / (c * c));
    close(y, a / (b * b));
}
