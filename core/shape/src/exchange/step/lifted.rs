//! The space curve that a parameter-plane curve makes on its surface.

use crate::geometry::{Pcurve, Surface};
use crate::math::{Point3, Vec3};
use crate::nurbs::{self, KnotVector};

/// How far the spline may leave the curve, as a share of its length. Larger: edges of loose patches show gaps to
/// their own faces; smaller: more pieces, up to [`MOST_PIECES`].
const ACCURACY: f64 = 1e-8;

/// Pieces one curve may become. Smaller: winding curves are less accurate; larger: hostile ones cost more memory.
const MOST_PIECES: usize = 4096;

/// S(P(t)) between `t0` and `t1` (either order) as a cubic spline over the same parameter, within [`ACCURACY`] of its
/// length. The face itself is bounded by P, exactly; this curve serves those who need an edge in space. None when
/// positions are not finite or the curve has no extent.
pub(super) fn lifted(surface: &Surface, curve: &Pcurve, t0: f64, t1: f64) -> Option<nurbs::Curve<3>> {
    let (low, high) = (t0.min(t1), t0.max(t1));
    if !(high > low && (high - low).is_finite()) {
        return None;
    }
    let at = |t: f64| {
        let (p, d) = curve.derivs(t);
        let s = surface.derivs(p.u, p.v, 1);
        Node { t, point: s.s, speed: s.su * d.x + s.sv * d.y }
    };
    let mut starts = vec![low];
    if let Pcurve::Nurbs(c) = curve {
        starts.extend(c.knots().interior().into_iter().map(|(t, _)| t).filter(|&t| t > low && t < high));
    }
    starts.push(high);
    let first: Vec<Node> = starts.windows(2).flat_map(|w| (0..FIRST).map(|i| between(w[0], w[1], i))).chain([high]).map(at).collect();
    let length: f64 = first.windows(2).map(|w| w[0].point.distance(w[1].point)).sum();
    let size = first.iter().map(|n| n.point.to_vec().abs().max_element()).fold(0.0, f64::max);
    // Shorter than the rounding of its positions: the side of a pole.
    if !length.is_finite() || length <= 1e-12 * size || first.len() > MOST_PIECES {
        return None;
    }
    let nodes = refined(first, ACCURACY * length, &at);
    spline(&nodes)
}

/// Pieces between two knots to begin with. Smaller: the middle of a piece may agree by chance.
const FIRST: u32 = 4;

#[derive(Debug, Clone, Copy)]
struct Node {
    t: f64,
    point: Point3,
    speed: Vec3,
}

fn between(a: f64, b: f64, i: u32) -> f64 {
    a + (b - a) * f64::from(i) / f64::from(FIRST)
}

/// Halves pieces whose cubic misses the curve in the middle.
fn refined(mut nodes: Vec<Node>, tolerance: f64, at: &impl Fn(f64) -> Node) -> Vec<Node> {
    loop {
        let mut next = Vec::with_capacity(nodes.len() * 2);
        let mut room = MOST_PIECES.saturating_sub(nodes.len());
        let mut added = false;
        for w in nodes.windows(2) {
            let [a, b] = w else { continue };
            next.push(*a);
            let middle = at(0.5 * (a.t + b.t));
            let cubic = a.point.lerp(b.point, 0.5) + (a.speed - b.speed) * ((b.t - a.t) / 8.0);
            if room > 0 && middle.t > a.t && middle.t < b.t && middle.point.distance(cubic) > tolerance {
                next.push(middle);
                room -= 1;
                added = true;
            }
        }
        next.extend(nodes.last());
        nodes = next;
        if !added {
            return nodes;
        }
    }
}

/// Cubic pieces with the nodes' positions and derivatives, as one spline.
fn spline(nodes: &[Node]) -> Option<nurbs::Curve<3>> {
    let (first, last) = (nodes.first()?, nodes.last()?);
    let mut points = vec![first.point.to_array()];
    let mut knots = vec![first.t; 4];
    for w in nodes.windows(2) {
        let [a, b] = w else { continue };
        let third = (b.t - a.t) / 3.0;
        points.extend([a.point + a.speed * third, b.point - b.speed * third, b.point].map(Point3::to_array));
        knots.extend([b.t; 3]);
    }
    knots.push(last.t);
    nurbs::Curve::new(KnotVector::new(3, knots).ok()?, points, None).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Conic2, Cylinder, Line2, Sphere, Torus};
    use crate::math::{Frame, Point2, Vec2};

    #[test]
    fn the_curve_in_space_follows_the_one_in_the_plane() {
        let frame = Frame::from_axis(Point3::new(5.0, -2.0, 1.0), Some(Vec3::new(1.0, 1.0, 3.0)), None);
        let knots = KnotVector::new(2, vec![0., 0., 0., 0.7, 2., 2., 2.]).unwrap();
        let bent = nurbs::Curve::new(knots, vec![[0.1, 0.2], [1.5, 0.1], [1.2, 1.0], [0.3, 1.1]], None).unwrap();
        let curves = [
            (Pcurve::Line(Line2 { origin: Point2::new(0.2, 0.1), direction: Vec2::new(0.8, 0.5) }), 2.0, -0.5),
            (Pcurve::Conic(Conic2 { centre: Point2::new(0.7, 0.5), a: Vec2::new(0.5, 0.1), b: Vec2::new(-0.1, 0.4) }), 0.5, 6.0),
            (Pcurve::Nurbs(bent), 0.0, 2.0),
        ];
        let surfaces = [
            Surface::Cylinder(Cylinder { frame, radius: 7.0 }),
            Surface::Sphere(Sphere { frame, radius: 0.3 }),
            Surface::Torus(Torus { frame, major: 9.0, minor: 2.0 }),
        ];
        for surface in &surfaces {
            for (curve, t0, t1) in &curves {
                let made = lifted(surface, curve, *t0, *t1).unwrap();
                let domain = made.domain();
                assert_eq!((domain.low, domain.high), (t0.min(*t1), t0.max(*t1)));
                for i in 0..=1000 {
                    let t = domain.at(f64::from(i) / 1000.0);
                    let (p, [x, y, z]) = (curve.point(t), made.derivs(t, 0)[0]);
                    let off = surface.point(p.u, p.v).distance(Point3::new(x, y, z));
                    assert!(off < 3e-7, "{surface:?} {curve:?} at {t}: {off}");
                }
            }
        }
    }

    #[test]
    fn a_point_is_no_curve() {
        let sphere = Surface::Sphere(Sphere { frame: Frame::WORLD, radius: 2.0 });
        let pole = Pcurve::Line(Line2 { origin: Point2::new(0.0, crate::math::real::FRAC_PI_2), direction: Vec2::new(1.0, 0.0) });
        assert!(lifted(&sphere, &pole, 0.0, 1.0).is_none());
        assert!(lifted(&sphere, &pole, 1.0, 1.0).is_none() && lifted(&sphere, &pole, 0.0, f64::INFINITY).is_none());
    }
}
