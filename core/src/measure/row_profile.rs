//! The side profile of a control row: its points over the chord, in plan and in profile.

use crate::math::{Point3, Vec3};

/// A row laid along its chord, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RowProfile {
    /// Each control point along the chord, from the first.
    pub along: Vec<f64>,
    /// How far each lies beside the chord in the tangent plane: the plan.
    pub plan: Vec<f64>,
    /// How far each lies off the chord in the plane of chord and normal, along the normal: the profile.
    pub side: Vec<f64>,
    /// Unit vectors along the chord, across it in the tangent plane, and along the normal.
    pub axes: [Vec3; 3],
}

/// A chord shorter than this share of the way to the farthest point is none: the row closes, and is laid towards that point. Larger:
/// open hooks are laid askew; smaller: the last digits of a closed row decide.
const CLOSED: f64 = 1e-6;

impl RowProfile {
    /// Of control points with the surface's normals at them, whose mean is what "off" means. None of a row without length, and where
    /// no normal stands across it.
    pub fn new(points: &[Point3], normals: &[Vec3]) -> Option<RowProfile> {
        let (first, last) = (*points.first()?, *points.last()?);
        let farthest = points.iter().map(|p| *p - first).fold(Vec3::ZERO, |a, b| if b.length() > a.length() { b } else { a });
        let chord = last - first;
        let e = if chord.length() > CLOSED * farthest.length() { chord } else { farthest }.try_normalize()?;
        let mean = normals.iter().fold(Vec3::ZERO, |sum, n| sum + *n);
        let n = (mean - e * mean.dot(e)).try_normalize()?;
        let b = n.cross(e);
        let over = |axis: Vec3| points.iter().map(|p| (*p - first).dot(axis)).collect();
        Some(RowProfile { along: over(e), plan: over(b), side: over(n), axes: [e, b, n] })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: &[f64], b: &[f64]) -> bool {
        a.len() == b.len() && a.iter().zip(b).all(|(x, y)| (x - y).abs() < 1e-12)
    }

    /// By hand: along x, 3 mm to the left and 4 mm up at the middle. With the normal up, across is normal × chord, to the left.
    #[test]
    fn plan_and_profile_of_an_arched_row() {
        let points = [Point3::new(5.0, 1.0, 2.0), Point3::new(15.0, 4.0, 6.0), Point3::new(25.0, 1.0, 2.0)];
        let laid = RowProfile::new(&points, &[Vec3::Z; 3]).unwrap();
        assert!(near(&laid.along, &[0.0, 10.0, 20.0]) && near(&laid.plan, &[0.0, 3.0, 0.0]) && near(&laid.side, &[0.0, 4.0, 0.0]));
        assert_eq!(laid.axes, [Vec3::X, Vec3::Y, Vec3::Z]);
    }

    /// Normals that lean along the chord do not tilt the profile.
    #[test]
    fn the_normal_is_taken_square_to_the_chord() {
        let points = [Point3::new(0.0, 0.0, 0.0), Point3::new(0.0, 7.0, 1.0), Point3::new(0.0, 10.0, 0.0)];
        let laid = RowProfile::new(&points, &[Vec3::new(0.0, 0.6, 0.8), Vec3::Z, Vec3::ZERO]).unwrap();
        assert!(near(&laid.side, &[0.0, 1.0, 0.0]) && near(&laid.plan, &[0.0; 3]));
    }

    #[test]
    fn closed_rows_are_laid_towards_their_farthest_point() {
        let points = [[0.0, 0.0], [2.0, 2.0], [6.0, 0.0], [2.0, -2.0], [0.0, 0.0]].map(|[x, y]| Point3::new(x, y, 0.0));
        let laid = RowProfile::new(&points, &[Vec3::Z; 5]).unwrap();
        assert!(near(&laid.along, &[0.0, 2.0, 6.0, 2.0, 0.0]) && near(&laid.plan, &[0.0, 2.0, 0.0, -2.0, 0.0]));
        assert!(RowProfile::new(&[points[0]; 4], &[Vec3::Z; 4]).is_none(), "a pole");
        assert!(RowProfile::new(&points, &[Vec3::X; 5]).is_none(), "a normal along the chord");
        assert!(RowProfile::new(&[], &[]).is_none());
    }
}
