//! What the page says about the lamps, made into a rig.

use glam::DVec3;
use rakelight_core::highlight::{Eye, Family, LampRig, RigError};
use serde::{Deserialize, Serialize};

/// Stripe settings as the page sends them; what is missing takes its default.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(default)]
pub struct LampSettings {
    /// `none`, `isophote`, `highlight` or `reflection`.
    pub family: String,
    /// Direction to the lamps, any length.
    pub direction: [f64; 3],
    /// Turn of the lamps about the direction, degrees; 0: the lamps follow one another level.
    pub turn: f64,
    /// Number of lamps.
    pub count: u32,
    /// From lamp to lamp: radians for isophotes, mm for the others.
    pub spacing: f64,
    /// Lit share of the spacing, 0 to 1.
    pub width: f64,
    /// Distance of the lamp plane from the model's middle, mm.
    pub distance: f64,
    /// What the lamps stand around instead of the model's own middle, mm: one rig for two models.
    pub middle: Option<[f64; 3]>,
}

/// The lamps on the screen and where they are seen from, as the viewer tells them to the worker.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SeenLamps {
    /// The lamps.
    pub lamps: LampSettings,
    /// The model's middle, mm.
    pub middle: [f64; 3],
    /// The eye is at a place; else it is far, in a direction.
    pub near: bool,
    /// The place of the eye, mm, or the unit vector to it.
    pub eye: [f64; 3],
    /// Unit vector to the right of the screen.
    pub right: [f64; 3],
    /// Unit vector upwards on the screen.
    pub up: [f64; 3],
}

impl SeenLamps {
    /// The rig; `None` when there are no stripes.
    pub fn rig(&self) -> Result<Option<LampRig>, RigError> {
        let eye = DVec3::from_array(self.eye);
        self.lamps.rig(DVec3::from_array(self.middle), if self.near { Eye::At(eye) } else { Eye::Far(eye) })
    }
}

impl Default for LampSettings {
    fn default() -> Self {
        LampSettings {
            family: "none".into(),
            direction: [0.0, 0.0, 1.0],
            turn: 0.0,
            count: 24,
            spacing: std::f64::consts::PI / 24.0,
            width: 0.5,
            distance: 1000.0,
            middle: None,
        }
    }
}

impl LampSettings {
    /// The rig around a model's `middle`, seen by an eye; `None` when no stripes are wanted. An unknown family is no stripes.
    pub fn rig(&self, middle: DVec3, eye: Eye) -> Result<Option<LampRig>, RigError> {
        let family = match self.family.as_str() {
            "isophote" => Family::Isophote,
            "highlight" => Family::HighlightLine,
            "reflection" => Family::ReflectionLine,
            _ => return Ok(None),
        };
        let direction = DVec3::from_array(self.direction);
        let across = LampRig::across(direction, self.turn.to_radians());
        let rig = LampRig {
            family,
            direction,
            across,
            centre: self.middle.map_or(middle, DVec3::from_array),
            distance: self.distance,
            count: self.count,
            spacing: self.spacing,
            width: self.width * self.spacing,
            eye,
        };
        rig.checked().map(Some)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FAR: Eye = Eye::Far(DVec3::Z);

    #[test]
    fn settings_become_a_rig_around_the_middle() {
        let middle = DVec3::new(5.0, 6.0, 7.0);
        let settings = LampSettings { family: "highlight".into(), direction: [0.0, 2.0, 2.0], spacing: 40.0, ..LampSettings::default() };
        let rig = settings.rig(middle, FAR).expect("sound").expect("wanted");
        assert_eq!((rig.family, rig.centre, rig.width), (Family::HighlightLine, middle, 20.0));
        assert!((rig.direction.length() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_given_middle_comes_before_the_models_own() {
        let settings = LampSettings { family: "highlight".into(), middle: Some([1.0, 2.0, 3.0]), ..LampSettings::default() };
        assert_eq!(settings.rig(DVec3::ZERO, FAR).expect("sound").expect("wanted").centre, DVec3::new(1.0, 2.0, 3.0));
    }

    #[test]
    fn no_family_is_no_stripes_and_broken_numbers_are_named() {
        assert_eq!(LampSettings::default().rig(DVec3::ZERO, FAR), Ok(None));
        let broken = LampSettings { family: "isophote".into(), spacing: f64::NAN, ..LampSettings::default() };
        assert_eq!(broken.rig(DVec3::ZERO, FAR), Err(RigError::Spacing));
    }
}
