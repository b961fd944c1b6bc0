//! How a file is to be read, and its joins looked for.

use rakelight_core::joins;
use rakelight_core::layout::MirrorPlane;
use rakelight_core::math::{Point3, Vec3};
use rakelight_core::model::Model;
use rakelight_core::review::Options;
use rakelight_core::tessellate::Tolerance;
use serde::Deserialize;

/// What the page asks for.
#[derive(Deserialize)]
pub struct Reading {
    /// Millimetres to take for the file's unit.
    unit: Option<f64>,
    /// What the file hides too.
    hidden: bool,
    /// Search distance of joins, mm; the usual one when none is given.
    search: Option<f64>,
    /// The centre plane; found when none is given.
    #[serde(default)]
    plane: Option<Plane>,
    /// Limits of triangles, mm and radians; the usual ones where none are given. The page gives none: what is timed against others does.
    chord: Option<f64>,
    angle: Option<f64>,
}

/// A centre plane: square to a normal, or through three places, mm.
#[derive(Deserialize)]
struct Plane {
    normal: Option<[f64; 3]>,
    #[serde(default)]
    offset: f64,
    points: Option<[[f64; 3]; 3]>,
}

impl Reading {
    /// Sets the options of reading and of looking for joins.
    pub fn set(&self, options: &mut Options) {
        (options.limits.unit, options.limits.hidden) = (self.unit, self.hidden);
        let usual = joins::Options::default();
        let asked = self.search.filter(|s| s.is_finite() && *s > 0.0);
        options.joins.search = asked.unwrap_or(usual.search);
        // The share of the model's size keeps the usual distance from joining the faces of small parts. Who asks for a distance
        // means it.
        options.joins.search_share = if asked.is_some() { f64::INFINITY } else { usual.search_share };
        options.joins.plane = self.plane.as_ref().and_then(Plane::picked);
    }

    /// How finely a model is meshed first.
    pub fn tolerance(&self, model: &Model) -> Tolerance {
        let usual = Tolerance::for_model(model);
        let positive = |x: Option<f64>| x.filter(|x| x.is_finite() && *x > 0.0);
        Tolerance { chord: positive(self.chord).unwrap_or(usual.chord), angle: positive(self.angle).unwrap_or(usual.angle), ..usual }
    }
}

impl Plane {
    /// None for numbers that give no plane.
    fn picked(&self) -> Option<MirrorPlane> {
        match (self.normal, self.points) {
            (Some(normal), _) => MirrorPlane::new(Vec3::from_array(normal), self.offset),
            (None, Some(points)) => MirrorPlane::through(points.map(|[x, y, z]| Point3::new(x, y, z))),
            (None, None) => None,
        }
    }
}
