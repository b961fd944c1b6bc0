//! The lamp rig: parallel lamps in a plane, or one far light.

use crate::math::Vec3;
use crate::math::real::{cos, sin};
use std::fmt;

/// How a stripe is drawn from a point and its normal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Lines of equal angle between normal and light direction (Poeschl, CAGD 1(2), 1984).
    Isophote,
    /// Lines whose normals meet a lamp (Beier & Chen, CAD 26(4), 1994).
    HighlightLine,
    /// Mirror images of the lamps, which move with the eye (Klass, CAD 12(2), 1980; Kaufmann & Klass, CAD 20(6), 1988).
    ReflectionLine,
}

/// Where the model is seen from; only reflection lines depend on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Eye {
    /// All sight lines are parallel: unit vector from the model to the eye.
    Far(Vec3),
    /// All sight lines meet in this point, mm.
    At(Vec3),
}

/// Lamps that make the stripes.
///
/// For highlight and reflection lines the lamps are parallel strips in the plane through
/// `centre + distance·direction` across `direction`; they follow one another along `across`.
/// For isophotes only `direction`, `spacing` and `width` count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampRig {
    /// Family of stripes.
    pub family: Family,
    /// Unit vector from the model to the lamps.
    pub direction: Vec3,
    /// Unit vector in the lamp plane, across the lamps.
    pub across: Vec3,
    /// Point of the model that the lamp plane is set off from, mm.
    pub centre: Vec3,
    /// Distance of the lamp plane from `centre`, mm.
    pub distance: f64,
    /// Number of lamps; isophotes fill the whole range of angles whatever it is.
    pub count: u32,
    /// From lamp to lamp: radians for isophotes, mm for the others.
    pub spacing: f64,
    /// Width of a lamp, in the unit of `spacing` and not above it.
    pub width: f64,
    /// The eye that reflection lines are seen by.
    pub eye: Eye,
}

/// Why a rig was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum RigError {
    /// The direction is zero or not finite.
    Direction,
    /// Spacing is not a positive number.
    Spacing,
    /// Width is not between zero and the spacing.
    Width,
    /// Distance or centre is not finite.
    Place,
    /// There is no lamp.
    Count,
    /// The eye is nowhere, or in no direction.
    Eye,
}

impl fmt::Display for RigError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            RigError::Direction => "the direction to the lamps must be a vector that is not zero",
            RigError::Spacing => "the lamp spacing must be a number above zero",
            RigError::Width => "the lamp width must lie between zero and the spacing",
            RigError::Place => "the place of the lamps must be finite",
            RigError::Count => "a rig needs at least one lamp",
            RigError::Eye => "the eye must be at a finite place, or in a direction that is not zero",
        })
    }
}

impl std::error::Error for RigError {}

impl LampRig {
    /// The unit vector across the lamps: level and square to `direction` at `turn` = 0, turned
    /// about `direction` by `turn` radians. Level means square to z; for a vertical direction
    /// it is the y axis. A zero direction gives the y axis.
    pub fn across(direction: Vec3, turn: f64) -> Vec3 {
        let d = direction.normalize_or_zero();
        // Below this the level direction is set by rounding and would spin while dragging.
        let level = d.cross(Vec3::Z);
        let level = if level.length() < 1e-9 { Vec3::Y } else { level.normalize() };
        let up = level.cross(d);
        level * cos(turn) + up * sin(turn)
    }

    /// What [`LampRig::usual`] is, in words.
    pub const USUAL: &str = "isophotes 7.5° apart under a light 35° from x towards y and 60° up";

    /// The rig the page first shows a model with, and that findings which depend on one are made with: isophotes, so neither the
    /// model's size nor its place matters.
    pub fn usual() -> LampRig {
        let (azimuth, elevation) = (f64::to_radians(35.0), f64::to_radians(60.0));
        let direction = Vec3::new(cos(elevation) * cos(azimuth), cos(elevation) * sin(azimuth), sin(elevation));
        let spacing = core::f64::consts::PI / 24.0;
        LampRig {
            family: Family::Isophote,
            direction,
            across: LampRig::across(direction, 0.0),
            centre: Vec3::ZERO,
            distance: 1000.0,
            count: 24,
            spacing,
            width: 0.5 * spacing,
            eye: Eye::Far(Vec3::Z),
        }
    }

    /// The same rig with unit vectors; errors when a number makes no stripes.
    pub fn checked(mut self) -> Result<LampRig, RigError> {
        self.direction = self.direction.try_normalize().ok_or(RigError::Direction)?;
        let across = self.across - self.direction * self.direction.dot(self.across);
        self.across = across.try_normalize().ok_or(RigError::Direction)?;
        if !(self.spacing.is_finite() && self.spacing > 0.0) {
            return Err(RigError::Spacing);
        }
        if !(self.width >= 0.0 && self.width <= self.spacing) {
            return Err(RigError::Width);
        }
        if !(self.distance.is_finite() && self.centre.is_finite()) {
            return Err(RigError::Place);
        }
        if self.count == 0 {
            return Err(RigError::Count);
        }
        self.eye = match self.eye {
            Eye::Far(way) => Eye::Far(way.try_normalize().ok_or(RigError::Eye)?),
            Eye::At(place) if place.is_finite() => self.eye,
            Eye::At(_) => return Err(RigError::Eye),
        };
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig() -> LampRig {
        LampRig {
            family: Family::HighlightLine,
            direction: Vec3::new(1.0, -2.0, 3.0),
            across: Vec3::new(4.0, 1.0, 0.0),
            centre: Vec3::new(10.0, 20.0, -5.0),
            distance: 700.0,
            count: 7,
            spacing: 40.0,
            width: 15.0,
            eye: Eye::Far(Vec3::new(0.0, -3.0, 4.0)),
        }
    }

    #[test]
    fn a_checked_rig_has_square_unit_vectors() {
        let r = rig().checked().expect("sound");
        assert!((r.direction.length() - 1.0).abs() < 1e-12);
        assert!((r.across.length() - 1.0).abs() < 1e-12);
        assert!(r.direction.dot(r.across).abs() < 1e-12);
    }

    #[test]
    fn the_usual_rig_is_sound_and_what_its_words_say() {
        let r = LampRig::usual();
        assert_eq!(r.checked().map(|c| c.spacing), Ok(r.spacing));
        assert!((r.direction.z - 0.8660254038).abs() < 1e-9 && (r.direction.y / r.direction.x - 0.7002075382).abs() < 1e-9);
        assert!((r.spacing.to_degrees() - 7.5).abs() < 1e-12);
    }

    #[test]
    fn rigs_without_stripes_are_refused() {
        let refused = |r: LampRig| r.checked().expect_err("no stripes");
        assert_eq!(refused(LampRig { direction: Vec3::ZERO, ..rig() }), RigError::Direction);
        assert_eq!(refused(LampRig { across: rig().direction, ..rig() }), RigError::Direction);
        assert_eq!(refused(LampRig { spacing: 0.0, ..rig() }), RigError::Spacing);
        assert_eq!(refused(LampRig { spacing: f64::NAN, ..rig() }), RigError::Spacing);
        assert_eq!(refused(LampRig { width: 41.0, ..rig() }), RigError::Width);
        assert_eq!(refused(LampRig { distance: f64::INFINITY, ..rig() }), RigError::Place);
        assert_eq!(refused(LampRig { count: 0, ..rig() }), RigError::Count);
        assert_eq!(refused(LampRig { eye: Eye::Far(Vec3::ZERO), ..rig() }), RigError::Eye);
        assert_eq!(refused(LampRig { eye: Eye::At(Vec3::NAN), ..rig() }), RigError::Eye);
    }

    #[test]
    fn across_is_level_at_no_turn_and_turns_with_the_angle() {
        for d in [Vec3::X, Vec3::new(0.3, -0.8, 0.5), Vec3::Z, -Vec3::Z] {
            let level = LampRig::across(d, 0.0);
            assert!(level.z.abs() < 1e-12 && level.dot(d).abs() < 1e-12, "{d}");
            for turn in [0.2, 1.0, -2.5] {
                let a = LampRig::across(d, turn);
                assert!((a.length() - 1.0).abs() < 1e-12 && a.dot(d).abs() < 1e-12);
                assert!((a.dot(level) - cos(turn)).abs() < 1e-12);
            }
        }
    }
}
