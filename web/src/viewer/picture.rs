//! What the page has asked to see.

use super::appearance::Theme;
use super::layers::Layer;
use crate::camera::Camera;
use crate::form_colour::FormSettings;
use crate::mirror_view::ShownMirror;
use crate::scene::Scene;
use glam::DVec3;
use rakelight_core::highlight::LampRig;
use std::collections::BTreeMap;

/// What a picture is made of.
#[derive(Clone, Copy)]
pub struct Picture<'a> {
    /// Faces and joins.
    pub scene: &'a Scene,
    /// Where the eye stands.
    pub camera: &'a Camera,
    /// The lamps; `None`: no stripes.
    pub rig: Option<&'a LampRig>,
    /// What colours the surfaces instead of paint.
    pub form: &'a FormSettings,
    /// Colours.
    pub theme: &'a Theme,
    /// What is lifted out.
    pub marks: &'a Marks,
}

/// What is drawn beside the surfaces.
pub struct Marks {
    /// Id of the chosen face.
    pub face: Option<u32>,
    /// Id of the chosen join.
    pub join: Option<u32>,
    /// Marked point, mm.
    pub point: Option<DVec3>,
    /// Polylines of the chosen finding, mm.
    pub lines: Vec<Vec<DVec3>>,
    /// What the page lays over the model, by name.
    pub layers: BTreeMap<String, Layer>,
    /// The plane that the model's image is shown in.
    pub mirror: Option<ShownMirror>,
    /// Column of the joins' values that colours them; `None`: joins are not drawn.
    pub measure: Option<usize>,
    /// Limits of that measure (polish, fix, serious); not a number where there is none.
    pub limits: [f64; 3],
    /// Device pixels per CSS pixel.
    pub ratio: f32,
}

/// How carefully the canvas is painted.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Care {
    /// While something moves on a slow device: as quick, and of the strokes only what is chosen.
    Hasty,
    /// While something moves: stripes smoothed by the device's own derivatives, outlines as they fall.
    Quick,
    /// At rest.
    Fine,
}
