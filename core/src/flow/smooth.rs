//! Points between two points of a stripe, until straight lines between them stay near it.

use super::reading::Reading;
use crate::math::Point2;

/// Halvings between two crossings. Larger: needless where a stripe is hidden by a pole; smaller: strongly curved stripes
/// in large flat triangles stay polygons.
const DEPTH: u8 = 10;

/// Newton steps onto the stripe. Each doubles the number of right digits; more are needed only next to an extremum.
const STEPS: usize = 12;

/// A point of a stripe.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub uv: Point2,
    pub reading: Reading,
}

/// The stripe through two of its points, further ones put between until it strays from the chords by at most `sag` mm.
/// `read` gives the function at a parameter point; `small` is the value error accepted. Returns the points after `a`, to
/// `b`.
pub(super) fn between(a: &Node, b: &Node, value: f64, sag: f64, small: f64, read: &dyn Fn(Point2) -> Option<Reading>) -> Vec<Node> {
    let mut out = Vec::new();
    add(a, b, value, sag, small, read, DEPTH, &mut out);
    out.push(*b);
    out
}

#[allow(clippy::too_many_arguments)] // one recursion, all of it its state
fn add(a: &Node, b: &Node, value: f64, sag: f64, small: f64, read: &dyn Fn(Point2) -> Option<Reading>, depth: u8, out: &mut Vec<Node>) {
    let (from, to) = (a.reading.derivs.s, b.reading.derivs.s);
    let chord = to - from;
    let middle = Point2::new(0.5 * (a.uv.u + b.uv.u), 0.5 * (a.uv.v + b.uv.v));
    let Some(m) = onto(middle, value, small, read).filter(|_| depth > 0 && chord.length() > sag) else { return };
    let off = m.reading.derivs.s - from;
    let square = chord.length_squared();
    let share = if square > 0.0 { off.dot(chord) / square } else { 0.5 };
    // Newton may land on a neighbouring part of the stripe: then there is nothing to say in between.
    if !(0.05..=0.95).contains(&share) {
        return;
    }
    if (off - chord * share).length() > sag {
        add(a, &m, value, sag, small, read, depth - 1, out);
        out.push(m);
        add(&m, b, value, sag, small, read, depth - 1, out);
    }
}

/// The point of the stripe next to a parameter point, by Newton steps along the gradient. None where it does not get
/// there.
pub(super) fn onto(start: Point2, value: f64, small: f64, read: &dyn Fn(Point2) -> Option<Reading>) -> Option<Node> {
    let mut uv = start;
    for _ in 0..STEPS {
        let reading = read(uv)?;
        if (value - reading.f.f).abs() <= small {
            return Some(Node { uv, reading });
        }
        uv = uv + reading.climb(value - reading.f.f)?;
    }
    None
}
