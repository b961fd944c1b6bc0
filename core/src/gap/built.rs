//! Panels built for the tests of gaps: their edges are lines of a plan, 200 mm long.

use crate::math::{Frame, Point3, Vec3};
use crate::nurbs::{KnotVector, Surface};

/// Length of all edges, mm.
pub const LENGTH: f64 = 200.0;

/// A line in the plan: y at x = 0 and at x = 200.
pub type Line = (f64, f64);

pub fn on(line: Line, x: f64) -> f64 {
    line.0 + (line.1 - line.0) * x / LENGTH
}

/// A panel between two lines of the plan, as the graph of a height of degree two: exact as a patch of degree two both ways.
pub fn panel(f: &Frame, from: Line, to: Line, height: &dyn Fn(f64, f64) -> f64) -> Surface {
    let at = |u: f64, v: f64| {
        let x = LENGTH * u;
        let y = on(from, x) * (1.0 - v) + on(to, x) * v;
        f.point(x, y, height(x, y)).to_vec()
    };
    // Bézier points of a parabola through its values at 0, ½ and 1.
    let row = |values: [Vec3; 3]| [values[0], values[1] * 2.0 - (values[0] + values[2]) * 0.5, values[2]];
    let columns = [0.0, 0.5, 1.0].map(|u| row([at(u, 0.0), at(u, 0.5), at(u, 1.0)]));
    let across = [0, 1, 2].map(|j| row([columns[0][j], columns[1][j], columns[2][j]]));
    let net = (0..3).flat_map(|i| (0..3).map(move |j| (i, j))).map(|(i, j)| Point3::from_vec(across[j][i])).collect();
    let knots = || KnotVector::bezier(2).unwrap();
    Surface::new(knots(), knots(), net, None).unwrap()
}

/// A rounding of radius `r` from a line of the plane z = 0 towards `way` (±1 along y), and the flange behind it, `deep` mm.
pub fn rolled(f: &Frame, line: Line, way: f64, r: f64, deep: f64) -> [Surface; 2] {
    let slope = (line.1 - line.0) / LENGTH;
    let out = f.vector(-slope, 1.0, 0.0).normalize() * (way * r);
    let down = f.vector(0.0, 0.0, -1.0);
    let ends = [f.point(0.0, line.0, 0.0), f.point(LENGTH, line.1, 0.0)];
    let rows = |moves: &[Vec3]| -> Vec<Point3> { ends.iter().flat_map(|p| moves.iter().map(move |m| *p + *m)).collect() };
    let knots = |p| KnotVector::bezier(p).unwrap();
    let half = core::f64::consts::FRAC_1_SQRT_2;
    let weights = Some(vec![1.0, half, 1.0, 1.0, half, 1.0]);
    let roll = Surface::new(knots(1), knots(2), rows(&[Vec3::ZERO, out, out + down * r]), weights).unwrap();
    let flange = Surface::new(knots(1), knots(1), rows(&[out + down * r, out + down * (r + deep)]), None).unwrap();
    [roll, flange]
}

/// The line moved by `by` mm square to itself.
pub fn shifted(line: Line, by: f64) -> Line {
    let slope = (line.1 - line.0) / LENGTH;
    let rise = by * (1.0 + slope * slope).sqrt();
    (line.0 + rise, line.1 + rise)
}

/// A flat panel between two lines.
pub fn flat_panel(f: &Frame, from: Line, to: Line) -> Surface {
    panel(f, from, to, &|_, _| 0.0)
}
