//! Distance from a point to a chord or facet.

use crate::math::Point3;

/// Distance from `x` to the segment from `p` to `q`, mm; a segment without length counts as a point.
pub(super) fn distance_to_segment(x: Point3, p: Point3, q: Point3) -> f64 {
    let (d, r) = (q - p, x - p);
    let length = d.length_squared();
    let t = if length > 0.0 { (r.dot(d) / length).clamp(0.0, 1.0) } else { 0.0 };
    (r - d * t).length()
}

/// Distance from `x` to the plane of a triangle, mm; to its nearest side where the triangle has no area.
pub(super) fn distance_to_facet(x: Point3, [a, b, c]: [Point3; 3]) -> f64 {
    let normal = (b - a).cross(c - a);
    let longest = (b - a).length_squared().max((c - a).length_squared()).max((c - b).length_squared());
    // Below this sine the plane is rounding noise.
    if normal.length() > 1e-9 * longest {
        return ((x - a).dot(normal) / normal.length()).abs();
    }
    distance_to_segment(x, a, b).min(distance_to_segment(x, b, c)).min(distance_to_segment(x, c, a))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_beyond_and_degenerate() {
        let (p, q) = (Point3::new(1.0, 2.0, -1.0), Point3::new(7.0, 2.0, 7.0));
        for (x, want) in [(Point3::new(4.0, 5.0, 3.0), 3.0), (Point3::new(1.0, 2.0, -5.0), 4.0), (Point3::new(10.0, 2.0, 11.0), 5.0)] {
            assert!((distance_to_segment(x, p, q) - want).abs() < 1e-12);
            assert!((distance_to_segment(x, q, p) - want).abs() < 1e-12);
        }
        assert_eq!(distance_to_segment(q, p, p), 10.0);
        let flat = [p, q, p.lerp(q, 0.3)];
        assert!((distance_to_facet(Point3::new(4.0, 5.0, 3.0), flat) - 3.0).abs() < 1e-12);
        let full = [p, q, Point3::new(0.0, 2.0, 5.0)];
        assert!((distance_to_facet(Point3::new(90.0, 5.5, 3.0), full) - 3.5).abs() < 1e-12);
    }
}
