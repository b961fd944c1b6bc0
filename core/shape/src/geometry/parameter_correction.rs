//! Better parameters for points that a spline was fitted to.

use super::closest::closest_on_surface;
use super::curve_closest::closest_on_curve;
use super::{Curve, Surface};
use crate::math::Point3;
use crate::nurbs;
use crate::nurbs::fit::{CurveSample, SurfaceSample};

/// The samples with the parameters of their closest points on the surface, near those they had: the step between two fits
/// that lets points slide along the surface (Hoschek, *Intrinsic parametrization for approximation*, CAGD 5, 1988, 27–31).
/// Repeated, the mean square distance never rises. Points beyond the surface's border get parameters on the border.
pub fn corrected_on_surface(surface: &nurbs::Surface, samples: &[SurfaceSample]) -> Vec<SurfaceSample> {
    let surface = Surface::Nurbs(surface.clone());
    samples.iter().map(|s| SurfaceSample { uv: closest_on_surface(&surface, s.point, s.uv).uv, ..*s }).collect()
}

/// As [`corrected_on_surface`], of points along a curve.
pub fn corrected_on_curve(curve: &nurbs::Curve<3>, samples: &[CurveSample<3>]) -> Vec<CurveSample<3>> {
    let (over, curve) = (curve.domain(), Curve::Nurbs(curve.clone()));
    let foot = |s: &CurveSample<3>| closest_on_curve(&curve, over.low, over.high, Point3::from_vec(s.point.into()), Some(s.t)).t;
    samples.iter().map(|s| CurveSample { t: foot(s), ..*s }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::{Point2, real};
    use crate::nurbs::KnotVector;
    use crate::nurbs::fit::{Deviation, curve_deviation, fit_curve, fit_surface, surface_deviation};

    /// Rounds of fit and correction: the root mean square of each.
    fn falls(rms: &[f64], to: f64) {
        assert!(rms.windows(2).all(|w| w[1] <= w[0] * (1.0 + 1e-9)), "{rms:?}");
        assert!(rms.last().is_some_and(|last| *last < to * rms[0]), "{rms:?}");
    }

    #[test]
    fn a_badly_parametrised_arc_is_fitted_better_each_round() {
        for degree in 3..=6 {
            let knots = KnotVector::bezier(degree).unwrap();
            let sample = |i: u32| {
                let t = f64::from(i) / 60.0;
                let (sin, cos) = real::sin_cos(1.4 * t * (0.6 + 0.4 * t));
                CurveSample { t, point: [300.0 * cos, 300.0 * sin, 40.0 * t], weight: 1.0 }
            };
            let mut samples: Vec<_> = (0..=60).map(sample).collect();
            let mut rms = Vec::new();
            for _ in 0..8 {
                let curve = fit_curve(&knots, &samples, None, &[]).unwrap();
                rms.push(curve_deviation(&curve, &samples).unwrap().rms);
                samples = corrected_on_curve(&curve, &samples);
            }
            falls(&rms, 0.75);
        }
    }

    #[test]
    fn and_so_is_a_cylinder() {
        for degree in 2..=5 {
            let knots = KnotVector::bezier(degree).unwrap();
            let mut samples = Vec::new();
            for i in 0..=24 {
                for j in 0..=9 {
                    let (u, v) = (f64::from(i) / 24.0, f64::from(j) / 9.0);
                    let (sin, cos) = real::sin_cos(1.2 * u * (0.5 + 0.5 * u));
                    samples.push(SurfaceSample {
                        uv: Point2::new(u, v),
                        point: Point3::new(500.0 * cos, 500.0 * sin, 300.0 * v),
                        weight: 1.0,
                    });
                }
            }
            let mut rms = Vec::new();
            let mut last: Option<Deviation> = None;
            for _ in 0..6 {
                let s = fit_surface(&knots, &KnotVector::bezier(1).unwrap(), &samples, None, &[]).unwrap();
                last = surface_deviation(&s, &samples);
                rms.push(last.unwrap().rms);
                samples = corrected_on_surface(&s, &samples);
            }
            falls(&rms, 0.75);
            assert!(last.is_some_and(|d| d.count == samples.len() && d.max >= d.rms));
        }
    }
}
