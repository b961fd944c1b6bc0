//! Curves that bound no face: wireframes, curve sets, construction lines. ISO 10303-42, 5.4 and 4.4.

use super::composite::joined;
use super::face::{carrier_name, loop_fields, said};
use super::reader::Reader;
use super::shape::Shape;
use super::style::Look;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Curve, Line};
use crate::model::{FreeCurve, PartId, Source};
use std::collections::BTreeSet;

impl<'a> Reader<'a, '_> {
    /// Adds curve `id` as a free one.
    pub(super) fn add_curve(&mut self, id: u64, look: &Look, shape: &mut Shape) -> Result<(), Fault> {
        let instance = self.file.get(id)?;
        let (curve, t0, t1) = joined(self.bounded(id, &shape.units)?).ok_or_else(|| instance.fault(Reason::Geometry("it is empty")))?;
        self.add_free(curve, (t0, t1), carrier_name(&instance), instance.at, look, shape);
        Ok(())
    }

    /// Adds the edges of an edge_based_wireframe_model's sets, each once.
    pub(super) fn add_edges(&mut self, sets: &[u64], look: &Look, shape: &mut Shape) -> Result<(), Fault> {
        let mut seen = BTreeSet::new();
        for &set in sets {
            if !seen.insert(set) {
                continue;
            }
            let instance = self.file.get(set)?;
            for edge in loop_fields(&instance, "CONNECTED_EDGE_SET").ids(0)? {
                self.add_edge(edge, &mut seen, look, shape)?;
            }
        }
        Ok(())
    }

    /// Adds the edges of a shell_based_wireframe_model's shells, each once.
    pub(super) fn add_wire_shells(&mut self, shells: &[u64], look: &Look, shape: &mut Shape) -> Result<(), Fault> {
        let mut seen = BTreeSet::new();
        for &shell in shells {
            let instance = self.file.get(shell)?;
            if instance.is("VERTEX_SHELL") || !seen.insert(shell) {
                continue;
            }
            for one in loop_fields(&instance, "WIRE_SHELL").ids(0)? {
                if !seen.insert(one) {
                    continue;
                }
                let one = self.file.get(one)?;
                if one.is("EDGE_LOOP") {
                    for edge in loop_fields(&one, "EDGE_LOOP").ids(0)? {
                        self.add_edge(edge, &mut seen, look, shape)?;
                    }
                } else if one.is("POLY_LOOP") {
                    self.add_poly(&one, look, shape)?;
                }
            }
        }
        Ok(())
    }

    fn add_edge(&mut self, id: u64, seen: &mut BTreeSet<u64>, look: &Look, shape: &mut Shape) -> Result<(), Fault> {
        let instance = self.file.get(id)?;
        if instance.kind() == "ORIENTED_EDGE" {
            return self.within(id, |reader, oriented| reader.add_edge(oriented.fields().id(3)?, seen, look, shape));
        }
        if !seen.insert(id) {
            return Ok(());
        }
        let (curve, t0, t1) = self.wire(id, &shape.units)?;
        self.add_free(curve, (t0, t1), carrier_name(&instance), instance.at, look, shape);
        Ok(())
    }

    /// A loop of points as its straight sides.
    fn add_poly(&mut self, one: &Instance<'a>, look: &Look, shape: &mut Shape) -> Result<(), Fault> {
        let points = loop_fields(one, "POLY_LOOP").ids(0)?.into_iter().map(|id| self.point(id)).collect::<Result<Vec<_>, _>>()?;
        for (&origin, &next) in points.iter().zip(points.iter().skip(1).chain(points.first())) {
            let direction = next - origin;
            if direction.length_squared() > 0.0 {
                self.add_free(Curve::Line(Line { origin, direction }), (0.0, 1.0), carrier_name(one), one.at, look, shape);
            }
        }
        Ok(())
    }

    fn add_free(&mut self, curve: Curve, (t0, t1): (f64, f64), name: String, source: Source, look: &Look, shape: &mut Shape) {
        let look = self.looks.of(source.entity, look);
        if look.hidden.is_some() && !self.reads_hidden() {
            return;
        }
        let (colour, layers) = (look.curve_colour.or(look.colour), look.layers);
        shape.curves.push(FreeCurve { name: said([name, look.name]), curve, t0, t1, colour, layers, part: PartId::new(0), source });
    }
}
