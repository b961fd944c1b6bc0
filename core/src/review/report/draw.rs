//! A trace as a drawing (SVG) for the page.

use super::plot::Plot;
use crate::finding::Unit;
use crate::review::quantity::quantity;
use maud::{Markup, html};
use std::fmt::Write;

/// Width and height of the drawing, and what is left free at its left, right, top and bottom for words.
const SIZE: (f64, f64) = (440.0, 190.0);
const MARGIN: (f64, f64, f64, f64) = (68.0, 118.0, 20.0, 34.0);

/// Height of a line of words: names of limits that are nearer to each other are left out.
const LINE: f64 = 12.0;

/// Curve, limits and the largest value.
pub fn draw(p: &Plot) -> Markup {
    let (left, right, top, bottom) = (MARGIN.0, SIZE.0 - MARGIN.1, MARGIN.2, SIZE.1 - MARGIN.3);
    let most = p.points.iter().filter_map(|p| p.1).fold(p.peak.1, f64::max);
    // Limits far above all values would press the curve flat.
    let ceiling = p.limits.iter().map(|l| l.1).filter(|l| *l <= 2.0 * most).fold(most, f64::max) * 1.08;
    let ceiling = if ceiling > 0.0 { ceiling } else { 1.0 };
    let length = if p.length > 0.0 { p.length } else { 1.0 };
    let x = |s: f64| left + (right - left) * (s / length).clamp(0.0, 1.0);
    let y = |v: f64| bottom - (bottom - top) * (v / ceiling).clamp(0.0, 1.0);
    let one = |n: f64| format!("{n:.1}");
    let (px, py) = (x(p.peak.0), y(p.peak.1));
    let mut named = f64::NEG_INFINITY;
    let limits: Vec<(f64, Option<String>)> = p
        .limits
        .iter()
        .filter(|l| l.1 <= ceiling)
        .map(|(name, l)| {
            let at = y(*l);
            let free = at - named >= LINE;
            named = if free { at } else { named };
            (at, free.then(|| format!("{name} {}", quantity(*l, p.unit))))
        })
        .collect();
    let (middle, ends) = (format!("{:.1}", x(0.5 * length)), one(bottom + 14.0));
    html! {
        svg viewBox={ "0 0 " (SIZE.0) " " (SIZE.1) } role="img" aria-label=(p.caption) {
            @for (at, name) in &limits {
                line class="limit" x1=(one(left)) x2=(one(right)) y1=(one(*at)) y2=(one(*at)) {}
                @if let Some(name) = name { text x=(one(right + 4.0)) y=(one(at + 4.0)) { (name) } }
            }
            path class="axis" d={ "M" (one(left)) " " (one(top)) "V" (one(bottom)) "H" (one(right)) } {}
            path class="curve" d=(line(p, x, y)) {}
            circle class="peak" cx=(one(px)) cy=(one(py)) r="4" {}
            text class="end" x=(one(left - 6.0)) y=(one(py + 4.0)) { (quantity(p.peak.1, p.unit)) }
            @if bottom - py > LINE { text class="end" x=(one(left - 6.0)) y=(one(bottom)) { "0" } }
            text x=(one(left)) y=(ends) { "0" }
            text class="mid" x=(middle) y=(one(bottom + 28.0)) { "along the join" }
            text class="end" x=(one(right)) y=(ends) { (quantity(p.length, Unit::Millimetre)) }
        }
    }
}

/// The curve, broken where the measure does not apply.
fn line(p: &Plot, x: impl Fn(f64) -> f64, y: impl Fn(f64) -> f64) -> String {
    let mut d = String::new();
    let mut on = false;
    for &(s, v) in &p.points {
        if let Some(v) = v {
            let _ = write!(d, "{}{:.1} {:.1}", if on { 'L' } else { 'M' }, x(s), y(v));
        }
        on = v.is_some();
    }
    d
}
