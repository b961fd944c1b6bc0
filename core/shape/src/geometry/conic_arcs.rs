//! Arcs of central conics as rational quadratic splines through the very same points. NB §7.3 to 7.5.

use crate::nurbs::{self, KnotVector, NurbsError};

/// The stretch from `t0` to `t1` over [0, 1], in `count` arcs of equal parts of the parameter.
///
/// `weight` gives the middle weight by half an arc's parameter: its cosine, or hyperbolic cosine. `corner` gives where the
/// tangents at the ends of an arc meet, by its middle parameter and weight w: on the ray from the centre through the
/// middle, 1 / w times as far out.
///
/// # Errors
/// When the points are not finite, or an ellipse's arcs reach half a turn.
pub(crate) fn conic_arcs<const D: usize>(
    (t0, t1): (f64, f64),
    count: usize,
    weight: fn(f64) -> f64,
    point: impl Fn(f64) -> [f64; D],
    corner: impl Fn(f64, f64) -> [f64; D],
) -> Result<nurbs::Curve<D>, NurbsError> {
    let step = (t1 - t0) / count as f64;
    let w = weight(0.5 * step);
    let (mut points, mut weights, mut knots) = (Vec::new(), Vec::new(), vec![0.0; 3]);
    for i in 0..count {
        let start = t0 + step * i as f64;
        points.extend([point(start), corner(start + 0.5 * step, w)]);
        weights.extend([1.0, w]);
        if i > 0 {
            knots.extend([i as f64 / count as f64; 2]);
        }
    }
    points.push(point(t1));
    weights.push(1.0);
    knots.extend([1.0; 3]);
    nurbs::Curve::new(KnotVector::new(2, knots)?, points, Some(weights))
}
