//! The lamp pocket: a round opening in the front cheek, its rolled rim, a wall and a flat floor.

use super::fit::{Ring, even_knots, surface};
use super::patch::{Patch, built};
use super::sheet::{Border, Edge, Sheet, outline, side};
use crate::geometry::{Pcurve, Plane, Surface};
use crate::math::{Frame, Point3, Vec3, real};
use crate::nurbs::Curve;

/// Where the pocket's axis pierces the cheek.
const CENTRE: (f64, f64) = (0.36, 0.44);
/// Radius of the opening, of the rim's rounding and of the floor, mm.
const OPENING: f64 = 54.0;
const RIM: f64 = 5.0;
const FLOOR: f64 = 40.0;
/// Depth of the floor below the cheek along the axis, mm.
const DEPTH: f64 = 44.0;
/// Slope of the wall at the floor: the pocket opens outwards, so that it leaves its mould.
const DRAFT: f64 = 0.25;
/// How far the axis is turned from the cheek's normal towards the nose.
const FORWARD: f64 = 0.40;
/// Knots around the opening. Fewer: the rim leaves the cheek's tangent plane by more than 0.002°.
const KNOTS: usize = 40;

/// What the pocket adds to a cheek.
pub(super) struct Pocket {
    /// The opening's loop in the cheek, clockwise in (u, v).
    pub opening: Vec<Border>,
    /// Rim, wall and floor.
    pub sheets: Vec<Sheet>,
    /// A point of the floor's border.
    pub floor_edge: Point3,
}

/// Cuts the pocket into a right cheek whose Su × Sv points inwards. The floor's border stays `short` mm inside the
/// wall's end.
pub(super) fn pocket(cheek: &Patch, short: f64, half: &str) -> Pocket {
    let d = cheek.derivs(CENTRE.0, CENTRE.1);
    let axis = (-d.su.cross(d.sv).normalize() - Vec3::X * FORWARD).normalize();
    let frame = Frame::from_axis(d.s, Some(axis), Some(Vec3::Z));
    let around = |k: usize| real::sin_cos(real::TAU * k as f64 / KNOTS as f64);
    let uv: Vec<(f64, f64)> = (0..KNOTS).map(|k| pierce(cheek, &frame, around(k))).collect();
    let floor = |k: usize, radius: f64| {
        let (s, c) = around(k);
        frame.point(radius * c, radius * s, -DEPTH).to_vec()
    };
    let rim = |k: usize| {
        let d = cheek.derivs(uv[k].0, uv[k].1);
        let outward = -d.su.cross(d.sv).normalize();
        // The loop's tangent is that of the circle on the cheek: square to the radius seen along the axis.
        let (s, c) = around(k);
        let circle = frame.vector(-s, c, 0.0);
        let along = (circle - frame.z * (circle.dot(outward) / frame.z.dot(outward))).normalize();
        let leaving = outward.cross(along).normalize();
        let edge = d.s.to_vec();
        let corner = edge + leaving * RIM;
        let end = corner - outward * RIM;
        let (foot, leg) = (floor(k, FLOOR), (end - floor(k, FLOOR)).length() / 3.0);
        [edge, corner, end, end - outward * leg, foot + (frame.z + frame.vector(c, s, 0.0) * DRAFT) * leg, foot]
    };
    let rings: Vec<Ring> = (0..6).map(|row| Ring::through(KNOTS, |k| rim(k)[row])).collect();
    let trim = Ring::through(KNOTS, |k| Vec3::new(uv[k].0, uv[k].1, 0.0));
    let bottom = Ring::through(KNOTS, |k| floor(k, FLOOR - short));
    let quarter = KNOTS / 4;
    let knots = even_knots(quarter);
    let weights = [1.0, core::f64::consts::FRAC_1_SQRT_2, 1.0];
    let mut made = Pocket { opening: Vec::new(), sheets: Vec::new(), floor_edge: Point3::from_vec(floor(0, FLOOR - short)) };
    let mut floor_loop = Vec::new();
    for q in 0..4 {
        let from = (q * quarter) as i64;
        let rows: Vec<Vec<Vec3>> = rings.iter().map(|r| r.arc(from, quarter)).collect();
        let round = surface(&rows[0..3], Some(&weights), &knots);
        let wall = surface(&rows[2..6], None, &knots);
        let flat = |points: &[Vec3]| {
            let points = points.iter().map(|p| [p.x, p.y]).collect();
            Pcurve::Nurbs(built(Curve::new(knots.clone(), points, None)))
        };
        let edge = side(&round, Edge::Near, 0.0, 1.0);
        made.opening.push(Border { trim: flat(&trim.arc(from, quarter)), ..edge });
        let points = bottom.arc(from, quarter);
        let local: Vec<Vec3> = points.iter().map(|&p| frame_floor(&frame).local(Point3::from_vec(p))).collect();
        let curve = built(Curve::new(knots.clone(), points.iter().map(|p| p.to_array()).collect(), None));
        floor_loop.push(Border { curve, ends: (0.0, 1.0), trim: flat(&local), trim_ends: (0.0, 1.0) });
        let name = |what: &str| format!("lamp {what} {} {half}", q + 1);
        // Across runs towards the axis, along runs counter-clockwise seen from outside: Su × Sv points inwards.
        made.sheets.push(Sheet::whole(name("rim"), "lamps", round, false));
        made.sheets.push(Sheet::whole(name("wall"), "lamps", wall, false));
    }
    // Counter-clockwise seen from outside is clockwise in the cheek's own (u, v), as a hole must run.
    let plane = Surface::Plane(Plane { frame: frame_floor(&frame) });
    made.sheets.push(Sheet { name: format!("lamp floor {half}"), layer: "lamps", surface: plane, loops: vec![floor_loop], outward: true });
    made
}

/// The opening with the cheek's outer loop before it.
pub(super) fn with_opening(cheek: &crate::nurbs::Surface, opening: Vec<Border>) -> Vec<Vec<Border>> {
    vec![outline(cheek, |_| Vec::new()), opening]
}

fn frame_floor(frame: &Frame) -> Frame {
    Frame { origin: frame.point(0.0, 0.0, -DEPTH), ..*frame }
}

/// Parameters of the cheek's point at the opening's radius in direction (sin, cos) around the axis, by Newton.
fn pierce(cheek: &Patch, frame: &Frame, (sin, cos): (f64, f64)) -> (f64, f64) {
    let surface = cheek.surface();
    let (mut u, mut v) = CENTRE;
    for _ in 0..30 {
        let d = surface.derivs(u, v, 1);
        let p = frame.local(d.s);
        let (fx, fy) = (p.x - OPENING * cos, p.y - OPENING * sin);
        let (a, b, c, e) = (d.su.dot(frame.x), d.sv.dot(frame.x), d.su.dot(frame.y), d.sv.dot(frame.y));
        let det = a * e - b * c;
        u -= (fx * e - fy * b) / det;
        v -= (fy * a - fx * c) / det;
    }
    (u, v)
}
