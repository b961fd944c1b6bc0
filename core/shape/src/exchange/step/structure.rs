//! Products, their shapes, and which stands where in which. ISO 10303-41 and -44.

use super::reader::Reader;
use crate::exchange::report::Fault;
use crate::math::Similarity;
use crate::model::Source;
use std::collections::{BTreeMap, BTreeSet};

/// A product, or a representation that belongs to none.
#[derive(Debug, Clone, Default)]
pub(super) struct Node {
    pub name: String,
    /// Its representations, in file order.
    pub representations: Vec<u64>,
    /// The products it is put together from.
    pub children: Vec<Child>,
    pub has_parent: bool,
}

/// One instance of a product inside another.
#[derive(Debug, Clone)]
pub(super) struct Child {
    pub node: usize,
    pub name: String,
    /// From the child's mm to the parent's mm.
    pub motion: Similarity,
    pub at: Source,
}

/// All products of a file.
#[derive(Debug, Default)]
pub(super) struct Structure {
    pub nodes: Vec<Node>,
    by_product: BTreeMap<u64, usize>,
    by_representation: BTreeMap<u64, usize>,
}

/// Two representations said to belong together.
#[derive(Debug, Clone, Copy)]
struct Link {
    first: u64,
    second: u64,
    transformation: Option<u64>,
}

impl Reader<'_, '_> {
    /// Reads the product structure. What is damaged is left out with a remark; its shapes stand at the origin.
    pub(super) fn structure(&mut self) -> Structure {
        let mut structure = Structure::default();
        let definitions = core::mem::take(&mut self.lookup.shape_definitions);
        let mut defined = BTreeSet::new();
        for &id in &definitions {
            match self.definition(id) {
                Ok((product, representation)) => {
                    defined.insert(representation);
                    self.add_product(product, representation, &mut structure);
                }
                Err(fault) => self.remark(self.file.source(id), format!("the link between a product and its shape is left out: {fault}")),
            }
        }
        let placements = core::mem::take(&mut self.lookup.instances);
        let mut placing = BTreeSet::new();
        for &id in &placements {
            if let Ok(instance) = self.file.get(id) {
                placing.extend(instance.fields().id(0));
            }
        }
        self.add_linked(&defined, &placing, &mut structure);
        for &id in &placements {
            if let Err(fault) = self.add_instance(id, &mut structure) {
                self.remark(self.file.source(id), format!("the place of a part is left out, it stands at the origin: {fault}"));
            }
        }
        // Representations that no product owns stand for themselves.
        for id in self.lookup.representations.clone() {
            if !structure.by_representation.contains_key(&id) {
                structure.node_of_representation(id);
            }
        }
        // What is repeated inside others stands there only.
        for id in core::mem::take(&mut self.lookup.maps) {
            if let Some(mapped) = self.file.get(id).ok().and_then(|map| map.fields().optional_id(1)) {
                let node = structure.node_of_representation(mapped);
                if let Some(n) = structure.nodes.get_mut(node) {
                    n.has_parent = true;
                }
            }
        }
        structure
    }

    /// Product definition (if the shape is a product's) and representation of a SHAPE_DEFINITION_REPRESENTATION.
    fn definition(&mut self, id: u64) -> Result<(Option<u64>, u64), Fault> {
        let instance = self.file.get(id)?;
        let representation = instance.fields().id(1)?;
        let property = self.file.get(instance.fields().id(0)?)?;
        let product = property.fields().optional_id(2);
        let is_product = |id| self.file.get(id).is_ok_and(|i| i.kind().starts_with("PRODUCT_DEFINITION"));
        Ok((product.filter(|&p| is_product(p)), representation))
    }

    fn add_product(&mut self, product: Option<u64>, representation: u64, structure: &mut Structure) {
        let known = product.and_then(|p| structure.by_product.get(&p).copied());
        let node = known.unwrap_or_else(|| {
            let name = product.map(|p| self.product_name(p)).unwrap_or_default();
            structure.nodes.push(Node { name, ..Node::default() });
            structure.nodes.len() - 1
        });
        if let Some(p) = product {
            structure.by_product.insert(p, node);
        }
        structure.attach(node, representation);
    }

    /// Name of a product definition's product, or its number; empty when it cannot be found.
    fn product_name(&mut self, definition: u64) -> String {
        let step = |id: u64, index: usize| self.file.get(id).ok().and_then(|i| i.fields().optional_id(index));
        let product = step(definition, 2).and_then(|formation| step(formation, 2));
        let Some(product) = product.and_then(|p| self.file.get(p).ok()) else { return String::new() };
        first_said([product.fields().text(1), product.fields().text(0)])
    }

    /// Adds to each product the representations linked to its own without a place of their own.
    fn add_linked(&mut self, defined: &BTreeSet<u64>, placing: &BTreeSet<u64>, structure: &mut Structure) {
        let mut neighbours: BTreeMap<u64, Vec<u64>> = BTreeMap::new();
        for id in core::mem::take(&mut self.lookup.links) {
            if placing.contains(&id) {
                continue;
            }
            match self.link(id) {
                Ok(link) if link.transformation.is_none() => {
                    neighbours.entry(link.first).or_default().push(link.second);
                    neighbours.entry(link.second).or_default().push(link.first);
                }
                Ok(link) => {
                    // Placed, but by no product structure: the first stands inside the second.
                    let (child, parent) = (structure.node_of_representation(link.first), structure.node_of_representation(link.second));
                    match self.link_motion(link, true) {
                        Ok(motion) => structure.join(parent, Child { node: child, name: String::new(), motion, at: self.file.source(id) }),
                        Err(fault) => self.remark(self.file.source(id), format!("a placed shape is left at the origin: {fault}")),
                    }
                }
                Err(fault) => self.remark(self.file.source(id), format!("a link between shapes is left out: {fault}")),
            }
        }
        for node in 0..structure.nodes.len() {
            let mut waiting = structure.nodes.get(node).map(|n| n.representations.clone()).unwrap_or_default();
            let mut seen = BTreeSet::new();
            seen.extend(waiting.iter().copied());
            while let Some(next) = waiting.pop() {
                for &other in neighbours.get(&next).into_iter().flatten() {
                    if !defined.contains(&other) && seen.insert(other) {
                        structure.attach(node, other);
                        waiting.push(other);
                    }
                }
            }
        }
    }

    fn link(&mut self, id: u64) -> Result<Link, Fault> {
        let instance = self.file.get(id)?;
        let fields = instance.record("REPRESENTATION_RELATIONSHIP").unwrap_or_else(|| instance.fields());
        let transformation = match instance.record("REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION") {
            Some(t) if !instance.is_simple() => Some(t.id(0)?),
            Some(t) => Some(t.id(4)?),
            None => None,
        };
        Ok(Link { first: fields.id(2)?, second: fields.id(3)?, transformation })
    }

    /// The motion that brings the first representation into the second, or the other way round.
    fn link_motion(&mut self, link: Link, first_is_child: bool) -> Result<Similarity, Fault> {
        let Some(transformation) = link.transformation else { return Ok(Similarity::IDENTITY) };
        let (first, second) = (self.file.get(link.first)?, self.file.get(link.second)?);
        let (first, second) = (self.representation_units(&first), self.representation_units(&second));
        let instance = self.file.get(transformation)?;
        if instance.is("CARTESIAN_TRANSFORMATION_OPERATOR_3D") {
            return self.operator(&instance, if first_is_child { &second } else { &first });
        }
        let fields = instance.fields();
        let (a, b) = (fields.id(2)?, fields.id(3)?);
        if first_is_child { self.motion(a, &first, b, &second) } else { self.motion(b, &second, a, &first) }
    }

    /// One instance of a part in an assembly.
    fn add_instance(&mut self, id: u64, structure: &mut Structure) -> Result<(), Fault> {
        let instance = self.file.get(id)?;
        let link = self.link(instance.fields().id(0)?)?;
        let shape = self.file.get(instance.fields().id(1)?)?;
        let usage = self.file.get(shape.fields().id(2)?)?;
        let name = first_said([usage.fields().text(1), usage.fields().text(0)]);
        let product = |index| usage.fields().optional_id(index).and_then(|p| structure.by_product.get(&p).copied());
        let (parent, child) = (product(3), product(4));
        let of = |structure: &Structure, r: u64| structure.by_representation.get(&r).copied();
        // The first is the part and the second the assembly, by recommended practice; some writers swap them.
        let swapped = child.is_some() && child == of(structure, link.second) && child != of(structure, link.first);
        let (inner, outer) = if swapped { (link.second, link.first) } else { (link.first, link.second) };
        let motion = self.link_motion(link, !swapped)?;
        let child = child.unwrap_or_else(|| structure.node_of_representation(inner));
        let parent = parent.unwrap_or_else(|| structure.node_of_representation(outer));
        structure.join(parent, Child { node: child, name, motion, at: instance.at });
        Ok(())
    }
}

impl Structure {
    fn attach(&mut self, node: usize, representation: u64) {
        if let Some(n) = self.nodes.get_mut(node)
            && !n.representations.contains(&representation)
        {
            n.representations.push(representation);
        }
        self.by_representation.entry(representation).or_insert(node);
    }

    /// The node that owns a representation, a new one if none does.
    pub(super) fn node_of_representation(&mut self, representation: u64) -> usize {
        if let Some(&node) = self.by_representation.get(&representation) {
            return node;
        }
        self.nodes.push(Node::default());
        let node = self.nodes.len() - 1;
        self.attach(node, representation);
        node
    }

    fn join(&mut self, parent: usize, child: Child) {
        if let Some(c) = self.nodes.get_mut(child.node) {
            c.has_parent = true;
        }
        if let Some(p) = self.nodes.get_mut(parent) {
            p.children.push(child);
        }
    }
}

/// The first text that says something.
fn first_said(texts: [String; 2]) -> String {
    texts.into_iter().map(|t| t.trim().to_string()).find(|t| !t.is_empty()).unwrap_or_default()
}
