//! Colours and layers as entities. ISO 10303-46.

use super::emit::{Emit, Id, ids, real};
use crate::exchange::part21::encode;
use crate::model::{Colour, Model};
use std::collections::BTreeMap;

impl Emit {
    /// The colours and layers of all faces (written as `items`) and free curves.
    pub(super) fn attributes(&mut self, model: &Model, items: &[Id], curves: &[Id], context: Id) {
        let mut styles: BTreeMap<(bool, [u32; 3]), Id> = BTreeMap::new();
        let mut layers: BTreeMap<&str, Vec<Id>> = BTreeMap::new();
        let mut styled = Vec::new();
        let faces = model.faces.iter().zip(items).map(|(f, &id)| (false, f.colour, &f.layers, id));
        let lines = model.curves.iter().zip(curves).map(|(c, &id)| (true, c.colour, &c.layers, id));
        for (is_line, colour, on, item) in faces.chain(lines) {
            if let Some(c) = colour {
                let key = (is_line, [c.red.to_bits(), c.green.to_bits(), c.blue.to_bits()]);
                let style = *styles.entry(key).or_insert_with(|| if is_line { self.line_style(c) } else { self.style(c) });
                styled.push(self.put(&format!("STYLED_ITEM('',(#{style}),#{item})")));
            }
            for layer in on {
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

    fn colour(&mut self, c: Colour) -> Id {
        // Through decimal text: the shortest that means the 32-bit value, not the digits of its 64-bit image.
        let part = |x: f32| real(format!("{x:?}").parse().unwrap_or(0.0));
        self.put(&format!("COLOUR_RGB('',{},{},{})", part(c.red), part(c.green), part(c.blue)))
    }

    fn line_style(&mut self, c: Colour) -> Id {
        let colour = self.colour(c);
        let font = self.put("DRAUGHTING_PRE_DEFINED_CURVE_FONT('continuous')");
        let style = self.put(&format!("CURVE_STYLE('',#{font},POSITIVE_LENGTH_MEASURE(0.1),#{colour})"));
        self.put(&format!("PRESENTATION_STYLE_ASSIGNMENT((#{style}))"))
    }

    fn style(&mut self, c: Colour) -> Id {
        let colour = self.colour(c);
        let fill = self.put(&format!("FILL_AREA_STYLE_COLOUR('',#{colour})"));
        let area = self.put(&format!("FILL_AREA_STYLE('',(#{fill}))"));
        let surface = self.put(&format!("SURFACE_STYLE_FILL_AREA(#{area})"));
        let side = self.put(&format!("SURFACE_SIDE_STYLE('',(#{surface}))"));
        let usage = self.put(&format!("SURFACE_STYLE_USAGE(.BOTH.,#{side})"));
        self.put(&format!("PRESENTATION_STYLE_ASSIGNMENT((#{usage}))"))
    }
}
