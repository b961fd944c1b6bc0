//! The smallest degree and spans that hold a surface's shape.

use super::fit::lines::{Lines, Nodes, combined, nodes};
use super::{BasisDerivs, KnotVector, Surface};
use crate::math::Arrange;

/// A surface of fewest control points within a distance of another.
#[derive(Debug, Clone, PartialEq)]
pub struct Smallest {
    /// The surface, over the same parameters.
    pub surface: Surface,
    /// Largest distance between points of equal parameters, mm, at Gauss' nodes and span ends.
    pub off: f64,
}

/// Lines across looked at a direction while knots are chosen. Larger: slower; smaller: what happens between them shows only when the
/// whole is checked, and then halves the tolerance.
const ACROSS: usize = 24;

/// Inner knots up to which each is tried in turn. Larger: slower; smaller: knots are let go of by how little the highest derivative
/// jumps there, which may keep one too many.
const EACH: usize = 8;

/// Highest derivative whose jump at a knot is looked at.
const HIGHEST: usize = 8;

/// The smallest surface within `tolerance` mm of a clamped or unclamped one, direction by direction: of all degrees up to the
/// surface's own, over knots taken from its own, the one with the fewest control points; of equals, the one with fewest spans. Points
/// are compared at equal parameters, so that what is told to be needless is: no shape and no parameter moves further. A rational
/// surface stays rational. None where it cannot be clamped.
///
/// Method: least squares over knots that a spline of lower degree needs where this one is so smooth (NB §5.5 and 5.6 take knots
/// out and lower degrees exactly; §9.5 within a tolerance).
pub fn smallest(surface: &Surface, tolerance: f64) -> Option<Smallest> {
    let surface = surface.clamped().ok()?;
    let (ku, kv) = (surface.knots_u(), surface.knots_v());
    let weights = weights(&surface);
    let at = |u: f64, v: f64| (surface.derivs(u, v, 0).s, weights.as_ref().map_or(1.0, |w| w.derivs(u, v, 0).s.x));
    let grid = |u: Nodes, v: Nodes| Lines::new(u, v, weights.is_some(), at);
    let whole = grid(places(ku, usize::MAX), places(kv, usize::MAX));
    // Each direction alone first; if both together pass the tolerance, each within half of it, which adds up to no more.
    [1.0, 0.5].into_iter().find_map(|share| {
        let along = |own: &KnotVector, lines: &Lines| fewest(own, lines, share * tolerance);
        let u = along(ku, &grid(places(ku, usize::MAX), places(kv, ACROSS)));
        let v = along(kv, &grid(places(ku, ACROSS), places(kv, usize::MAX)).turned());
        let made = whole.surface(&u, &v).ok()?;
        let off = whole.off(&made);
        (off <= tolerance).then_some(Smallest { surface: made, off })
    })
}

/// The surface's weights; none of one whose weights are all alike.
fn weights(surface: &Surface) -> Option<Surface> {
    let weights = surface.weights()?;
    let (low, high) = weights.iter().fold((f64::INFINITY, 0.0f64), |(l, h), &w| (l.min(w), h.max(w)));
    // Alike to rounding.
    if high - low > 1e-12 * high { surface.weight_function() } else { None }
}

/// Gauss' nodes of every span, two more than the degree, or at most `count` of them spread evenly; and the ends, of next to no weight.
fn places(knots: &KnotVector, count: usize) -> Nodes {
    let domain = knots.domain();
    let all = nodes(&knots.breaks(), knots.degree() + 2);
    let step = all.len().div_ceil(count.max(1)).max(1);
    let faint = 1e-6 * domain.length();
    let mut some: Nodes = vec![(domain.low, faint)];
    some.extend(all.into_iter().step_by(step));
    some.push((domain.high, faint));
    some
}

/// The knots with the fewest control points over which lines along u are held; their own where no others do.
fn fewest(own: &KnotVector, lines: &Lines, tolerance: f64) -> KnotVector {
    let holds = |knots: &KnotVector| lines.off_along_u(knots).is_some_and(|off| off <= tolerance);
    let mut best = own.clone();
    for degree in 1..=own.degree() {
        let Some(full) = lowered(own, degree) else { continue };
        if !(degree == own.degree() || holds(&full)) {
            continue;
        }
        let thin = thinned(full, lines, &holds);
        let count = |k: &KnotVector| (k.point_count(), k.span_count());
        if count(&thin) < count(&best) {
            best = thin;
        }
    }
    best
}

/// The knots that a spline of another degree needs to be as smooth as one over `own` is.
fn lowered(own: &KnotVector, degree: usize) -> Option<KnotVector> {
    let inner = own.interior().into_iter().map(|(t, m)| {
        let smooth = own.degree() - m.min(own.degree());
        (t, degree.saturating_sub(smooth).max(1))
    });
    KnotVector::clamped(degree, own.domain(), &inner.collect::<Vec<_>>()).ok()
}

/// Without the knots that it can do without.
fn thinned(full: KnotVector, lines: &Lines, holds: &impl Fn(&KnotVector) -> bool) -> KnotVector {
    let without = |knots: &KnotVector, gone: &[f64]| {
        let mut inner = knots.interior();
        for t in gone {
            if let Some(one) = inner.iter_mut().find(|k| k.0 == *t) {
                one.1 = one.1.saturating_sub(1);
            }
        }
        inner.retain(|k| k.1 > 0);
        KnotVector::clamped(knots.degree(), knots.domain(), &inner).ok()
    };
    let mut knots = full;
    let single = |k: &KnotVector| k.interior().iter().flat_map(|&(t, m)| core::iter::repeat_n(t, m)).collect::<Vec<f64>>();
    if single(&knots).len() > EACH {
        // Those with the least jump go first; how many, by halving.
        let order = by_jump(&knots, lines);
        let (mut gone, mut stays) = (0, order.len() + 1);
        while stays - gone > 1 {
            let middle = usize::midpoint(gone, stays);
            let fits = without(&knots, order.get(..middle).unwrap_or(&[])).is_some_and(|k| holds(&k));
            if fits { gone = middle } else { stays = middle }
        }
        knots = without(&knots, order.get(..gone).unwrap_or(&[])).unwrap_or(knots);
    }
    while (1..=EACH).contains(&single(&knots).len()) {
        let tried = knots.interior().into_iter().filter_map(|(t, _)| {
            let k = without(&knots, &[t])?;
            Some((lines.off_along_u(&k)?, k))
        });
        // The first of equals.
        let best = tried.reduce(|a, b| if b.0 < a.0 { b } else { a });
        match best.filter(|b| holds(&b.1)) {
            Some(b) => knots = b.1,
            None => break,
        }
    }
    knots
}

/// Inner knots, each as often as it stands, by what is lost without one of it: the jump of the derivative that it lets jump, times
/// the powers of the spans beside it that make it a length.
fn by_jump(knots: &KnotVector, lines: &Lines) -> Vec<f64> {
    let (p, breaks) = (knots.degree(), knots.breaks());
    let rows = lines.rows_along_u(knots).unwrap_or_default();
    let derivative = |span: usize, t: f64, order: usize| {
        let basis = BasisDerivs::<HIGHEST>::at(knots, span, t, order);
        combined(basis.rows[order].get(..=p).unwrap_or(&[]), &rows, basis.first)
    };
    let mut all: Vec<(f64, f64)> = Vec::new();
    for (i, (t, m)) in knots.interior().into_iter().enumerate() {
        let beside = match breaks.get(i..i + 3) {
            Some(&[a, b, c]) => (b - a).min(c - b),
            _ => 0.0,
        };
        for k in 0..m {
            let order = (p + 1 + k).saturating_sub(m).min(HIGHEST - 1);
            let (left, right) = (derivative(knots.span_left(t), t, order), derivative(knots.span(t), t, order));
            let jump = left.iter().zip(&right).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            let power = (1..=order).fold(1.0, |x, n| x * beside / n as f64);
            all.push((jump * power, t));
        }
    }
    all.arrange_by(|a, b| a.0.total_cmp(&b.0));
    all.into_iter().map(|x| x.1).collect()
}
