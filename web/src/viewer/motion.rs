//! The page moves the camera. Pixels are device pixels from the canvas's top left corner, lengths mm.

use super::{Viewer, plain, triple};
use crate::camera::{Camera, Projection};
use crate::flight::Flight;
use crate::overlook::overlook;
use crate::pick::pick;
use glam::DVec3;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Viewer {
    /// Turns about the target by a drag.
    pub fn orbit(&mut self, dx: f64, dy: f64) {
        self.moved(|c, k| c.orbit(dx * k, dy * k));
    }

    /// Shifts the view by a drag.
    pub fn pan(&mut self, dx: f64, dy: f64) {
        self.moved(|c, k| c.pan(dx * k, dy * k));
    }

    /// Zooms so that what is under the pixel stays there; `factor` > 1 comes nearer.
    pub fn zoom(&mut self, factor: f64, x: f64, y: f64) {
        let (x, y) = (x * self.lowered, y * self.lowered);
        let under = pick(&self.scene, &self.camera, x, y, 1.0).map(|h| DVec3::from_array(h.point));
        let anchor = under.unwrap_or_else(|| self.camera.ray(x, y).base);
        let radius = self.scene.bounds().radius();
        self.moved(|c, _| c.zoom(factor, anchor, radius));
    }

    /// Fits the model into the frame from the present side.
    pub fn fit(&mut self) {
        let corners = self.scene.corners();
        self.moved(|c, _| c.fit(&corners));
        self.fresh = true;
    }

    /// Turns to a named side and fits; false for an unknown name.
    pub fn standard_view(&mut self, name: &str) -> bool {
        let mut to = self.camera;
        let known = to.standard_view(name);
        if known {
            to.fit(&self.scene.corners());
            self.fresh = false;
            self.flight = Some(Flight::new(self.camera, to));
        }
        known
    }

    /// `perspective` or `orthographic`; anything else changes nothing.
    pub fn set_projection(&mut self, name: &str) {
        let projection = match name {
            "perspective" => Projection::Perspective,
            "orthographic" => Projection::Orthographic,
            _ => return,
        };
        let refit = self.fresh;
        self.moved(|c, _| c.projection = projection);
        if refit {
            self.fit();
        }
    }

    /// The camera as a plain record.
    pub fn camera(&self) -> Result<JsValue, JsValue> {
        plain(&self.flight.as_ref().map_or(self.camera, Flight::end))
    }

    /// The camera as it stands now, on a flight too.
    pub fn camera_now(&self) -> Result<JsValue, JsValue> {
        plain(&self.camera)
    }

    /// Sets the camera from such a record, the frame's size kept; throws when it is no sound camera.
    pub fn set_camera(&mut self, camera: JsValue) -> Result<(), JsValue> {
        let given: Camera = serde_wasm_bindgen::from_value(camera)?;
        if !given.is_sound() {
            return Err(JsValue::from_str("this camera has numbers out of range"));
        }
        self.moved(|c, _| *c = Camera { width: c.width, height: c.height, ..given });
        Ok(())
    }

    /// Starts a flight to a point, facing its normal where one is given, until `size` mm fill the frame.
    pub fn fly_to(&mut self, point: Vec<f64>, normal: Option<Vec<f64>>, size: f64) -> Result<(), JsValue> {
        let mut to = self.camera;
        to.target = triple(&point)?.to_array();
        if let Some(n) = normal {
            to.face(triple(&n)?);
        }
        let across = 2.0 * self.camera.half_extent().min_element();
        if size.is_finite() && size > 0.0 {
            to.distance = self.camera.distance * size / across;
        }
        if !to.is_sound() {
            return Err(JsValue::from_str("there is no flight to such a place"));
        }
        self.fresh = false;
        self.flight = Some(Flight::new(self.camera, to));
        Ok(())
    }

    /// Starts a flight to where all of some points (x, y, z, …) are seen, from the side that `toward` points to where they are seen from
    /// there; false where there is no such place.
    pub fn fly_over(&mut self, points: &[f64], toward: &[f64]) -> Result<bool, JsValue> {
        let points: Vec<DVec3> = points.as_chunks::<3>().0.iter().map(|p| DVec3::from_array(*p)).collect();
        let Some(to) = overlook(&self.scene, &self.camera, &points, triple(toward)?).filter(Camera::is_sound) else { return Ok(false) };
        self.fresh = false;
        self.flight = Some(Flight::new(self.camera, to));
        Ok(true)
    }

    /// Moves a flight on to a time in ms; true while it goes on.
    pub fn tick(&mut self, now: f64) -> bool {
        let Some(flight) = &mut self.flight else { return false };
        let (camera, more) = flight.at(now);
        self.camera = Camera { width: self.camera.width, height: self.camera.height, ..camera };
        if !more {
            self.flight = None;
        }
        self.renderer.view_changed();
        more
    }

    /// Ends a flight at once where it was going.
    pub fn arrive(&mut self) {
        if let Some(flight) = self.flight.take() {
            self.camera = Camera { width: self.camera.width, height: self.camera.height, ..flight.end() };
            self.renderer.view_changed();
        }
    }
}

impl Viewer {
    fn moved(&mut self, act: impl FnOnce(&mut Camera, f64)) {
        self.flight = None;
        self.fresh = false;
        act(&mut self.camera, self.lowered);
        self.renderer.view_changed();
    }
}
