//! Entities that nothing refers to from above, found in one sweep: where reading starts.

use crate::exchange::part21::Part21;

/// Ids of each kind looked for, rising.
#[derive(Debug, Default)]
pub(super) struct Lookup {
    pub faces: Vec<u64>,
    pub representations: Vec<u64>,
    pub shape_definitions: Vec<u64>,
    pub instances: Vec<u64>,
    pub links: Vec<u64>,
    pub maps: Vec<u64>,
    pub styles: Vec<u64>,
    pub overriding_styles: Vec<u64>,
    pub instance_styles: Vec<u64>,
    pub layers: Vec<u64>,
    pub invisibilities: Vec<u64>,
}

impl Lookup {
    pub(super) fn new(file: &Part21<'_>) -> Self {
        let mut found = Self::default();
        file.sweep(|id, name| {
            let list = match name {
                "ADVANCED_FACE" | "FACE_SURFACE" => &mut found.faces,
                "SHAPE_DEFINITION_REPRESENTATION" => &mut found.shape_definitions,
                "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION" => &mut found.instances,
                "SHAPE_REPRESENTATION_RELATIONSHIP" => &mut found.links,
                "REPRESENTATION_MAP" => &mut found.maps,
                "STYLED_ITEM" => &mut found.styles,
                "OVER_RIDING_STYLED_ITEM" => &mut found.overriding_styles,
                "CONTEXT_DEPENDENT_OVER_RIDING_STYLED_ITEM" => &mut found.instance_styles,
                "PRESENTATION_LAYER_ASSIGNMENT" => &mut found.layers,
                "INVISIBILITY" | "CONTEXT_DEPENDENT_INVISIBILITY" => &mut found.invisibilities,
                name if name.ends_with("SHAPE_REPRESENTATION") => &mut found.representations,
                _ => return,
            };
            // A complex entity may name two types of one list.
            if list.last() != Some(&id) {
                list.push(id);
            }
        });
        found
    }
}
