//! The point of a triangle nearest to a point.

use crate::math::{Point3, Vec3};

/// What of a triangle a point lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feature {
    /// Its inside.
    Inside,
    /// The side from this corner to the next.
    Side(usize),
    /// This corner.
    Corner(usize),
}

/// A point of a triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnTriangle {
    /// Position, mm.
    pub point: Point3,
    /// Shares of the three corners, sum 1.
    pub weights: [f64; 3],
    /// What it lies on.
    pub feature: Feature,
}

/// The nearest point, by the region of the triangle's plane that `p` lies over (Ericson, *Real-Time Collision Detection*, 2005,
/// §5.1.5). Of a triangle that is a line or a point, the nearest point of its sides.
pub fn nearest_on_triangle(p: Point3, [a, b, c]: [Point3; 3]) -> OnTriangle {
    let (ab, ac) = (b - a, c - a);
    let on = |weights: [f64; 3], feature: Feature| {
        let point = match feature {
            // A corner is itself, to the last bit.
            Feature::Corner(0) => a,
            Feature::Corner(1) => b,
            Feature::Corner(_) => c,
            _ => a + ab * weights[1] + ac * weights[2],
        };
        OnTriangle { point, weights, feature }
    };
    let from = |q: Point3| (ab.dot(p - q), ac.dot(p - q));
    let ((d1, d2), (d3, d4), (d5, d6)) = (from(a), from(b), from(c));
    if d1 <= 0.0 && d2 <= 0.0 {
        return on([1.0, 0.0, 0.0], Feature::Corner(0));
    }
    if d3 >= 0.0 && d4 <= d3 {
        return on([0.0, 1.0, 0.0], Feature::Corner(1));
    }
    if d6 >= 0.0 && d5 <= d6 {
        return on([0.0, 0.0, 1.0], Feature::Corner(2));
    }
    let (va, vb, vc) = (d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2);
    let found = if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        let t = d1 / (d1 - d3);
        on([1.0 - t, t, 0.0], Feature::Side(0))
    } else if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        let t = d2 / (d2 - d6);
        on([1.0 - t, 0.0, t], Feature::Side(2))
    } else if va <= 0.0 && d4 >= d3 && d5 >= d6 {
        let t = (d4 - d3) / ((d4 - d3) + (d5 - d6));
        on([0.0, 1.0 - t, t], Feature::Side(1))
    } else {
        let sum = va + vb + vc;
        on([va / sum, vb / sum, vc / sum], Feature::Inside)
    };
    if found.point.is_finite() && !is_needle(ab, ac) { found } else { nearest_on_sides(p, [a, b, c], found) }
}

/// Sine squared of a triangle's angle below which the regions are told apart by rounding. Larger: slower for thin triangles;
/// smaller: points astray by the square root of rounding.
const NEEDLE: f64 = 1e-10;

fn is_needle(ab: Vec3, ac: Vec3) -> bool {
    ab.cross(ac).length_squared() <= NEEDLE * ab.length_squared() * ac.length_squared()
}

/// The nearest of the three sides' nearest points and `inside`.
fn nearest_on_sides(p: Point3, corners: [Point3; 3], inside: OnTriangle) -> OnTriangle {
    let [a, b, c] = corners;
    let mut best = OnTriangle { point: a, weights: [1.0, 0.0, 0.0], feature: Feature::Corner(0) };
    let mut take = |one: OnTriangle| {
        if one.point.is_finite() && one.point.distance(p) < best.point.distance(p) {
            best = one;
        }
    };
    for (side, (from, to)) in [(a, b), (b, c), (c, a)].into_iter().enumerate() {
        let way = to - from;
        let t = ((p - from).dot(way) / way.length_squared()).clamp(0.0, 1.0);
        let next = (side + 1) % 3;
        let t = if t.is_nan() { 0.0 } else { t };
        let weights = core::array::from_fn(|i| {
            if i == side {
                1.0 - t
            } else if i == next {
                t
            } else {
                0.0
            }
        });
        let feature = match t {
            0.0 => Feature::Corner(side),
            1.0 => Feature::Corner(next),
            _ => Feature::Side(side),
        };
        take(OnTriangle { point: from + way * t, weights, feature });
    }
    // In a needle the inside gains nothing that can be told from the sides, unless its plane is sound.
    take(inside);
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The obviously right twin: the foot on the plane where it is inside, else the nearest of the sides.
    pub fn brute(p: Point3, [a, b, c]: [Point3; 3]) -> f64 {
        let n = (b - a).cross(c - a);
        let side = |x: Point3, y: Point3| {
            let way = y - x;
            let t = ((p - x).dot(way) / way.length_squared()).clamp(0.0, 1.0);
            if t.is_nan() { p.distance(x) } else { p.distance(x + way * t) }
        };
        let mut best = side(a, b).min(side(b, c)).min(side(c, a));
        if let Some(n) = n.try_normalize() {
            let q = p - n * (p - a).dot(n);
            let within = [(a, b), (b, c), (c, a)].iter().all(|&(x, y)| (y - x).cross(q - x).dot(n) >= 0.0);
            if within {
                best = best.min((p - a).dot(n).abs());
            }
        }
        best
    }

    proptest! {
        #[test]
        fn as_near_as_the_obvious_way(
            corners in prop::array::uniform3(prop::array::uniform3(-50.0f64..50.0)), p in prop::array::uniform3(-80.0f64..80.0),
            thin in prop::sample::select(vec![1.0, 1e-3, 1e-6, 1e-9, 0.0]),
        ) {
            let point = |x: [f64; 3]| Point3::new(x[0], x[1], x[2]);
            let [a, b, c] = corners.map(point);
            let c = a.lerp(b, 0.3) + (c - a.lerp(b, 0.3)) * thin;
            let got = nearest_on_triangle(point(p), [a, b, c]);
            let (want, d) = (brute(point(p), [a, b, c]), got.point.distance(point(p)));
            prop_assert!((d - want).abs() < 1e-9, "{d} against {want}");
            let w = got.weights;
            prop_assert!((w[0] + w[1] + w[2] - 1.0).abs() < 1e-6);
            let by_weights = Point3::from_vec(a.to_vec() * w[0] + b.to_vec() * w[1] + c.to_vec() * w[2]);
            prop_assert!(by_weights.distance(got.point) < 1e-6);
        }
    }

    #[test]
    fn features_are_told() {
        let t = [Point3::ORIGIN, Point3::new(2.0, 0.0, 0.0), Point3::new(0.0, 2.0, 0.0)];
        let of = |x: f64, y: f64| nearest_on_triangle(Point3::new(x, y, 1.0), t).feature;
        assert_eq!(
            [of(0.5, 0.5), of(-1.0, -1.0), of(9.0, 0.0), of(0.0, 9.0), of(1.0, -1.0), of(3.0, 3.0), of(-1.0, 1.0)],
            [
                Feature::Inside,
                Feature::Corner(0),
                Feature::Corner(1),
                Feature::Corner(2),
                Feature::Side(0),
                Feature::Side(1),
                Feature::Side(2)
            ]
        );
    }

    #[test]
    fn a_point_is_its_own_nearest_and_no_number_is_survived() {
        let p = Point3::new(1.0, 2.0, 3.0);
        assert_eq!(nearest_on_triangle(Point3::ORIGIN, [p; 3]).point, p);
        let bad = Point3::new(f64::NAN, 0.0, 0.0);
        nearest_on_triangle(bad, [p, Point3::ORIGIN, bad]);
    }
}
