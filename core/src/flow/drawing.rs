//! Stripe edges as a drawing: SVG in true scale, seen along one direction.

use super::stripes::Stripes;
use crate::math::{Point3, Vec3};
use core::fmt::Write;

/// Margin round the drawing, mm.
const MARGIN: f64 = 5.0;

/// Width of a line, mm.
const LINE: f64 = 0.18;

/// The stripe edges as an SVG picture, one user unit a millimetre, seen orthographically: `right` and `up` are the unit vectors that
/// run to the right and upwards in it. Each line is a path that tells its value; coordinates have three decimals. A set without points
/// gives an empty picture. (SVG 1.1, W3C 2011.)
pub fn svg(stripes: &Stripes, right: Vec3, up: Vec3) -> String {
    let flat = |p: &Point3| (p.to_vec().dot(right), -p.to_vec().dot(up));
    let (mut low, mut high) = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
    for p in stripes.pieces.iter().flat_map(|(_, piece)| &piece.points) {
        let (x, y) = flat(p);
        low = (low.0.min(x), low.1.min(y));
        high = (high.0.max(x), high.1.max(y));
    }
    if low.0 > high.0 {
        (low, high) = ((0.0, 0.0), (0.0, 0.0));
    }
    let (x, y, w, h) = (low.0 - MARGIN, low.1 - MARGIN, high.0 - low.0 + 2.0 * MARGIN, high.1 - low.1 + 2.0 * MARGIN);
    let mut out = String::new();
    // Writing to a string never fails.
    let _ = writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w:.3}mm" height="{h:.3}mm" viewBox="{x:.3} {y:.3} {w:.3} {h:.3}">"#
    );
    let _ = writeln!(out, r#"<g fill="none" stroke="black" stroke-width="{LINE}">"#);
    for line in &stripes.lines {
        let _ = write!(out, r#"<path data-value="{}" d=""#, line.value);
        let mut start = true;
        for &(k, back) in &line.pieces {
            let Some((_, piece)) = stripes.pieces.get(k) else { continue };
            let mut place = |p: &Point3| {
                let (x, y) = flat(p);
                let _ = write!(out, "{}{x:.3} {y:.3}", if start { "M" } else { "L" });
                start = false;
            };
            if back { piece.points.iter().rev().for_each(&mut place) } else { piece.points.iter().for_each(&mut place) }
        }
        out.push_str("\"/>\n");
    }
    out.push_str("</g>\n</svg>\n");
    out
}
