//! The service hatch in the middle of the hood: an opening and a panel cut from the same surface, each with a rolled
//! edge and a flange, and an even gap between them.

use super::fit::{Ring, even_knots, surface};
use super::patch::{Patch, built};
use super::seed::Truth;
use super::sheet::{Border, Edge, Sheet, side};
use crate::geometry::{Pcurve, Surface};
use crate::math::{Point3, Vec3, real};
use crate::nurbs::Curve;

/// Half the hatch's size across and along, as shares of the patch's half width and length.
const ACROSS: f64 = 0.60;
const ALONG: f64 = 0.29;
/// Intended width of the gap, mm.
const GAP: f64 = 3.5;
/// Radius of the rolled edges, mm.
const ROLL: f64 = 1.5;
/// Depth of the flanges, mm.
const FLANGE: f64 = 11.0;
/// Knots around the hatch; fewer let the trim leave the rolled edge by more than 0.0005 mm.
const KNOTS: usize = 80;

/// What the hatch makes of one hood patch.
pub(super) struct Hatch {
    /// The hood's loop with the opening cut into its centre side.
    pub hood: Vec<Border>,
    /// Panel, rolled edges and flanges of one half.
    pub sheets: Vec<Sheet>,
    /// Largest change of the gap's width, mm per 100 mm along it.
    pub steepest: Truth,
}

/// Cuts the hatch into a right half-hood patch (u from the centre plane, Su × Sv inwards). `wider(φ)` is added to
/// the gap's width at angle φ (0 at the right, π/2 at the rear) on this half. `corner`: a parameter at which the
/// neighbour beyond the ridge has a corner.
pub(super) fn hatch(hood: &Patch, wider: impl Fn(f64) -> f64, corner: Option<f64>, half: &str) -> Hatch {
    let angle = |k: usize| real::TAU * k as f64 / KNOTS as f64;
    // Right half: knots −16 to 16; the other half mirrored and without the fault.
    let rows = |k: usize| -> ([f64; 4], [Vec3; 8]) {
        let a = angle(k);
        let right = real::cos(a) > -1e-12;
        let a = if right { a } else { real::PI - a };
        let gap = GAP + if right { wider(a) } else { 0.0 };
        let (uv, rows) = sections(hood, a, gap);
        if right { (uv, rows) } else { ([-uv[0], uv[1], -uv[2], uv[3]], rows.map(super::patch::mirror)) }
    };
    let all: Vec<([f64; 4], [Vec3; 8])> = (0..KNOTS).map(rows).collect();
    let (quarter, spans) = (KNOTS as i64 / 4, KNOTS / 2);
    let knots = even_knots(spans);
    let arc = |f: &dyn Fn(usize) -> Vec3| Ring::through(KNOTS, f).arc(-quarter, spans);
    let row = |r: usize| arc(&|k| all[k].1[r]);
    let trim = |r: usize| {
        let points = arc(&|k| Vec3::new(all[k].0[r], all[k].0[r + 1], 0.0));
        // The arc begins and ends on the centre side itself.
        let last = points.len() - 1;
        let points: Vec<[f64; 2]> = points.iter().enumerate().map(|(i, p)| [if i == 0 || i == last { 0.0 } else { p.x }, p.y]).collect();
        let (start, end) = (points[0][1], points[last][1]);
        (Pcurve::Nurbs(built(Curve::new(knots.clone(), points, None))), start, end)
    };
    let weights = [1.0, core::f64::consts::FRAC_1_SQRT_2, 1.0];
    let name = |what: &str| format!("hatch {what} {half}");
    let roll = |first: usize| surface(&[row(first), row(first + 1), row(first + 2)], Some(&weights), &knots);
    let flange = |first: usize| surface(&[row(first + 2), row(first + 3)], None, &knots);
    let base = hood.surface();
    let centre = |from: f64, to: f64| side(&base, Edge::Near, from, to);
    let (outer, inner) = (roll(0), roll(4));
    let (opening_trim, front, rear) = trim(0);
    let opening = Border { trim: opening_trim, ..side(&outer, Edge::Near, 0.0, 1.0) };
    let (panel_trim, panel_front, panel_rear) = trim(2);
    let panel_edge = Border { trim: panel_trim, ..side(&inner, Edge::Near, 0.0, 1.0) };
    let middle = corner.unwrap_or(0.0);
    let mut hood_loop = vec![side(&base, Edge::Start, 0.0, 1.0)];
    if middle > 0.0 {
        hood_loop.push(side(&base, Edge::Far, 0.0, middle));
    }
    hood_loop.extend([
        side(&base, Edge::Far, middle, 1.0),
        side(&base, Edge::End, 1.0, 0.0),
        centre(1.0, rear),
        opening.reversed(),
        centre(front, 0.0),
    ]);
    let panel = Sheet {
        name: name("panel"),
        layer: "hood",
        surface: Surface::Nurbs(base.clone()),
        loops: vec![vec![panel_edge, centre(panel_rear, panel_front)]],
        outward: false,
    };
    // Across the opening's edge u runs towards the hatch and v from front to rear: Su × Sv points out of the cowl.
    let sheets = vec![
        panel,
        Sheet::whole(name("opening edge"), "gaps", outer, true),
        Sheet::whole(name("opening flange"), "gaps", flange(0), true),
        Sheet::whole(name("panel edge"), "gaps", inner, false),
        Sheet::whole(name("panel flange"), "gaps", flange(4), false),
    ];
    let steepest = steepest(hood, wider);
    Hatch { hood: hood_loop, sheets, steepest }
}

/// Where the gap's width changes fastest along its middle line.
fn steepest(hood: &Patch, wider: impl Fn(f64) -> f64) -> Truth {
    let middle = |a: f64| {
        let (_, r) = sections(hood, a, GAP + wider(a));
        ((r[2] - r[6]).length(), (r[2] + r[6]) * 0.5)
    };
    let at = |share: f64| real::PI * (share - 0.5);
    let rate = |share: f64| {
        let ((w0, p0), (w1, p1)) = (middle(at(share) - 1e-3), middle(at(share) + 1e-3));
        100.0 * (w1 - w0).abs() / (p1 - p0).length()
    };
    let (share, value) = super::seed::largest(rate);
    Truth { value, place: Point3::from_vec(middle(at(share)).1) }
}

/// Trim parameters (opening u, v; panel u, v) and control rows (opening edge 0–3, panel edge 4–7) at one angle.
fn sections(hood: &Patch, angle: f64, gap: f64) -> ([f64; 4], [Vec3; 8]) {
    let (u, v) = line(angle);
    let h = 1e-5;
    let ((u0, v0), (u1, v1)) = (line(angle - h), line(angle + h));
    let surface = hood.surface();
    let d = surface.derivs(u, v, 1);
    let along = (d.su * (u1 - u0) + d.sv * (v1 - v0)).normalize();
    let inward = d.su.cross(d.sv).normalize();
    // Away from the hatch, in the tangent plane.
    let away = along.cross(inward).normalize();
    let moved = |distance: f64| {
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let (x, y) = (away.dot(d.su) * distance, away.dot(d.sv) * distance);
        let det = e * g - f * f;
        (u + (g * x - f * y) / det, v + (e * y - f * x) / det)
    };
    let edge = |(u, v): (f64, f64), towards: Vec3| {
        let d = surface.derivs(u, v, 1);
        let inward = d.su.cross(d.sv).normalize();
        let leaving = (towards - inward * inward.dot(towards)).normalize();
        let corner = d.s.to_vec() + leaving * ROLL;
        let end = corner + inward * ROLL;
        [d.s.to_vec(), corner, end, end + inward * FLANGE]
    };
    let (o, i) = (moved(GAP * 0.5 + ROLL), moved(-(gap - GAP * 0.5) - ROLL));
    let (a, b) = (edge(o, -away), edge(i, away));
    ([o.0, o.1, i.0, i.1], [a[0], a[1], a[2], a[3], b[0], b[1], b[2], b[3]])
}

/// The middle line of the gap in the patch's (u, v): a curve between ellipse and rectangle, narrower in front.
fn line(angle: f64) -> (f64, f64) {
    let (s, c) = real::sin_cos(angle);
    let fourth = |x: f64| x * x * x * x;
    let radius = 1.0 / fourth_root(fourth(c / ACROSS) + fourth(s / ALONG));
    (radius * c * (1.0 + 0.10 * s), 0.5 + radius * s)
}

fn fourth_root(x: f64) -> f64 {
    x.sqrt().sqrt()
}
