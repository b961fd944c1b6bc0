//! Colours and layers. ISO 10303-46.

use super::reader::Reader;
use crate::exchange::report::Fault;
use crate::model::Colour;
use std::collections::{BTreeMap, BTreeSet};

/// How something looks, handed down from a solid to its faces.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Look {
    pub colour: Option<Colour>,
    pub layers: Vec<String>,
}

/// What the file says about how its items look.
#[derive(Debug, Default)]
pub(super) struct Looks {
    colours: BTreeMap<u64, Colour>,
    layers: BTreeMap<u64, Vec<String>>,
}

impl Looks {
    /// The look of item `id` inside something that looks like `outer`: its own colour first, all layers.
    pub(super) fn of(&self, id: u64, outer: &Look) -> Look {
        let mut layers = outer.layers.clone();
        for layer in self.layers.get(&id).into_iter().flatten() {
            if !layers.contains(layer) {
                layers.push(layer.clone());
            }
        }
        Look { colour: self.colours.get(&id).copied().or(outer.colour), layers }
    }
}

/// Entities looked at in search of one style's colour. Deeper styles than any seen still fit; a hostile one ends here.
const MOST_STYLE_ENTITIES: usize = 200;

impl Reader<'_, '_> {
    /// Gathers the looks of all items. Damaged styles are left out with a remark: they cost no shape.
    pub(super) fn gather_looks(&mut self) {
        let mut looks = Looks::default();
        let styles = core::mem::take(&mut self.lookup.styles);
        let overriding = core::mem::take(&mut self.lookup.overriding_styles);
        for &id in styles.iter().chain(&overriding) {
            match self.styled_item(id) {
                Ok(Some((item, colour))) => {
                    looks.colours.insert(item, colour);
                }
                Ok(None) => {}
                Err(fault) => self.remark(self.file.source(id), format!("a style is left out: {fault}")),
            }
        }
        if let Some(&first) = self.lookup.instance_styles.first() {
            self.remark(self.file.source(first), "colours that change from one instance of a part to the next are not read".into());
        }
        for id in core::mem::take(&mut self.lookup.layers) {
            match self.layer(id) {
                Ok((name, items)) => items.into_iter().for_each(|item| looks.layers.entry(item).or_default().push(name.clone())),
                Err(fault) => self.remark(self.file.source(id), format!("a layer is left out: {fault}")),
            }
        }
        self.looks = looks;
    }

    fn layer(&mut self, id: u64) -> Result<(String, Vec<u64>), Fault> {
        let instance = self.file.get(id)?;
        Ok((instance.fields().text(0), instance.fields().ids(2)?))
    }

    /// The item a style is for, and the colour of its surface style.
    fn styled_item(&mut self, id: u64) -> Result<Option<(u64, Colour)>, Fault> {
        let instance = self.file.get(id)?;
        let (fields, skip) = match instance.record("STYLED_ITEM") {
            Some(f) if !instance.is_simple() => (f, 0),
            _ => (instance.fields(), 1),
        };
        let item = fields.id(skip + 1)?;
        let mut waiting = fields.ids(skip)?;
        waiting.reverse();
        let mut seen = BTreeSet::new();
        // Depth first, so that the first style's colour wins.
        while let Some(next) = waiting.pop() {
            if seen.len() >= MOST_STYLE_ENTITIES || !seen.insert(next) {
                continue;
            }
            let style = self.file.get(next)?;
            let f = style.fields();
            match style.kind() {
                "COLOUR_RGB" => {
                    let part = |x: f64| x.clamp(0.0, 1.0) as f32;
                    return Ok(Some((item, Colour { red: part(f.real(1)?), green: part(f.real(2)?), blue: part(f.real(3)?) })));
                }
                "DRAUGHTING_PRE_DEFINED_COLOUR" | "PRE_DEFINED_COLOUR" => {
                    if let Some(colour) = named(&f.text(0)) {
                        return Ok(Some((item, colour)));
                    }
                }
                // Lines and points have colours of their own, as has the item of another style.
                "CURVE_STYLE" | "POINT_STYLE" | "STYLED_ITEM" | "SURFACE_STYLE_BOUNDARY" | "SURFACE_STYLE_PARAMETER_LINE" => {}
                _ => waiting.extend(style.references().into_iter().rev()),
            }
        }
        Ok(None)
    }
}

/// The colours named in ISO 10303-202, draughting_pre_defined_colour.
fn named(name: &str) -> Option<Colour> {
    let (red, green, blue) = match name.to_ascii_lowercase().as_str() {
        "red" => (1.0, 0.0, 0.0),
        "green" => (0.0, 1.0, 0.0),
        "blue" => (0.0, 0.0, 1.0),
        "yellow" => (1.0, 1.0, 0.0),
        "magenta" => (1.0, 0.0, 1.0),
        "cyan" => (0.0, 1.0, 1.0),
        "black" => (0.0, 0.0, 0.0),
        "white" => (1.0, 1.0, 1.0),
        _ => return None,
    };
    Some(Colour { red, green, blue })
}
