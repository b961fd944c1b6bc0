//! The fair surface a face is a departure from.

use super::closest::closest_on_surface;
use super::parameter_correction::corrected_on_surface;
use super::{Domain, Region, Surface};
use crate::math::{Interval, Point2, Vec3, real};
use crate::nurbs::KnotVector;
use crate::nurbs::fit::{Deviation, FitError, SurfaceSample, fit_surface};
use core::fmt;

/// The single polynomial patch that lies nearest to a face, and the face's distance from it.
#[derive(Debug, Clone)]
pub struct FairReference {
    patch: Surface,
    degrees: (usize, usize),
    deviation: Deviation,
}

/// Why a face has no fair reference.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum FairError {
    /// The region of the face is endless or empty.
    Region,
    /// The face bends or turns too far for one patch: an angle, radians, between one of its normals and their mean.
    Bend(f64),
    /// No patch fits.
    Fit(FitError),
}

impl fmt::Display for FairError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Region => write!(f, "the face covers no bounded region"),
            Self::Bend(angle) => write!(f, "the face bends by {:.0}° from its mean, too far for one fair patch", angle.to_degrees()),
            Self::Fit(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for FairError {}

impl From<FitError> for FairError {
    fn from(e: FitError) -> Self {
        Self::Fit(e)
    }
}

/// Degree in both directions that keeps form and leaves ripples: a single span of degree 5 follows an S-shape with its
/// inflections, and takes up less than a tenth of a ripple that stands five times or more across the face. Larger: longer
/// ripples are taken for form; smaller: S-shapes are taken for ripples. *Common practice, no source.*
pub const FAIR_DEGREE: usize = 5;

/// Samples a direction over the face's box. Smaller: ripples shorter than two steps are folded onto the form; larger: slower.
const LINES: usize = 64;

/// Rounds of parameter correction. Smaller: uneven parameters and bends are left over; larger: slower.
const ROUNDS: usize = 3;

/// Part of the box's size the patch runs on beyond it. Larger: worse conditioned fits; smaller: feet of points near the border
/// fall on the patch's border.
const MARGIN: f64 = 0.05;

/// Largest angle between a normal and their mean, radians. Larger: closed tubes get a patch that misses them by far more than
/// any ripple; smaller: strongly crowned panels are refused.
const BEND: f64 = 1.2;

impl FairReference {
    /// The reference of the part of `surface` within `domain`, of stated degrees in u and v, each 1 to 7
    /// ([`FAIR_DEGREE`] in both unless there is a reason). Samples are weighted with area, fitted at the face's own (u, v) and
    /// then at their feet, so that uneven parameters count for little. What one span cannot follow is left in
    /// [`FairReference::residual`] as if it were a ripple: of a cylinder that turns by 64°, 1.5e-6 of its radius.
    ///
    /// # Errors
    /// See [`FairError`].
    pub fn new(surface: &Surface, domain: &Domain, (p, q): (usize, usize)) -> Result<Self, FairError> {
        let region = Region::new(domain);
        let samples = samples(surface, &region)?;
        let (bu, bv) = region.bounds();
        let (ku, kv) = (knots(p, bu)?, knots(q, bv)?);
        let mut patch = fit_surface(&ku, &kv, &samples, None, &[])?;
        let mut moved = samples.clone();
        for _ in 0..ROUNDS {
            moved = corrected_on_surface(&patch, &moved);
            patch = fit_surface(&ku, &kv, &moved, None, &[])?;
        }
        let mut fair = Self { patch: Surface::Nurbs(patch), degrees: (p, q), deviation: Deviation { max: 0.0, at: 0, rms: 0.0, count: 0 } };
        let all = samples.iter().filter_map(|s| fair.residual(surface, s.uv)).map(f64::abs);
        fair.deviation = Deviation::of(all).ok_or(FairError::Region)?;
        Ok(fair)
    }

    /// The patch, over parameters near the face's own.
    pub fn patch(&self) -> &Surface {
        &self.patch
    }

    /// Its degrees in u and v.
    pub fn degrees(&self) -> (usize, usize) {
        self.degrees
    }

    /// The face's distances from it at samples over the face.
    pub fn deviation(&self) -> Deviation {
        self.deviation
    }

    /// Signed distance of the face's point at (u, v) from the patch, mm, along the patch's normal at the point's foot;
    /// positive on the side of Su × Sv of the face. None where the face or the patch has no normal.
    pub fn residual(&self, surface: &Surface, uv: Point2) -> Option<f64> {
        let d = surface.derivs(uv.u, uv.v, 1);
        let own = d.su.cross(d.sv).try_normalize()?;
        let foot = closest_on_surface(&self.patch, d.s, uv);
        let normal = self.patch.normal(foot.uv.u, foot.uv.v)?;
        Some((d.s - foot.point).dot(normal) * if normal.dot(own) < 0.0 { -1.0 } else { 1.0 })
    }
}

fn knots(degree: usize, over: Interval) -> Result<KnotVector, FairError> {
    let beyond = MARGIN * over.length();
    let mut knots = vec![over.low - beyond; degree + 1];
    knots.extend(vec![over.high + beyond; degree + 1]);
    KnotVector::new(degree, knots).map_err(|e| FairError::Fit(e.into()))
}

/// Points over the face, each weighted with the area it stands for.
fn samples(surface: &Surface, region: &Region) -> Result<Vec<SurfaceSample>, FairError> {
    let (bu, bv) = region.bounds();
    if !(bu.is_bounded() && bv.is_bounded() && bu.length() > 0.0 && bv.length() > 0.0) {
        return Err(FairError::Region);
    }
    let mut all = Vec::new();
    let mut normals: Vec<Vec3> = Vec::new();
    for i in 0..LINES {
        for j in 0..LINES {
            let share = |i: usize| (i as f64 + 0.5) / LINES as f64;
            let uv = Point2::new(bu.at(share(i)), bv.at(share(j)));
            if !region.contains(uv) {
                continue;
            }
            let d = surface.derivs(uv.u, uv.v, 1);
            let cross = d.su.cross(d.sv);
            let weight = cross.length();
            if weight > 0.0 && weight.is_finite() && d.s.is_finite() {
                all.push(SurfaceSample { uv, point: d.s, weight });
                normals.push(cross / weight);
            }
        }
    }
    let mean = normals.iter().zip(&all).fold(Vec3::ZERO, |sum, (n, s)| sum + *n * s.weight);
    let bend = normals.iter().map(|n| real::angle_between(*n, mean)).fold(0.0, f64::max);
    if bend > BEND { Err(FairError::Bend(bend)) } else { Ok(all) }
}
