//! The page colours the surfaces by their form, or face by face.

use super::Viewer;
use crate::form_colour::{FormSettings, colour_at, view_map};
use crate::scene_map::SceneMap;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Viewer {
    /// Sets what colours the surfaces: {view, low, high, step, limit, swapped} (see [`FormSettings`]).
    pub fn set_form(&mut self, settings: JsValue) -> Result<(), JsValue> {
        self.form = serde_wasm_bindgen::from_value(settings)?;
        self.renderer.want(self.form.needs())?;
        self.renderer.paint_changed();
        Ok(())
    }

    /// Tells the outward side of each face, by face id: 1 where it is that of Su × Sv, −1 where it is the other.
    pub fn set_sides(&mut self, sides: &[i8]) {
        self.scene.sides = sides.to_vec();
        self.renderer.view_changed();
    }

    /// Tells the class of each face, by face id, 0 to 7.
    pub fn set_classes(&mut self, classes: &[u8]) -> Result<(), JsValue> {
        self.scene.classes = classes.to_vec();
        self.renderer.classes_changed(classes)
    }

    /// Takes values to colour faces by, in place of those there were: [{face, over, columns, rows, values}].
    ///
    /// # Errors
    /// When they are no such list.
    pub fn set_maps(&mut self, maps: JsValue) -> Result<(), JsValue> {
        let maps: Vec<SceneMap> = serde_wasm_bindgen::from_value(maps)?;
        self.scene.maps.clear();
        self.scene.maps.extend(maps.into_iter().filter(SceneMap::is_sound).map(|m| (m.face, m)));
        self.renderer.maps_changed(&self.scene)
    }

    /// The map of a view from its start to its end as `steps` CSS colours, for the legend; none for an unknown view and for faces.
    pub fn form_colours(view: &str, steps: u32) -> Vec<String> {
        let settings = FormSettings { view: view.to_owned(), ..FormSettings::default() };
        let map = view_map(settings.view());
        if map.is_empty() {
            return Vec::new();
        }
        let last = f64::from(steps.max(2) - 1);
        (0..steps.max(2))
            .map(|i| colour_at(&map, f64::from(i) / last).map(|x| (x * 255.0).round() as u8))
            .map(|[r, g, b]| format!("rgb({r} {g} {b})"))
            .collect()
    }
}
