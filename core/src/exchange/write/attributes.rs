//! Colours and layers as entities. ISO 10303-46.

use super::emit::{Emit, Id, ids, real};
use super::topology::Written;
use crate::exchange::part21::encode;
use crate::model::{Colour, Model};
use std::collections::BTreeMap;

impl Emit {
    /// The colours and layers of all faces.
    pub(super) fn attributes(&mut self, model: &Model, surfaces: &[Written], faces: &[Option<Id>], context: Id) {
        let mut styles: BTreeMap<[u32; 3], Id> = BTreeMap::new();
        let mut layers: BTreeMap<&str, Vec<Id>> = BTreeMap::new();
        let mut styled = Vec::new();
        for ((face, surface), id) in model.faces.iter().zip(surfaces).zip(faces) {
            let item = id.unwrap_or(surface.id);
            if let Some(c) = face.colour {
                let key = [c.red.to_bits(), c.green.to_bits(), c.blue.to_bits()];
                let style = *styles.entry(key).or_insert_with(|| self.style(c));
                styled.push(self.put(&format!("STYLED_ITEM('',(#{style}),#{item})")));
            }
            for layer in &face.layers {
                layers.entry(layer).or_default().push(item);
            }
        }
        if !styled.is_empty() {
            self.put(&format!("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',{},#{context})", ids(&styled)));
        }
        for (name, items) in layers {
            self.put(&format!("PRESENTATION_LAYER_ASSIGNMENT({},'',{})", encode(name), ids(&items)));
        }
    }

    fn style(&mut self, c: Colour) -> Id {
        // Through decimal text: the shortest that means the 32-bit value, not the digits of its 64-bit image.
        let part = |x: f32| real(format!("{x:?}").parse().unwrap_or(0.0));
        let colour = self.put(&format!("COLOUR_RGB('',{},{},{})", part(c.red), part(c.green), part(c.blue)));
        let fill = self.put(&format!("FILL_AREA_STYLE_COLOUR('',#{colour})"));
        let area = self.put(&format!("FILL_AREA_STYLE('',(#{fill}))"));
        let surface = self.put(&format!("SURFACE_STYLE_FILL_AREA(#{area})"));
        let side = self.put(&format!("SURFACE_SIDE_STYLE('',(#{surface}))"));
        let usage = self.put(&format!("SURFACE_STYLE_USAGE(.BOTH.,#{side})"));
        self.put(&format!("PRESENTATION_STYLE_ASSIGNMENT((#{usage}))"))
    }
}
