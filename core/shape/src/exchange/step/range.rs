//! Which part of its curve an edge covers. The file gives only vertices and a sense.

use super::composite::turned;
use super::foot::foot;
use crate::geometry::{Chain, ChainPiece, Curve};
use crate::math::Point3;

/// A piece of a curve from an edge's start to its end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Range {
    /// The curve, or a chain of two of its pieces where the edge runs across the seam of a closed spline.
    pub curve: Curve,
    pub t0: f64,
    pub t1: f64,
    /// Largest distance between a vertex and its end of the curve.
    pub gap: f64,
    /// True when the sense written contradicts the vertices.
    pub contradicted: bool,
}

/// What the file says of an edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends {
    pub start: Point3,
    pub end: Point3,
    /// Both ends are one vertex.
    pub closed: bool,
    /// The edge runs with its curve.
    pub forward: bool,
    /// Points nearer than this are the same, file units.
    pub tolerance: f64,
}

/// The part of `curve` between the ends; None when it has no length.
pub(super) fn range(curve: Curve, ends: Ends) -> Option<Range> {
    let (t0, mut t1) = if curve.period().is_some() {
        let t0 = foot(&curve, ends.start).t;
        let t1 = if ends.closed { t0 } else { foot(&curve, ends.end).t };
        (t0, turned(t0, t1, ends.forward))
    } else if curve.domain().is_bounded() {
        return bounded(curve, ends);
    } else {
        (foot(&curve, ends.start).t, foot(&curve, ends.end).t)
    };
    if t0 == t1 {
        return None;
    }
    // Vertices less than a rounding error apart on a conic would else swing between nothing and a full turn.
    if !ends.closed && curve.period().is_some() && ends.start.distance(ends.end) == 0.0 {
        t1 = turned(t0, t0, ends.forward);
    }
    let contradicted = (t1 > t0) != ends.forward;
    Some(done(curve, t0, t1, ends, contradicted))
}

fn done(curve: Curve, t0: f64, t1: f64, ends: Ends, contradicted: bool) -> Range {
    let gap = curve.point(t0).distance(ends.start).max(curve.point(t1).distance(ends.end));
    Range { curve, t0, t1, gap, contradicted }
}

/// On a curve with ends of its own.
fn bounded(curve: Curve, ends: Ends) -> Option<Range> {
    let domain = curve.domain();
    let (low, high) = (curve.point(domain.low), curve.point(domain.high));
    let ring = low.distance(high) <= ends.tolerance;
    let (first, last) = if ends.forward { (domain.low, domain.high) } else { (domain.high, domain.low) };
    if ends.closed && (!ring || ends.start.distance(low) <= ends.tolerance) {
        return Some(done(curve, first, last, ends, false));
    }
    let place = |p: Point3, at_end: f64| {
        let d = p.distance(curve.point(at_end));
        // A vertex within the tolerance of the curve's end means that end, whichever way rounding went.
        if d <= ends.tolerance {
            return at_end;
        }
        let near = foot(&curve, p);
        if d <= near.distance { at_end } else { near.t }
    };
    let exact = |p: Point3| foot(&curve, p).t;
    // On a ring the start can only be the end that the direction starts from.
    let either = |p: Point3, preferred: f64, other: f64| {
        let t = place(p, preferred);
        if t == preferred || ring { t } else { place(p, other) }
    };
    let (mut t0, mut t1) = (either(ends.start, first, last), either(ends.end, last, first));
    if ends.closed {
        t1 = t0;
    } else if t0 == t1 {
        // An edge shorter than the tolerance at an end of its curve.
        (t0, t1) = (exact(ends.start), exact(ends.end));
    }
    let runs_forward = t1 > t0;
    if ring && (runs_forward != ends.forward || t0 == t1) && t0 != first && t1 != last {
        let piece = |start, end| ChainPiece { curve: Box::new(curve.clone()), start, end };
        let chain = Curve::Chain(Chain { pieces: vec![piece(t0, last), piece(first, t1)] });
        return Some(done(chain, 0.0, 2.0, ends, false));
    }
    if t0 == t1 {
        return None;
    }
    Some(done(curve, t0, t1, ends, runs_forward != ends.forward))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Circle, Line};
    use crate::math::{Frame, Vec3, real};
    use crate::nurbs::{self, KnotVector};

    fn ends(curve: &Curve, a: f64, b: f64, forward: bool) -> Ends {
        Ends { start: curve.point(a), end: curve.point(b), closed: false, forward, tolerance: 1e-6 }
    }

    /// A closed spline over [1, 4], and an open one over the same knots.
    fn splines() -> (Curve, Curve) {
        let knots = || KnotVector::new(2, vec![1., 1., 1., 1.5, 3., 4., 4., 4.]).unwrap();
        let closed = vec![[0., 0., 0.], [4., -2., 1.], [7., 3., 0.], [2., 6., -1.], [0., 0., 0.]];
        let open = vec![[0., 0., 0.], [4., -2., 1.], [7., 3., 0.], [2., 6., -1.], [-3., 9., 0.]];
        let weights = Some(vec![1.0, 0.5, 2.0, 1.0, 1.0]);
        let spline = |points| Curve::Nurbs(nurbs::Curve::new(knots(), points, weights.clone()).unwrap());
        (spline(closed), spline(open))
    }

    #[test]
    fn arcs_lines_and_splines_give_back_their_parameters() {
        let frame = Frame::from_axis(Point3::new(1., 2., 3.), Some(Vec3::new(1., 1., 1.)), None);
        let circle = Curve::Circle(Circle { frame, radius: 4.0 });
        let line = Curve::Line(Line { origin: Point3::new(5., 0., 1.), direction: Vec3::new(0.1, -2.0, 3.0) });
        let (ring, open) = splines();
        for curve in [&circle, &line, &open, &ring] {
            for (a, b) in [(1.0, 2.25), (1.2, 3.0), (2.0, 2.5), (3.5, 1.25), (4.0, 1.75)] {
                let r = range(curve.clone(), ends(curve, a, b, b > a)).unwrap();
                assert!(r.gap < 1e-12 && !r.contradicted, "{curve:?} {a} {b} {r:?}");
                let step = r.t1 - r.t0;
                assert!((step - (b - a)).abs() < 1e-9, "{curve:?} {a} {b}: {} to {}", r.t0, r.t1);
            }
        }
    }

    #[test]
    fn a_closed_edge_is_a_whole_turn_in_its_direction() {
        let circle = Curve::Circle(Circle { frame: Frame::WORLD, radius: 4.0 });
        let (ring, _) = splines();
        for forward in [true, false] {
            let sign = if forward { 1.0 } else { -1.0 };
            let r = range(circle.clone(), Ends { closed: true, ..ends(&circle, 0.7, 0.7, forward) }).unwrap();
            assert!((r.t1 - r.t0 - sign * real::TAU).abs() < 1e-12);
            let r = range(ring.clone(), Ends { closed: true, ..ends(&ring, 1.0, 1.0, forward) }).unwrap();
            assert_eq!(r.t1 - r.t0, sign * 3.0);
            // Its vertex away from the seam: two pieces, the far point in the middle of the second.
            let r = range(ring.clone(), Ends { closed: true, ..ends(&ring, 2.5, 2.5, forward) }).unwrap();
            assert!(matches!(&r.curve, Curve::Chain(c) if c.pieces.len() == 2) && r.gap < 1e-9);
        }
    }

    #[test]
    fn an_edge_across_the_seam_of_a_ring_becomes_two_pieces() {
        let (ring, _) = splines();
        let r = range(ring.clone(), ends(&ring, 3.5, 1.25, true)).unwrap();
        assert!(r.gap < 1e-9 && !r.contradicted);
        assert!(r.curve.point(0.5).distance(ring.point(3.75)) < 1e-9);
        assert!(r.curve.point(1.5).distance(ring.point(1.125)) < 1e-9);
        let r = range(ring.clone(), ends(&ring, 1.25, 3.5, false)).unwrap();
        assert!(r.gap < 1e-9 && r.curve.point(0.5).distance(ring.point(1.125)) < 1e-9);
    }

    #[test]
    fn a_wrong_sense_is_noticed_on_an_open_curve() {
        let (_, open) = splines();
        let r = range(open.clone(), ends(&open, 1.0, 4.0, false)).unwrap();
        assert!(r.contradicted && (r.t0, r.t1) == (1.0, 4.0));
    }

    #[test]
    fn an_edge_without_length_is_none() {
        let line = Curve::Line(Line { origin: Point3::ORIGIN, direction: Vec3::X });
        assert_eq!(range(line.clone(), ends(&line, 2.0, 2.0, true)), None);
    }
}
