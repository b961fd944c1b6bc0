//! The product and the shells that hold its faces. ISO 10303-41 and AP242.

use super::emit::{Emit, Id, ids};
use super::topology::Surfaced;
use crate::exchange::part21::encode;
use crate::model::Model;

impl Emit {
    /// The product with its shape: one shell a part, and sets for untrimmed patches and free curves.
    pub(super) fn product(&mut self, model: &Model, surfaces: &[Surfaced], faces: &[Option<Id>], curves: &[Id], context: Id) {
        let mut items = Vec::new();
        for (part, name) in model.parts.iter().enumerate() {
            let of_part = || model.faces.iter().zip(surfaces).zip(faces).filter(move |((f, _), _)| f.part.index() == part);
            let trimmed: Vec<Id> = of_part().filter_map(|(_, id)| *id).collect();
            let whole: Vec<Id> = of_part().filter(|(_, id)| id.is_none()).map(|((_, s), _)| s.id).collect();
            let name = encode(name);
            if !trimmed.is_empty() {
                let shell = self.put(&format!("OPEN_SHELL('',{})", ids(&trimmed)));
                items.push(self.put(&format!("SHELL_BASED_SURFACE_MODEL({name},(#{shell}))")));
            }
            if !whole.is_empty() {
                items.push(self.put(&format!("GEOMETRIC_SET({name},{})", ids(&whole))));
            }
            let free: Vec<Id> = model.curves.iter().zip(curves).filter(|(c, _)| c.part.index() == part).map(|(_, &id)| id).collect();
            if !free.is_empty() {
                items.push(self.put(&format!("GEOMETRIC_CURVE_SET({name},{})", ids(&free))));
            }
        }
        let kind = if faces.iter().all(Option::is_some) && curves.is_empty() {
            "MANIFOLD_SURFACE_SHAPE_REPRESENTATION"
        } else {
            "SHAPE_REPRESENTATION"
        };
        let shape = self.put(&format!("{kind}('',{},#{context})", ids(&items)));
        let application = self.put("APPLICATION_CONTEXT('managed model based 3d engineering')");
        let protocol = "international standard','ap242_managed_model_based_3d_engineering',2014";
        self.put(&format!("APPLICATION_PROTOCOL_DEFINITION('{protocol},#{application})"));
        let name = encode(&model.name);
        let mechanical = self.put(&format!("PRODUCT_CONTEXT('',#{application},'mechanical')"));
        let product = self.put(&format!("PRODUCT({name},{name},'',(#{mechanical}))"));
        self.put(&format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"));
        let formation = self.put(&format!("PRODUCT_DEFINITION_FORMATION('','',#{product})"));
        let design = self.put(&format!("PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')"));
        let definition = self.put(&format!("PRODUCT_DEFINITION('design','',#{formation},#{design})"));
        let property = self.put(&format!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
        self.put(&format!("SHAPE_DEFINITION_REPRESENTATION(#{property},#{shape})"));
    }
}
