//! Control nets over the model: rows coloured by a value on each leg, picked by the one nearest to the pointer, and sighted along.

use super::layers::{Layer, Look, polylines};
use super::{Viewer, triple};
use crate::camera::Camera;
use crate::colour::level;
use crate::flight::Flight;
use crate::pick_line::line_near;
use glam::{DVec2, DVec3};
use wasm_bindgen::prelude::*;

/// How near to a row a pick still means the row, CSS pixels; as for joins, and a little more since rows cross.
const REACH: f64 = 8.0;

#[wasm_bindgen]
impl Viewer {
    /// Lays rows over the model as [`Viewer::set_layer`] does, coloured and widened leg by leg by how `values` stand among `limits`
    /// (polish, fix, serious): one value for each leg, all rows one after the other; no number where there is nothing to judge.
    ///
    /// # Errors
    /// When counts, points and values do not suit one another, or the look is none.
    pub fn set_net(
        &mut self,
        name: &str,
        points: &[f64],
        counts: &[u32],
        values: &[f64],
        limits: &[f64],
        look: JsValue,
    ) -> Result<(), JsValue> {
        let lines = polylines(points, counts)?;
        let legs: usize = lines.iter().map(|l| l.len().saturating_sub(1)).sum();
        if legs != values.len() {
            return Err("one value is needed for each leg".into());
        }
        if lines.is_empty() {
            self.marks.layers.remove(name);
        } else {
            let limits = std::array::from_fn(|i| limits.get(i).copied().unwrap_or(f64::NAN));
            let levels = values.iter().map(|v| level(*v, limits) as f32).collect();
            let look: Look = serde_wasm_bindgen::from_value(look)?;
            self.marks.layers.insert(name.to_owned(), Layer { lines, look, levels: Some(levels) });
        }
        self.renderer.layer_changed(name);
        Ok(())
    }

    /// Index of a layer's polyline near a pixel; undefined when none is.
    pub fn line_near(&self, name: &str, x: f64, y: f64) -> Option<u32> {
        let layer = self.marks.layers.get(name)?;
        let place = DVec2::new(x, y) * self.lowered;
        line_near(&layer.lines, &self.camera, place, REACH * f64::from(self.marks.ratio)).and_then(|i| u32::try_from(i).ok())
    }

    /// Starts a flight to where one looks along a row of points (flat x, y, z), its ends drawn apart along `across`.
    ///
    /// # Errors
    /// When that is no row.
    pub fn sight(&mut self, points: &[f64], across: &[f64]) -> Result<(), JsValue> {
        let row: Vec<DVec3> = points.as_chunks::<3>().0.iter().map(|p| DVec3::from_array(*p)).collect();
        let mut to = self.flight.as_ref().map_or(self.camera, Flight::end);
        to.sight_along(&row, triple(across)?);
        if !to.is_sound() {
            return Err("there is no looking along such a row".into());
        }
        self.depart(to);
        Ok(())
    }

    /// Starts a flight to a camera, as [`Viewer::set_camera`] takes it.
    ///
    /// # Errors
    /// When it is no sound camera.
    pub fn fly_home(&mut self, camera: JsValue) -> Result<(), JsValue> {
        let given: Camera = serde_wasm_bindgen::from_value(camera)?;
        if !given.is_sound() {
            return Err("this camera has numbers out of range".into());
        }
        self.depart(Camera { width: self.camera.width, height: self.camera.height, ..given });
        Ok(())
    }
}

impl Viewer {
    fn depart(&mut self, to: Camera) {
        self.fresh = false;
        self.flight = Some(Flight::new(self.camera, to));
        self.renderer.view_changed();
    }
}
