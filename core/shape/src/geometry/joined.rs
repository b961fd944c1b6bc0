//! Stretches end to end as one smooth stretch.

use super::Curve;
use super::follow::Following;
use super::rail::{Pairing, Rail, Stretch};
use super::sweep::SweepError;
use crate::math::{Point3, real};

/// Most spans of the whole. Larger: memory for ways no spline follows; smaller: long winding ones have no form.
const MOST_SPANS: usize = 256;

/// Largest angle, radians, between one stretch's end and the next one's start: half a degree, beyond which they are no one line.
/// Larger: corners are rounded off unseen; smaller: borders of neighbours that are smooth for the eye are refused. Common practice,
/// no source.
const CORNER: f64 = 0.5 * core::f64::consts::PI / 180.0;

/// One spline of degree 5 through stretches that follow each other, by arc length, within `tolerance` > 0, mm, of each: small gaps and
/// kinks between them are smoothed over. Ends of neighbours may lie `apart` mm from each other.
///
/// # Errors
/// [`SweepError::Stretch`] for none, or one without length; [`SweepError::Apart`] and [`SweepError::Corner`] where two do not follow
/// each other; [`SweepError::TooRough`] when no spline of bearable size comes so near.
pub fn joined(pieces: &[Stretch], apart: f64, tolerance: f64) -> Result<Stretch, SweepError> {
    let rails: Vec<Rail> = pieces.iter().map(|p| Rail::new(p.clone(), Pairing::Length)).collect();
    let mut ends = vec![0.0];
    for rail in &rails {
        let length = rail.whole();
        (length > 0.0 && length.is_finite()).then_some(()).ok_or(SweepError::Stretch)?;
        ends.push(ends.last().copied().unwrap_or(0.0) + length);
    }
    let whole = ends.last().copied().filter(|l| *l > 0.0).ok_or(SweepError::Stretch)?;
    ends.iter_mut().for_each(|e| *e /= whole);
    for (pair, share) in rails.windows(2).zip(ends.iter().skip(1)) {
        let (a, b) = (pair[0].at(1.0), pair[1].at(0.0));
        let off = a.point.distance(b.point);
        let near = off <= apart;
        if !near {
            return Err(SweepError::Apart(off));
        }
        if real::angle_between(a.tangent, b.tangent) > CORNER {
            return Err(SweepError::Corner(*share));
        }
    }
    let at = |s: f64| -> Result<Vec<Point3>, SweepError> {
        let i = ends.partition_point(|e| *e <= s).clamp(1, rails.len()) - 1;
        let rail = rails.get(i).ok_or(SweepError::Stretch)?;
        let share = (s - ends[i]) / (ends[i + 1] - ends[i]);
        Ok(vec![rail.at(share.clamp(0.0, 1.0)).point])
    };
    let following = Following { spans: ends.clone(), multiplicity: &[], most: MOST_SPANS, tolerance };
    let curve = following.paths(&at)?.paths.into_iter().next().ok_or(SweepError::Stretch)?;
    Ok(Stretch { curve: Curve::Nurbs(curve), from: 0.0, to: 1.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Circle, Line, closest_on_curve};
    use crate::math::{Frame, Vec3};

    fn arc(radius: f64, from: f64, to: f64) -> Stretch {
        Stretch { curve: Curve::Circle(Circle { frame: Frame::WORLD, radius }), from, to }
    }

    fn line(a: Point3, b: Point3) -> Stretch {
        Stretch { curve: Curve::Line(Line { origin: a, direction: b - a }), from: 0.0, to: 1.0 }
    }

    #[test]
    fn an_arc_in_three_pieces_is_the_arc() {
        let pieces = [arc(80.0, 0.2, 0.5), arc(80.0, 0.5, 1.3), arc(80.0, 1.3, 1.9)];
        let whole = joined(&pieces, 1e-6, 1e-6).expect("one line");
        for i in 0..=50 {
            let s = f64::from(i) / 50.0;
            let want = Curve::Circle(Circle { frame: Frame::WORLD, radius: 80.0 }).point(0.2 + 1.7 * s);
            assert!(whole.curve.point(s).distance(want) < 2e-6, "by arc length at {s}");
        }
    }

    /// A line that runs into an arc: tangents are one, curvatures are not; the spline stays within its tolerance of both.
    #[test]
    fn a_break_of_curvature_is_followed() {
        let pieces = [line(Point3::new(80.0, -100.0, 0.0), Point3::new(80.0, 0.0, 0.0)), arc(80.0, 0.0, 1.0)];
        let whole = joined(&pieces, 1e-6, 1e-4).expect("one line");
        for i in 0..=200 {
            let p = whole.curve.point(f64::from(i) / 200.0);
            let off = pieces.iter().map(|x| closest_on_curve(&x.curve, x.from, x.to, p, None).distance).fold(f64::INFINITY, f64::min);
            assert!(off <= 1e-4, "{off}");
        }
    }

    #[test]
    fn what_is_no_one_line_says_why() {
        let (a, b) = (Point3::ORIGIN, Point3::new(100.0, 0.0, 0.0));
        let turned = |degrees: f64| b + Vec3::new(real::cos(degrees.to_radians()), real::sin(degrees.to_radians()), 0.0) * 50.0;
        assert!(joined(&[line(a, b), line(b, turned(0.4))], 1e-3, 1e-3).is_ok());
        assert!(
            matches!(joined(&[line(a, b), line(b, turned(0.6))], 1e-3, 1e-3), Err(SweepError::Corner(s)) if (s - 2.0 / 3.0).abs() < 1e-9)
        );
        let off = Point3::new(100.0, 2.0, 0.0);
        assert_eq!(joined(&[line(a, b), line(off, turned(0.0))], 1.0, 1e-3).map(|_| ()), Err(SweepError::Apart(2.0)));
        assert_eq!(joined(&[], 1.0, 1e-3).map(|_| ()), Err(SweepError::Stretch));
        assert_eq!(joined(&[line(a, a)], 1.0, 1e-3).map(|_| ()), Err(SweepError::Stretch));
    }
}
