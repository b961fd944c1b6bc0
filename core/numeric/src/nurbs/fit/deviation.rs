//! How far a spline lies from points at their parameters.

use super::{CurveSample, SurfaceSample};
use crate::nurbs::{Curve, Surface};

/// Distances between points and a spline at the points' parameters, mm; never less than the distance to the nearest
/// point of the spline. Weights do not count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// Largest.
    pub max: f64,
    /// Index of the point where it is.
    pub at: usize,
    /// Root of the mean square.
    pub rms: f64,
    /// Number of points.
    pub count: usize,
}

impl Deviation {
    /// From single distances; none gives None.
    pub fn of(distances: impl IntoIterator<Item = f64>) -> Option<Self> {
        let mut whole = Self { max: f64::NEG_INFINITY, at: 0, rms: 0.0, count: 0 };
        for d in distances {
            if d > whole.max {
                (whole.max, whole.at) = (d, whole.count);
            }
            whole.rms += d * d;
            whole.count += 1;
        }
        whole.rms = (whole.rms / whole.count as f64).sqrt();
        (whole.count > 0).then_some(whole)
    }
}

/// Of a curve from samples: those it was fitted to, or a denser set.
pub fn curve_deviation<const D: usize>(curve: &Curve<D>, samples: &[CurveSample<D>]) -> Option<Deviation> {
    Deviation::of(samples.iter().map(|s| {
        let at = curve.derivs(s.t, 0)[0];
        at.iter().zip(&s.point).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
    }))
}

/// Of a surface from samples: those it was fitted to, or a denser set.
pub fn surface_deviation(surface: &Surface, samples: &[SurfaceSample]) -> Option<Deviation> {
    Deviation::of(samples.iter().map(|s| surface.derivs(s.uv.u, s.uv.v, 0).s.distance(s.point)))
}
