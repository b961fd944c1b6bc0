//! Conic arcs given by their equation. IGES 5.3, 4.5 (type 104).

use super::curve::full_turn;
use super::record::Record;
use crate::exchange::report::Fault;
use crate::geometry::{Circle, Curve, Ellipse, Hyperbola, Parabola};
use crate::math::{Frame, Point3, Vec2, Vec3, real};

/// Discriminants, as shares of the squares they come from, below which a conic is a parabola. Larger: long thin ellipses
/// are taken for parabolas; smaller: parabolas written with few digits become ellipses of kilometres.
const FLAT: f64 = 1e-10;

/// The arc of A x² + B x y + C y² + D x + E y + F = 0 at z = ZT from start to end, and its parameters. Ellipses run
/// counter-clockwise about z; ends that agree mean the whole ellipse.
pub(super) fn conic(record: &Record) -> Result<(Curve, (f64, f64)), Fault> {
    let n = record.reals(0, 11)?;
    let &[a, b, c, d, e, f, z, x0, y0, x1, y1] = n.as_slice() else { return Err(record.geometry("it needs eleven numbers")) };
    let (start, end) = (Vec2::new(x0, y0), Vec2::new(x1, y1));
    let none = || record.geometry("its equation describes no conic");
    // Principal axes: the turn that removes the mixed term. tan 2φ = B / (A − C).
    let turn = if b == 0.0 { 0.0 } else { 0.5 * real::atan2(b, a - c) };
    let (sin, cos) = real::sin_cos(turn);
    let (x, y) = (Vec2::new(cos, sin), Vec2::new(-sin, cos));
    let square = |v: Vec2| a * v.x * v.x + b * v.x * v.y + c * v.y * v.y;
    let linear = |v: Vec2| d * v.x + e * v.y;
    let (p, q, dx, dy) = (square(x), square(y), linear(x), linear(y));
    let largest = p.abs().max(q.abs());
    if largest.is_nan() || largest <= 0.0 {
        return Err(none());
    }
    let frame = |origin: Vec2, x: Vec2| {
        let x = Vec3::new(x.x, x.y, 0.0);
        Frame { origin: Point3::new(origin.x, origin.y, z), x, y: Vec3::Z.cross(x), z: Vec3::Z }
    };
    if (p * q).abs() <= FLAT * largest * largest {
        // One square only: k s² + along s + across r + F = 0, s along `s`, r along `r`.
        let (k, along, s, across, r) = if p.abs() > q.abs() { (p, dx, x, dy, y) } else { (q, dy, y, dx, x) };
        if across == 0.0 {
            return Err(none());
        }
        let (s0, r0) = (-along / (2.0 * k), (along * along / (4.0 * k) - f) / across);
        // r − r0 = −(k / across)(s − s0)², so 4 f = |across / k|, opening towards −sign(k across) r.
        let focal = 0.25 * (across / k).abs();
        let axis = if k * across < 0.0 { r } else { -r };
        let frame = frame(s * s0 + r * r0, axis);
        let parabola = Parabola { frame, focal };
        let t = |end: Vec2| (Vec3::new(end.x, end.y, z) - frame.origin.to_vec()).dot(frame.y) / (2.0 * focal);
        return ranged(Curve::Parabola(parabola), t(start), t(end)).ok_or_else(none);
    }
    // Centred: p ξ² + q η² = g.
    let (cx, cy) = (-dx / (2.0 * p), -dy / (2.0 * q));
    let g = 0.25 * (dx * dx / p + dy * dy / q) - f;
    let centre = x * cx + y * cy;
    let (u, v) = (g / p, g / q);
    if u > 0.0 && v > 0.0 {
        let (semi_x, semi_y) = (u.sqrt(), v.sqrt());
        let frame = frame(centre, x);
        let angle = |end: Vec2| {
            let w = end - centre;
            real::atan2(w.dot(y) / semi_y, w.dot(x) / semi_x)
        };
        let t0 = angle(start);
        let t0 = if t0 < 0.0 { t0 + real::TAU } else { t0 };
        let sweep = if start == end { real::TAU } else { full_turn(angle(end) - t0) };
        let round = (semi_x - semi_y).abs() <= 1e-12 * semi_x;
        let curve = if round { Curve::Circle(Circle { frame, radius: semi_x }) } else { Curve::Ellipse(Ellipse { frame, semi_x, semi_y }) };
        return Ok((curve, (t0, t0 + sweep)));
    }
    // The axis that the curve crosses; of the two branches the one the start lies on.
    let (semi_x, semi_y, axis) = if u > 0.0 && v < 0.0 {
        (u.sqrt(), (-v).sqrt(), x)
    } else if v > 0.0 && u < 0.0 {
        (v.sqrt(), (-u).sqrt(), y)
    } else {
        return Err(none());
    };
    let axis = if (start - centre).dot(axis) < 0.0 { -axis } else { axis };
    let frame = frame(centre, axis);
    let t = |end: Vec2| real::asinh((Vec3::new(end.x, end.y, z) - frame.origin.to_vec()).dot(frame.y) / semi_y);
    ranged(Curve::Hyperbola(Hyperbola { frame, semi_x, semi_y }), t(start), t(end)).ok_or_else(none)
}

fn ranged(curve: Curve, t0: f64, t1: f64) -> Option<(Curve, (f64, f64))> {
    (t0.is_finite() && t1.is_finite() && t0 != t1).then_some((curve, (t0, t1)))
}
