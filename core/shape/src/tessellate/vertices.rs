//! Mesh vertices while a face is being filled.

use crate::geometry::Surface;
use crate::math::{Interval, Point2, Point3, Vec2, Vec3};

/// Vertices by number, and what is known at each.
#[derive(Debug, Default)]
pub(super) struct Vertices {
    /// Parameters.
    pub uv: Vec<Point2>,
    /// Where the parameters lie in the plane of triangulation.
    pub plane: Vec<Vec2>,
    /// Surface point at the parameters, mm.
    pub on: Vec<Point3>,
    /// Unit Su × Sv, or its limit from inside the region at a singular point.
    pub normal: Vec<Vec3>,
}

impl Vertices {
    /// Adds a vertex and gives its number.
    pub fn push(&mut self, surface: &Surface, bounds: (Interval, Interval), uv: Point2, plane: Vec2) -> u32 {
        let (point, normal) = frame_at(surface, bounds, uv);
        self.uv.push(uv);
        self.plane.push(plane);
        self.on.push(point);
        self.normal.push(normal);
        (self.uv.len() - 1) as u32
    }

    /// Surface point of a vertex.
    pub fn on(&self, n: u32) -> Point3 {
        self.on.get(n as usize).copied().unwrap_or_default()
    }

    /// Parameters of a vertex.
    pub fn uv(&self, n: u32) -> Point2 {
        self.uv.get(n as usize).copied().unwrap_or_default()
    }

    /// Plane point of a vertex.
    pub fn plane(&self, n: u32) -> Vec2 {
        self.plane.get(n as usize).copied().unwrap_or_default()
    }

    /// Normal at a vertex.
    pub fn normal(&self, n: u32) -> Vec3 {
        self.normal.get(n as usize).copied().unwrap_or(Vec3::Z)
    }
}

/// The surface's plane of triangulation: scaled, moved to the region's corner, snapped.
#[derive(Debug, Clone, Copy)]
pub(super) struct PlaneMap {
    origin: Point2,
    scale: Vec2,
    quantum: f64,
}

impl PlaneMap {
    /// The map for a box and scales; None when the box has no extent or the numbers are not finite.
    ///
    /// Points are snapped to 2⁻⁴⁰ of the longer side: borders that are straight but for rounding become straight,
    /// and no two points stand closer than exact predicates and later divisions can take.
    pub fn new((u, v): (Interval, Interval), scale: Vec2) -> Option<Self> {
        let extent = (u.length() * scale.x).max(v.length() * scale.y);
        if !(extent.is_finite() && extent > 1e-100) {
            return None;
        }
        // The power of two at or below the extent, without its digits, times 2⁻³⁹.
        let power = f64::from_bits(extent.to_bits() & (0x7ff << 52));
        Some(Self { origin: Point2::new(u.low, v.low), scale, quantum: power / (1u64 << 39) as f64 })
    }

    /// Plane point of parameters.
    pub fn plane(&self, uv: Point2) -> Vec2 {
        let snap = |x: f64| (x / self.quantum).round() * self.quantum + 0.0;
        Vec2::new(snap((uv.u - self.origin.u) * self.scale.x), snap((uv.v - self.origin.v) * self.scale.y))
    }
}

/// How far towards the middle of the box the normal at a singular point is taken. Larger: the shade at a pole is that
/// of its neighbourhood. Smaller: the cross product there drowns in rounding.
const INWARD: f64 = 1e-4;

/// Surface point and unit normal; at singular points the normal a little further inside.
fn frame_at(surface: &Surface, (u, v): (Interval, Interval), uv: Point2) -> (Point3, Vec3) {
    let d = surface.derivs(uv.u, uv.v, 1);
    if let Some(n) = sound_normal(d.su, d.sv) {
        return (d.s, n);
    }
    let middle = Point2::new(u.at(0.5), v.at(0.5));
    let inward = (middle - uv) * INWARD;
    let steps = [Vec2::new(0.0, inward.y), Vec2::new(inward.x, 0.0), inward, inward * 100.0];
    // Along a pole's side |Su| vanishes and only v leads away from it, and the other way round.
    let steps = if d.su.length_squared() * scale2(u) <= d.sv.length_squared() * scale2(v) {
        steps
    } else {
        [steps[1], steps[0], steps[2], steps[3]]
    };
    let near = steps.iter().find_map(|&s| {
        let p = uv + s;
        let d = surface.derivs(p.u, p.v, 1);
        sound_normal(d.su, d.sv)
    });
    (d.s, near.unwrap_or(Vec3::Z))
}

fn scale2(range: Interval) -> f64 {
    range.length() * range.length()
}

/// Su × Sv made unit, unless the two are so nearly parallel, or one so short beside the other's cross, that it is noise.
fn sound_normal(su: Vec3, sv: Vec3) -> Option<Vec3> {
    let cross = su.cross(sv);
    let product = su.length() * sv.length();
    // Squared speeds below 1e-12 of the other side's are those of a pole to rounding of its control points.
    let (short, long) = (su.length_squared().min(sv.length_squared()), su.length_squared().max(sv.length_squared()));
    if cross.length() > 1e-8 * product && short > 1e-24 * long { cross.try_normalize() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Sphere};
    use crate::math::{Frame, real};

    #[test]
    fn poles_get_the_limit_of_their_normals() {
        let frame = Frame::from_axis(Point3::new(4.0, -2.0, 9.0), Some(Vec3::new(2.0, 1.0, -3.0)), Some(Vec3::X));
        let bounds = (Interval::new(0.0, real::TAU), Interval::new(-real::FRAC_PI_2, real::FRAC_PI_2));
        for radius in [1e-3, 7.0, 4e5] {
            let s = Surface::Sphere(Sphere { frame, radius });
            for u in [0.0, 1.0, 3.0, 6.0] {
                let (p, n) = frame_at(&s, bounds, Point2::new(u, real::FRAC_PI_2));
                assert!(real::angle_between(n, p - frame.origin) < 3.0 * INWARD);
            }
            let cone = Cone { frame, radius, half_angle: 0.4 };
            let bounds = (Interval::new(0.0, real::TAU), Interval::new(cone.apex(), 5.0 * radius));
            let (_, at_apex) = frame_at(&Surface::Cone(cone), bounds, Point2::new(0.7, cone.apex()));
            let (_, above) = frame_at(&Surface::Cone(cone), bounds, Point2::new(0.7, 2.0 * radius));
            assert!(real::angle_between(at_apex, above) < 1e-9, "along a generator the normal is constant");
        }
    }

    #[test]
    fn snapping_is_fine_and_straightens_rounding() {
        for (low, length, scale) in [(0.0, 1.0, 1.0), (-7e3, 12.0, 1e-4), (1e-6, 3e-7, 5e9)] {
            let box_ = (Interval::new(low, low + length), Interval::new(2.0 * low, 2.0 * low + 0.3 * length));
            let map = PlaneMap::new(box_, Vec2::splat(scale)).unwrap();
            for k in 0..50 {
                let uv = Point2::new(box_.0.at(f64::from(k) / 49.0), box_.1.at(f64::from(k * 7 % 50) / 49.0));
                let exact = (uv - Point2::new(low, 2.0 * low)) * scale;
                assert!((map.plane(uv) - exact).length() <= 2e-12 * length * scale);
            }
            assert_eq!(map.plane(Point2::new(low, 2.0 * low)), Vec2::ZERO);
        }
        let none = (Interval::new(1.0, 1.0), Interval::new(2.0, 2.0));
        assert!(PlaneMap::new(none, Vec2::ONE).is_none());
    }
}
