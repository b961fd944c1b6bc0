//! The items of a representation: solids, shells, sets, wires, repeated shapes.

use super::face::{carrier_name, said};
use super::reader::Reader;
use super::shape::{Mapped, Shape, representation_fields};
use super::style::Look;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, ReadError, Reason};

impl<'a> Reader<'a, '_> {
    /// Adds what item `id` holds to the shape, turned over when `flipped`. What carries no shape is passed over.
    pub(super) fn item(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<(), ReadError> {
        // Listed twice it is still one thing; without this, lists of lists could multiply the work.
        if !shape.seen_items.insert((id, flipped)) {
            return Ok(());
        }
        let look = self.looks.of(id, look);
        // Faces inside are read one by one and report for themselves; a fault here is one of the item alone.
        let outcome = self.within(id, |reader, instance| Ok(reader.known_item(instance, look, flipped, shape)));
        let at = self.file.source(id);
        match outcome {
            Ok(Ok(())) => Ok(()),
            Ok(Err(Stop::Read(error))) => Err(error),
            Ok(Err(Stop::Fault(fault))) | Err(fault) => self.unread(at, "item", &fault, 0),
        }
    }

    fn known_item(&mut self, instance: &Instance<'a>, mut look: Look, flipped: bool, shape: &mut Shape) -> Result<(), Stop> {
        let fields = instance.fields();
        let (kind, id) = (instance.kind(), instance.at.entity);
        if matches!(kind, "ADVANCED_FACE" | "FACE_SURFACE" | "ORIENTED_FACE") {
            return Ok(self.outside(|reader| reader.add_face(id, &look, flipped, shape))?);
        }
        look.name = said([carrier_name(instance), look.name]);
        let look = &look;
        match kind {
            "OPEN_SHELL" | "CLOSED_SHELL" | "CONNECTED_FACE_SET" => {
                for face in fields.ids(1)? {
                    self.add_face(face, look, flipped, shape)?;
                }
                Ok(())
            }
            "ORIENTED_CLOSED_SHELL" | "ORIENTED_OPEN_SHELL" => Ok(self.item(fields.id(2)?, look, flipped == fields.flag(3)?, shape)?),
            "SHELL_BASED_SURFACE_MODEL" | "FACE_BASED_SURFACE_MODEL" => {
                for shell in fields.ids(1)? {
                    self.item(shell, look, flipped, shape)?;
                }
                Ok(())
            }
            "GEOMETRIC_SET" | "GEOMETRIC_CURVE_SET" => self.set(instance, look, flipped, shape),
            "EDGE_BASED_WIREFRAME_MODEL" => Ok(self.add_edges(&fields.ids(1)?, look, shape)?),
            "CONNECTED_EDGE_SET" => Ok(self.add_edges(&[id], look, shape)?),
            "SHELL_BASED_WIREFRAME_MODEL" => Ok(self.add_wire_shells(&fields.ids(1)?, look, shape)?),
            "WIRE_SHELL" => Ok(self.add_wire_shells(&[id], look, shape)?),
            "MAPPED_ITEM" => self.mapped_item(instance, look, shape),
            _ if instance.is("MANIFOLD_SOLID_BREP") || instance.is("FACETED_BREP") || instance.is("BREP_WITH_VOIDS") => {
                for shell in solid_shells(instance)? {
                    self.item(shell, look, flipped, shape)?;
                }
                Ok(())
            }
            _ if carries_no_shape(kind) => Ok(()),
            _ if Self::is_surface(instance) => Ok(self.outside(|reader| reader.add_surface(id, look, flipped, shape))?),
            _ if Self::is_curve(instance) => Ok(self.outside(|reader| reader.add_curve(id, look, shape))?),
            _ if kind.starts_with('!') => {
                self.unread_item(instance.at, kind, "a type that is defined by its writer alone cannot be read", 0);
                Ok(())
            }
            _ => Err(Stop::Fault(instance.fault(Reason::Unsupported))),
        }
    }

    /// A set without topology: surfaces are faces, curves are free, points are passed over.
    fn set(&mut self, set: &Instance<'a>, look: &Look, flipped: bool, shape: &mut Shape) -> Result<(), Stop> {
        for element in set.fields().ids(1)? {
            let at = self.file.source(element);
            let instance = match self.file.get(element) {
                Ok(instance) => instance,
                Err(fault) => {
                    self.unread(at, set.kind(), &fault, usize::from(set.kind() == "GEOMETRIC_SET"))?;
                    continue;
                }
            };
            if Self::is_surface(&instance) {
                self.add_surface(element, look, flipped, shape)?;
            } else if Self::is_curve(&instance) {
                if let Err(fault) = self.add_curve(element, look, shape) {
                    self.unread(at, instance.kind(), &fault, 0)?;
                }
            } else if !instance.kind().ends_with("POINT") && !instance.kind().starts_with("POINT_") {
                self.unread(at, instance.kind(), &instance.fault(Reason::Unsupported), 0)?;
            }
        }
        Ok(())
    }

    /// Another representation repeated here.
    fn mapped_item(&mut self, item: &Instance<'a>, look: &Look, shape: &mut Shape) -> Result<(), Stop> {
        let fields = item.fields();
        let map = self.file.get(fields.id(1)?)?;
        let (origin, representation) = (map.fields().id(0)?, map.fields().id(1)?);
        let inner = self.file.get(representation)?;
        // Its context is asked for here, as the origin is written in its units.
        representation_fields(&inner).ids(1)?;
        let units = self.representation_units(&inner);
        let motion = self.motion(origin, &units, fields.id(2)?, &shape.units)?;
        shape.mapped.push(Mapped { item: item.at.entity, representation, motion, look: look.clone() });
        Ok(())
    }
}

/// Why an item is given up.
enum Stop {
    /// The item is at fault.
    Fault(Fault),
    /// The whole reading ends.
    Read(ReadError),
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        Stop::Fault(fault)
    }
}

impl From<ReadError> for Stop {
    fn from(error: ReadError) -> Self {
        Stop::Read(error)
    }
}

/// Outer shell and shells of voids.
fn solid_shells(instance: &Instance<'_>) -> Result<Vec<u64>, Fault> {
    if instance.is_simple() {
        let fields = instance.fields();
        let mut shells = vec![fields.id(1)?];
        if instance.is("BREP_WITH_VOIDS") {
            shells.extend(fields.ids(2)?);
        }
        return Ok(shells);
    }
    let outer = instance.record("MANIFOLD_SOLID_BREP");
    let outer = outer.ok_or_else(|| instance.fault(Reason::Geometry("the record of its outer shell is missing")))?;
    let mut shells = vec![outer.id(0)?];
    if let Some(voids) = instance.record("BREP_WITH_VOIDS") {
        shells.extend(voids.ids(0)?);
    }
    Ok(shells)
}

/// Placements, datum points, texts and values stand among the items too.
fn carries_no_shape(kind: &str) -> bool {
    kind.starts_with("AXIS")
        || matches!(kind, "CARTESIAN_POINT" | "DIRECTION" | "VECTOR" | "DESCRIPTIVE_REPRESENTATION_ITEM" | "PLANE" | "STYLED_ITEM")
        || kind.ends_with("_REPRESENTATION_ITEM")
        || kind.starts_with("CARTESIAN_TRANSFORMATION_OPERATOR")
}
