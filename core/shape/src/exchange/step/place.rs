//! From shapes in units of their own to the model in mm and world position.

use super::reader::Reader;
use super::shape::Shape;
use super::structure::{Child, Structure};
use super::style::Look;
use crate::exchange::report::{Fault, ReadError};
use crate::math::Similarity;
use crate::model::{Edge, EdgeId, Face, FreeCurve, LengthUnit, Loop, Model, PartId, Source, Vertex, VertexId};
use std::collections::BTreeMap;
use std::rc::Rc;

/// The model being put together, and where in the product structure the work is.
struct Placing {
    model: Model,
    structure: Structure,
    /// Shapes read so far, kept because assemblies repeat them.
    shapes: BTreeMap<u64, Rc<Shape>>,
    /// Nodes of the structure being placed, outermost first.
    path: Vec<usize>,
    unit: Option<LengthUnit>,
}

/// One instance of a node: where it stands and what it is called.
#[derive(Debug, Clone)]
struct Instance {
    node: usize,
    motion: Similarity,
    name: String,
    look: Look,
    /// Placements and representations on the way here, outermost first.
    path: Vec<u64>,
    /// Made when the first of its faces is placed.
    part: Option<PartId>,
}

impl Reader<'_, '_> {
    /// Reads everything.
    pub(super) fn model(&mut self) -> Result<Model, ReadError> {
        self.gather_looks();
        let structure = self.structure();
        let mut placing = Placing { model: Model::default(), structure, shapes: BTreeMap::new(), path: Vec::new(), unit: None };
        placing.model.schema = self.file.header.schema.clone();
        for root in 0..placing.structure.nodes.len() {
            if placing.structure.nodes.get(root).is_some_and(|n| !n.has_parent) {
                self.place_root(root, &mut placing)?;
            }
        }
        // What stands in a ring of products, each inside the next, has no root.
        for node in 0..placing.structure.nodes.len() {
            let unplaced =
                placing.structure.nodes.get(node).is_some_and(|n| n.representations.iter().any(|r| !placing.shapes.contains_key(r)));
            if unplaced {
                self.place_root(node, &mut placing)?;
            }
        }
        self.place_strays(&mut placing)?;
        let first = || self.contexts.values().next().map(|units| units.length_unit());
        placing.model.unit = placing.unit.or_else(first).unwrap_or_default();
        Ok(placing.model)
    }

    fn place_root(&mut self, node: usize, placing: &mut Placing) -> Result<(), ReadError> {
        let name = placing.structure.nodes.get(node).map(|n| n.name.clone()).unwrap_or_default();
        let instance =
            Instance { node, motion: Similarity::IDENTITY, name: name.clone(), look: Look::default(), path: Vec::new(), part: None };
        self.place_node(instance, placing)?;
        if placing.model.name.is_empty() && !(placing.model.faces.is_empty() && placing.model.curves.is_empty()) {
            placing.model.name = name;
        }
        Ok(())
    }

    fn place_node(&mut self, mut instance: Instance, placing: &mut Placing) -> Result<(), ReadError> {
        let Some(node) = placing.structure.nodes.get(instance.node).cloned() else { return Ok(()) };
        placing.path.push(instance.node);
        for representation in node.representations {
            let shape = self.known_shape(representation, placing)?;
            self.place_shape(&shape, &mut instance, self.file.source(representation), placing)?;
            for mapped in &shape.mapped {
                let node = placing.structure.node_of_representation(mapped.representation);
                let child = Child { node, name: String::new(), motion: mapped.motion, at: self.file.source(mapped.item) };
                self.place_child(&instance, child, &mapped.look, placing)?;
            }
        }
        for child in node.children {
            self.place_child(&instance, child, &instance.look.clone(), placing)?;
        }
        placing.path.pop();
        Ok(())
    }

    fn place_child(&mut self, parent: &Instance, child: Child, look: &Look, placing: &mut Placing) -> Result<(), ReadError> {
        if placing.path.contains(&child.node) {
            self.remark(child.at, "a reference loop: the part is inside itself; this instance is left out".into());
            return Ok(());
        }
        if placing.path.len() >= MOST_LEVELS {
            self.remark(child.at, "the assembly is nested deeper than the limit; this instance is left out".into());
            return Ok(());
        }
        stop_at(self.budget.placed(1, child.at))?;
        let own = placing.structure.nodes.get(child.node).map_or("", |c| c.name.as_str());
        let said = if child.name.is_empty() { own } else { child.name.as_str() };
        let name = match (parent.name.as_str(), said) {
            (outer, "") => outer.to_string(),
            ("", inner) => inner.to_string(),
            (outer, inner) => format!("{outer}/{inner}"),
        };
        let motion = parent.motion.after(&child.motion);
        let mut path = parent.path.clone();
        path.push(child.at.entity);
        self.place_node(Instance { node: child.node, motion, name, look: look.clone(), path, part: None }, placing)
    }

    /// The shape of a representation, read once.
    fn known_shape(&mut self, id: u64, placing: &mut Placing) -> Result<Rc<Shape>, ReadError> {
        if let Some(known) = placing.shapes.get(&id) {
            return Ok(Rc::clone(known));
        }
        let read = Rc::new(self.shape(id)?);
        placing.shapes.insert(id, Rc::clone(&read));
        Ok(read)
    }

    /// Faces that no representation leads to: files written by hand, or damaged between product and shape.
    fn place_strays(&mut self, placing: &mut Placing) -> Result<(), ReadError> {
        let strays: Vec<u64> = self.lookup.faces.iter().copied().filter(|f| !self.met.contains(f)).collect();
        let Some(&first) = strays.first() else { return Ok(()) };
        let at = self.file.source(first);
        self.remark(at, format!("{} faces belong to no representation; they are read where they stand", strays.len()));
        let mut shape = Shape { units: self.fallback_units(), ..Shape::default() };
        for face in strays {
            // An earlier one may have been an oriented face around this.
            if !self.met.contains(&face) {
                let look = self.looks.of(face, &Look::default());
                self.add_face(face, &look, false, &mut shape)?;
            }
        }
        let mut nobody = Instance {
            node: usize::MAX,
            motion: Similarity::IDENTITY,
            name: String::new(),
            look: Look::default(),
            path: Vec::new(),
            part: None,
        };
        self.place_shape(&shape, &mut nobody, at, placing)
    }

    fn place_shape(&mut self, shape: &Shape, instance: &mut Instance, at: Source, placing: &mut Placing) -> Result<(), ReadError> {
        self.note_hidden(shape.hidden);
        if self.hides(&instance.look) {
            self.note_hidden(shape.faces.len());
            return Ok(());
        }
        if shape.faces.is_empty() && shape.curves.is_empty() {
            return Ok(());
        }
        let count = shape.faces.len().saturating_add(shape.edges.len()).saturating_add(shape.curves.len());
        stop_at(self.budget.placed(count, at))?;
        placing.unit.get_or_insert_with(|| shape.units.length_unit());
        let model = &mut placing.model;
        let part = *instance.part.get_or_insert_with(|| {
            model.parts.push(instance.name.clone());
            PartId::new(model.parts.len() - 1)
        });
        let whole = instance.motion.after(&Similarity::scaling(shape.units.length));
        let first = append(model, shape, &whole, part, &instance.look);
        self.restyle(model, first, &shape.trails, &instance.path);
        Ok(())
    }

    /// Gives the faces from index `first` on the look that their place in the assembly asks for.
    fn restyle(&mut self, model: &mut Model, first: usize, trails: &[Vec<u64>], path: &[u64]) {
        if self.looks.instances.is_empty() {
            return;
        }
        let mut hidden = Vec::new();
        for (i, trail) in trails.iter().enumerate() {
            let (Some(face), Some(style)) = (model.faces.get_mut(first + i), self.looks.at(trail, path)) else { continue };
            face.colour = style.colour.or(face.colour);
            hidden.extend(style.hidden.map(|index| (i, index)));
        }
        let mut gone = vec![false; trails.len()];
        for (i, index) in hidden {
            let hides = self.hides(&Look { hidden: Some(index), ..Look::default() });
            gone.get_mut(i).into_iter().for_each(|g| *g = hides);
        }
        self.note_hidden(gone.iter().filter(|g| **g).count());
        let placed = model.faces.split_off(first.min(model.faces.len()));
        model.faces.extend(placed.into_iter().zip(gone).filter(|(_, gone)| !gone).map(|(face, _)| face));
    }
}

/// A limit used up in placing ends the reading.
fn stop_at(drawn: Result<(), Fault>) -> Result<(), ReadError> {
    drawn.map_err(|fault| ReadError::limit(fault.to_string()))
}

/// Levels of products and repeated shapes inside one another. Larger costs stack; real assemblies have below twenty.
const MOST_LEVELS: usize = 64;

/// Adds a copy of the shape, moved; the index of its first face.
fn append(model: &mut Model, shape: &Shape, by: &Similarity, part: PartId, look: &Look) -> usize {
    let first_face = model.faces.len();
    let (first_vertex, first_edge) = (model.vertices.len(), model.edges.len());
    let vertex = |id: VertexId| VertexId::new(first_vertex + id.index());
    let edge = |id: EdgeId| EdgeId::new(first_edge + id.index());
    model.vertices.extend(shape.vertices.iter().map(|v| Vertex { point: by.point(v.point), ..*v }));
    model.edges.extend(shape.edges.iter().map(|e| Edge {
        curve: e.curve.transformed(by),
        start: vertex(e.start),
        end: vertex(e.end),
        ..e.clone()
    }));
    let layered = |own: &[String]| {
        let mut layers = own.to_vec();
        layers.extend(look.layers.iter().filter(|l| !own.contains(l)).cloned());
        layers
    };
    model.curves.extend(shape.curves.iter().map(|c| FreeCurve {
        curve: c.curve.transformed(by),
        colour: c.colour.or(look.curve_colour).or(look.colour),
        layers: layered(&c.layers),
        part,
        ..c.clone()
    }));
    for face in &shape.faces {
        let mut moved = face.transformed(by);
        for one in &mut moved.loops {
            if let Loop::Edges(uses) = one {
                uses.iter_mut().for_each(|u| u.edge = edge(u.edge));
            }
        }
        if moved.name.is_empty() {
            moved.name.clone_from(&look.name);
        }
        model.faces.push(Face { colour: face.colour.or(look.colour), layers: layered(&face.layers), part, ..moved });
    }
    first_face
}
