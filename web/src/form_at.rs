//! Values of form at a picked point, in double precision.

use crate::form_colour::FormSettings;
use crate::scene::Scene;
use rakelight_core::geometry::{Form, convexity};
use rakelight_core::math::Point2;
use serde::Serialize;

/// Curvatures at a point, convex seen from the outward side as positive.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FormValues {
    /// Gaussian curvature, 1/mm².
    pub gaussian: f64,
    /// Mean curvature, 1/mm.
    pub mean: f64,
    /// Larger principal curvature, 1/mm.
    pub max: f64,
    /// Smaller principal curvature, 1/mm.
    pub min: f64,
    /// Smallest radius, mm; none on a plane.
    pub radius: Option<f64>,
    /// The smallest radius is a hollow's.
    pub hollow: bool,
}

/// The values at parameters of a face; `None` where it has no tangent plane, and of a reference.
pub fn form_at(scene: &Scene, face: u32, u: f64, v: f64, settings: &FormSettings) -> Option<FormValues> {
    let found = scene.face(face)?;
    let k = settings.seen(convexity(found.surface()?, Point2::new(u, v), scene.side(found))?);
    Some(FormValues {
        gaussian: Form::Gaussian.of(k),
        mean: Form::Mean.of(k),
        max: k.max,
        min: k.min,
        radius: Some(Form::Radius.of(k)).filter(|r| r.is_finite()),
        hollow: k.tightest() < 0.0,
    })
}
