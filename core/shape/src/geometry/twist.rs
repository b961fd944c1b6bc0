//! How far a patch is turned like a propeller.

use crate::math::{Vec3, real};
use crate::nurbs::Surface;

/// Twist of a patch, degrees: the larger of the angles between its two pairs of opposite edges, each edge taken as the chord between
/// its corners and seen along the line from the middle of one chord to the middle of the other. 0 for a flat, a translational
/// and an evenly domed patch, whatever their crown; the angle between the ruling's ends for a patch ruled between two straight edges.
/// The whole patch counts, trimmed or not. None where an edge is closed or a single point. (The field's name for Suv is twist; its
/// size depends on the parameters, and the corners' Suv vanish together with this angle on a bilinear patch.)
pub fn twist(patch: &Surface) -> Option<f64> {
    let (u, v) = patch.domain();
    let corner = |a: f64, b: f64| patch.derivs(a, b, 0).s.to_vec();
    let [ll, hl, lh, hh] = [corner(u.low, v.low), corner(u.high, v.low), corner(u.low, v.high), corner(u.high, v.high)];
    let along_u = turn((ll, hl), (lh, hh));
    let along_v = turn((ll, lh), (hl, hh));
    match (along_u, along_v) {
        (Some(a), Some(b)) => Some(a.max(b)),
        _ => None,
    }
}

/// Length below which a chord seen along the way across counts as a point, as a share of that way.
const POINT: f64 = 1e-6;

/// The angle between two chords seen along the line from middle to middle, degrees.
fn turn(first: (Vec3, Vec3), second: (Vec3, Vec3)) -> Option<f64> {
    let way = 0.5 * (second.0 + second.1) - 0.5 * (first.0 + first.1);
    let axis = way.try_normalize()?;
    let seen = |(from, to): (Vec3, Vec3)| {
        let chord = to - from;
        let flat = chord - axis * chord.dot(axis);
        (flat.length() > POINT * way.length()).then_some(flat)
    };
    Some(real::angle_between(seen(first)?, seen(second)?).to_degrees())
}

#[cfg(test)]
mod tests {
    use super::twist;
    use crate::math::{Frame, Point3, Vec3, real};
    use crate::nurbs::{KnotVector, Surface};
    use proptest::prelude::*;

    fn patch(degrees: (usize, usize), points: Vec<Point3>) -> Surface {
        Surface::new(KnotVector::bezier(degrees.0).unwrap(), KnotVector::bezier(degrees.1).unwrap(), points, None).unwrap()
    }

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(5.0, -7.0, 2.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
    }

    proptest! {
        /// Ruled between two edges square to the way across, turned against each other by a known angle.
        #[test]
        fn a_propeller_has_the_angle_it_is_turned_by(
            degrees in 0.0f64..80.0, (a, b) in (5.0f64..60.0, 5.0f64..60.0), across in 80.0f64..200.0,
        ) {
            let f = frame();
            let (sin, cos) = real::sin_cos(degrees.to_radians());
            let net = vec![f.point(-a, 0.0, 0.0), f.point(-b * cos, across, -b * sin), f.point(a, 0.0, 0.0), f.point(b * cos, across, b * sin)];
            // The other pair of edges is turned less: they are longer than the turn is wide.
            let got = twist(&patch((1, 1), net.clone())).unwrap();
            prop_assert!(got >= degrees - 1e-9, "{got} for {degrees}");
            let ends = twist(&patch((1, 1), vec![net[0], net[2], net[1], net[3]])).unwrap();
            prop_assert!((got - ends).abs() < 1e-9, "u and v exchanged: {got}, {ends}");
        }

        /// A crown in both directions turns nothing.
        #[test]
        fn domes_and_translational_patches_have_none(crowns in proptest::array::uniform2(-30.0f64..30.0)) {
            let f = frame();
            let rise = |i: usize, c: f64| if i == 1 { c } else { 0.0 };
            let net = (0..3).flat_map(|i| (0..3).map(move |j| (i, j)))
                .map(|(i, j)| f.point(40.0 * i as f64, 30.0 * j as f64, rise(i, crowns[0]) + rise(j, crowns[1]))).collect();
            prop_assert!(twist(&patch((2, 2), net)).unwrap() < 1e-6);
        }
    }

    #[test]
    fn a_square_with_one_corner_lifted_has_a_closed_form() {
        // Corners (0,0,0), (l,0,0), (0,l,0), (l,l,h). The way across is (0, l, h/2); the chords (l,0,0) and (l,0,h) less their part
        // along it: cosine of the angle by hand.
        let (f, l, h) = (frame(), 50.0, 12.0);
        let net = vec![f.point(0.0, 0.0, 0.0), f.point(0.0, l, 0.0), f.point(l, 0.0, 0.0), f.point(l, l, h)];
        let part = h * (h / 2.0) / (l * l + h * h / 4.0);
        let second = Vec3::new(l, -part * l, h - part * h / 2.0);
        let want = real::acos(second.x / second.length()).to_degrees();
        assert!((twist(&patch((1, 1), net)).unwrap() - want).abs() < 1e-9);
    }

    #[test]
    fn a_patch_with_a_collapsed_edge_has_none() {
        let f = frame();
        let net = vec![f.point(0.0, 0.0, 0.0), f.point(0.0, 0.0, 0.0), f.point(50.0, -20.0, 0.0), f.point(50.0, 20.0, 9.0)];
        assert_eq!(twist(&patch((1, 1), net)), None);
    }
}
