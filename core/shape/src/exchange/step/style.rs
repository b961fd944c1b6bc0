//! Colours, layers and invisibility. ISO 10303-46.

use super::reader::Reader;
use crate::exchange::part21::Instance;
use crate::exchange::report::Fault;
use crate::math::distinct;
use crate::model::{Colour, Source};
use std::collections::{BTreeMap, BTreeSet};

/// How something looks and what it is called, handed down from a solid to its faces.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Look {
    /// Of surfaces.
    pub colour: Option<Colour>,
    /// Of curves.
    pub curve_colour: Option<Colour>,
    pub layers: Vec<String>,
    /// Name of the innermost thing that has one.
    pub name: String,
    /// What hides it, an index into [`Looks::hidings`].
    pub hidden: Option<usize>,
    /// Entities it is handed down through, outermost first; kept only where instances look their own way.
    pub trail: Vec<u64>,
}

/// What the file says about how its items look.
#[derive(Debug, Default)]
pub(super) struct Looks {
    colours: BTreeMap<u64, Colour>,
    curve_colours: BTreeMap<u64, Colour>,
    layers: BTreeMap<u64, Vec<String>>,
    hidden: BTreeMap<u64, usize>,
    /// What is hidden, in words; and whether it has hidden a face.
    pub hidings: Vec<(String, bool)>,
    /// Where the first hiding is said.
    pub hidden_at: Source,
    pub instances: Vec<InstanceStyle>,
}

/// A style for an item in some places only.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct InstanceStyle {
    pub item: u64,
    /// Placements that must all lead there.
    pub places: Vec<u64>,
    pub colour: Option<Colour>,
    pub hidden: Option<usize>,
}

impl Looks {
    /// The look of item `id` inside something that looks like `outer`: its own colour first, all layers.
    pub(super) fn of(&self, id: u64, outer: &Look) -> Look {
        let mut look = outer.clone();
        for layer in self.layers.get(&id).into_iter().flatten() {
            if !look.layers.contains(layer) {
                look.layers.push(layer.clone());
            }
        }
        look.colour = self.colours.get(&id).copied().or(look.colour);
        look.curve_colour = self.curve_colours.get(&id).copied().or(look.curve_colour);
        look.hidden = look.hidden.or(self.hidden.get(&id).copied());
        if !self.instances.is_empty() && look.trail.last() != Some(&id) {
            look.trail.push(id);
        }
        look
    }

    /// The style of a face, known by the entities it is part of, at the end of a path of placements; the one that
    /// names most of the path counts.
    pub(super) fn at(&self, trail: &[u64], path: &[u64]) -> Option<&InstanceStyle> {
        let fits = |s: &&InstanceStyle| trail.contains(&s.item) && s.places.iter().all(|p| path.contains(p) || trail.contains(p));
        self.instances.iter().filter(fits).max_by_key(|s| s.places.len())
    }
}

/// Entities looked at in search of one style's colour. Deeper styles than any seen still fit; a hostile one ends here.
const MOST_STYLE_ENTITIES: usize = 200;

/// What a styled_item says.
struct Styled {
    item: u64,
    colour: Option<Colour>,
    curve_colour: Option<Colour>,
}

impl<'a> Reader<'a, '_> {
    /// Gathers the looks of all items. Damaged styles are left out with a remark: they cost no shape.
    pub(super) fn gather_looks(&mut self) {
        let mut looks = Looks::default();
        let styles = core::mem::take(&mut self.lookup.styles);
        let overriding = core::mem::take(&mut self.lookup.overriding_styles);
        for &id in styles.iter().chain(&overriding) {
            match self.styled_item(id) {
                Ok(Styled { item, colour, curve_colour }) => {
                    looks.colours.extend(colour.map(|c| (item, c)));
                    looks.curve_colours.extend(curve_colour.map(|c| (item, c)));
                }
                Err(fault) => self.remark(self.file.source(id), format!("a style is left out: {fault}")),
            }
        }
        let mut instance_styles = BTreeMap::new();
        for id in core::mem::take(&mut self.lookup.instance_styles) {
            match self.instance_style(id) {
                Ok(style) => {
                    instance_styles.insert(id, style);
                }
                Err(fault) => self.remark(self.file.source(id), format!("a style is left out: {fault}")),
            }
        }
        for id in core::mem::take(&mut self.lookup.layers) {
            match self.layer(id) {
                Ok((name, items)) => items.into_iter().for_each(|item| looks.layers.entry(item).or_default().push(name.clone())),
                Err(fault) => self.remark(self.file.source(id), format!("a layer is left out: {fault}")),
            }
        }
        for id in core::mem::take(&mut self.lookup.invisibilities) {
            if let Err(fault) = self.hiding(id, &mut looks, &mut instance_styles) {
                self.remark(self.file.source(id), format!("what it hides is shown: {fault}"));
            }
        }
        looks.instances = instance_styles.into_values().collect();
        self.looks = looks;
    }

    fn layer(&mut self, id: u64) -> Result<(String, Vec<u64>), Fault> {
        let instance = self.file.get(id)?;
        Ok((instance.fields().text(0), instance.fields().ids(2)?))
    }

    /// Takes in one INVISIBILITY: of styled items, layers or whole representations.
    fn hiding(&mut self, id: u64, looks: &mut Looks, styles: &mut BTreeMap<u64, InstanceStyle>) -> Result<(), Fault> {
        let instance = self.file.get(id)?;
        let fields = instance.record("INVISIBILITY").unwrap_or_else(|| instance.fields());
        for hidden in fields.ids(0)? {
            let Ok(target) = self.file.get(hidden) else { continue };
            let index = looks.hidings.len();
            if let Some(style) = styles.get_mut(&hidden) {
                style.hidden = Some(index);
                looks.hidings.push((self.hiding_name(style.item), false));
            } else if target.kind() == "PRESENTATION_LAYER_ASSIGNMENT" {
                let (name, items) = self.layer(hidden)?;
                looks.hidden.extend(items.into_iter().map(|item| (item, index)));
                looks.hidings.push((format!("layer \"{name}\""), false));
            } else {
                let item = styled_fields(&target).and_then(|f| f.optional_id(1)).unwrap_or(hidden);
                looks.hidden.insert(item, index);
                looks.hidings.push((self.hiding_name(item), false));
            }
            if looks.hidden_at.entity == 0 {
                looks.hidden_at = instance.at;
            }
        }
        Ok(())
    }

    fn hiding_name(&self, item: u64) -> String {
        let Ok(instance) = self.file.get(item) else { return format!("#{item}") };
        let kind = instance.kind().to_ascii_lowercase().replace('_', " ");
        match instance.fields().text(0).trim() {
            "" => format!("{kind} #{item}"),
            name => format!("{kind} \"{name}\""),
        }
    }

    /// True when a face of this look is to be left out; it is then counted by the caller.
    pub(super) fn hides(&mut self, look: &Look) -> bool {
        match look.hidden.filter(|_| !self.reads_hidden()) {
            Some(index) => {
                if let Some(hiding) = self.looks.hidings.get_mut(index) {
                    hiding.1 = true;
                }
                true
            }
            None => false,
        }
    }

    /// The item a style is for, and the colours of its surface and curve styles.
    fn styled_item(&mut self, id: u64) -> Result<Styled, Fault> {
        let instance = self.file.get(id)?;
        let fields = styled_fields(&instance).unwrap_or_else(|| instance.fields().after(1));
        let item = fields.id(1)?;
        let (surfaces, curves) = self.split_styles(fields.ids(0)?)?;
        Ok(Styled { item, colour: self.first_colour(surfaces)?, curve_colour: self.first_colour(curves)? })
    }

    /// A context_dependent_over_riding_styled_item: a style of an item where the placements lead.
    fn instance_style(&mut self, id: u64) -> Result<InstanceStyle, Fault> {
        let Styled { item, colour, .. } = self.styled_item(id)?;
        let instance = self.file.get(id)?;
        let places = match instance.record("CONTEXT_DEPENDENT_OVER_RIDING_STYLED_ITEM") {
            Some(fields) if !instance.is_simple() => fields.ids(0)?,
            _ => instance.fields().ids(4)?,
        };
        Ok(InstanceStyle { item, places, colour, hidden: None })
    }

    /// The styles that are for surfaces, and those for curves.
    fn split_styles(&mut self, assignments: Vec<u64>) -> Result<(Vec<u64>, Vec<u64>), Fault> {
        let (mut surfaces, mut curves) = (Vec::new(), Vec::new());
        for id in assignments {
            let assignment = self.file.get(id)?;
            let styles = if assignment.kind().starts_with("PRESENTATION_STYLE") { assignment.fields().ids(0)? } else { vec![id] };
            for style in styles {
                let for_curves = self.file.get(style).is_ok_and(|s| s.kind() == "CURVE_STYLE");
                if for_curves { curves.push(style) } else { surfaces.push(style) }
            }
        }
        Ok((surfaces, curves))
    }

    /// The first colour that styles lead to, depth first.
    fn first_colour(&mut self, mut waiting: Vec<u64>) -> Result<Option<Colour>, Fault> {
        let top = distinct(waiting.iter().copied());
        waiting.reverse();
        let mut seen = BTreeSet::new();
        while let Some(next) = waiting.pop() {
            if seen.len() >= MOST_STYLE_ENTITIES || !seen.insert(next) {
                continue;
            }
            let style = self.file.get(next)?;
            let f = style.fields();
            match style.kind() {
                "COLOUR_RGB" => {
                    let part = |x: f64| x.clamp(0.0, 1.0) as f32;
                    return Ok(Some(Colour { red: part(f.real(1)?), green: part(f.real(2)?), blue: part(f.real(3)?) }));
                }
                "DRAUGHTING_PRE_DEFINED_COLOUR" | "PRE_DEFINED_COLOUR" => {
                    if let Some(colour) = named(&f.text(0)) {
                        return Ok(Some(colour));
                    }
                }
                "CURVE_STYLE" if top.binary_search(&next).is_ok() => waiting.extend(style.references().into_iter().rev()),
                // Lines and points have colours of their own, as has the item of another style.
                "CURVE_STYLE" | "POINT_STYLE" | "STYLED_ITEM" | "SURFACE_STYLE_BOUNDARY" | "SURFACE_STYLE_PARAMETER_LINE" => {}
                _ => waiting.extend(style.references().into_iter().rev()),
            }
        }
        Ok(None)
    }
}

/// Styles and item of a styled_item or one of its subtypes, if the entity is one.
fn styled_fields<'i, 'a>(instance: &'i Instance<'a>) -> Option<crate::exchange::part21::Fields<'i, 'a>> {
    if !instance.is_simple() {
        return instance.record("STYLED_ITEM");
    }
    instance.kind().ends_with("STYLED_ITEM").then(|| instance.fields().after(1))
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
