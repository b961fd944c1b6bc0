//! Faces: trimmed surfaces, bounded surfaces, and surfaces nothing trims. IGES 5.3, 4.33 (143), 4.34 (144).

use super::curve::Piece;
use super::draft::{Side, add_loop, turning};
use super::look::Look;
use super::reader::{Reader, Stop};
use super::record::Record;
use super::shapes::Place;
use super::surface::{Extent, Ground};
use crate::exchange::report::{Fault, Reason};
use crate::math::{Arrange, Similarity};
use crate::model::{Face, Model, PartId, Source};

/// Whether a loop bounds the face from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Bound {
    Outer,
    Inner,
    /// The file does not say.
    Any,
}

impl Reader<'_, '_> {
    /// Adds face `number`, which is no part of a solid.
    pub(super) fn add_face(&mut self, number: u32, place: &Place, model: &mut Model) -> Result<(), Stop> {
        let at = self.source(number);
        self.budget.placed(1, at)?;
        let (edges, vertices) = (model.edges.len(), model.vertices.len());
        let read = self.within(number, |reader, record| {
            let look = reader.look(record, &place.look);
            match record.kind() {
                143 => reader.bounded(record, place, look, model),
                144 => reader.trimmed(record, place, look, model),
                108 => reader.bounded_plane(record, place, look, model),
                _ => reader.untrimmed(record, place, look, model),
            }
        });
        match read {
            Ok(face) => {
                model.faces.push(face);
                Ok(())
            }
            Err(fault) => {
                let fault: Fault = fault;
                // Edges made for this face alone would be loose.
                model.edges.truncate(edges);
                model.vertices.truncate(vertices);
                Err(Stop::from(fault))
            }
        }
    }

    /// A surface with an outer boundary, or its own border, and holes.
    fn trimmed(&mut self, record: &Record, place: &Place, look: Look, model: &mut Model) -> Result<Face, Fault> {
        let has_outer = record.integer_or(1, 0)? != 0;
        let holes = record.count(2, 1)?;
        let name = self.name(record, 4 + holes);
        let base = self.base(record, record.pointer(0)?, place, name, look)?;
        let mut bounds = Vec::new();
        match record.optional_pointer(3)?.filter(|_| has_outer) {
            Some(outer) => bounds.push((Bound::Outer, Some(outer))),
            // Without holes the surface is a face by itself.
            None if holes == 0 && base.ground.extent == Extent::Whole => {}
            None => bounds.push((Bound::Outer, None)),
        }
        for hole in record.pointers(4, holes)? {
            bounds.push((Bound::Inner, Some(hole)));
        }
        self.face(base, bounds, model)
    }

    fn bounded(&mut self, record: &Record, place: &Place, look: Look, model: &mut Model) -> Result<Face, Fault> {
        let count = record.count(2, 1)?;
        let name = self.name(record, 3 + count);
        let base = self.base(record, record.pointer(1)?, place, name, look)?;
        let bounds = record.pointers(3, count)?.into_iter().map(|b| (Bound::Any, Some(b))).collect();
        self.face(base, bounds, model)
    }

    /// What trimmed and bounded surfaces share. Their own matrix moves surface and boundary alike.
    fn base(&mut self, record: &Record, surface: u32, place: &Place, name: String, look: Look) -> Result<Base, Fault> {
        let motion = place.motion.after(&self.own_motion(record)?);
        let look = if look.colour.is_some() {
            look
        } else {
            let record = self.get(surface)?;
            Look { layers: look.layers, ..self.look(&record, &Look::default()) }
        };
        let ground = self.surface(surface, true)?.transformed(&motion);
        Ok(Base { ground, motion, name, look, part: place.part, source: record.at() })
    }

    /// A plane with a closed curve about its one piece. The form of holes in other planes is no face.
    fn bounded_plane(&mut self, record: &Record, place: &Place, look: Look, model: &mut Model) -> Result<Face, Fault> {
        if record.form() != 1 {
            return Err(record.geometry("a hole of a plane is not read"));
        }
        let name = self.name(record, 9);
        let curve = record.pointer(4)?;
        let ground = self.own_surface(record)?.transformed(&place.motion);
        let motion = place.motion.after(&self.own_motion(record)?);
        let base = Base { ground, motion, name, look, part: place.part, source: record.at() };
        let pieces = match self.curve(curve) {
            Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
            pieces => pieces,
        };
        let side = |p: &Piece| Side { space: p.transformed(&motion), plane: None };
        let bound = pieces.map(|pieces| (Bound::Outer, pieces.iter().map(side).collect()));
        Ok(assembled(base, vec![bound], model))
    }

    /// A surface over all of its domain.
    fn untrimmed(&mut self, record: &Record, place: &Place, look: Look, model: &mut Model) -> Result<Face, Fault> {
        let ground = self.own_surface(record)?.transformed(&place.motion);
        let bounds = match ground.extent {
            Extent::Whole => Vec::new(),
            Extent::Rectangle(..) => vec![(Bound::Outer, None)],
            Extent::Unbounded => return Err(record.geometry("a surface without end bounds no face")),
        };
        let name = self.name(record, own_values(record));
        let base = Base { ground, motion: place.motion, name, look, part: place.part, source: record.at() };
        self.face(base, bounds, model)
    }

    fn face(&mut self, base: Base, bounds: Vec<(Bound, Option<u32>)>, model: &mut Model) -> Result<Face, Fault> {
        let mut loops = Vec::new();
        for (bound, number) in bounds {
            let sides = match number {
                Some(number) => self.boundary(number, &base.ground, &base.motion),
                None => self.border(&base.ground, base.source),
            };
            match sides {
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
                sides => loops.push(sides.map(|s| (bound, s))),
            }
        }
        Ok(assembled(base, loops, model))
    }
}

/// A face before its loops.
struct Base {
    ground: Ground,
    /// From the file to the model.
    motion: Similarity,
    name: String,
    look: Look,
    part: PartId,
    source: Source,
}

/// How many values an untrimmed surface has before the properties listed behind them.
fn own_values(record: &Record) -> usize {
    let size = |i: usize| record.count(i, 1).unwrap_or(0).saturating_add(1);
    match record.kind() {
        128 => {
            let (nu, nv, mu, mv) = (size(0), size(1), size(2), size(3));
            13usize.saturating_add(nu + mu + nv + mv).saturating_add(nu.saturating_mul(nv).saturating_mul(4))
        }
        118 | 120 | 122 => 4,
        140 | 198 => 5,
        196 => 4,
        // Writers pad the patches of others differently.
        _ => usize::MAX / 2,
    }
}

/// The face with its loops run the way that keeps it on their left: the file gives them no direction of their own.
fn assembled(base: Base, loops: Vec<Result<(Bound, Vec<Side>), Fault>>, model: &mut Model) -> Face {
    let same_sense = base.ground.map.keeps_normal();
    let mut lost = None;
    let mut found = Vec::new();
    for one in loops {
        match one {
            Ok((bound, sides)) => {
                let turning = turning(&base.ground.surface, &sides);
                found.push((bound, sides, turning));
            }
            Err(fault) => lost = lost.or(Some(fault.to_string())),
        }
    }
    // Of loops the file does not tell apart the outer one encloses most; it comes first.
    let size = |t: &Option<f64>| t.map_or(0.0, f64::abs);
    if found.iter().all(|(_, _, t)| t.is_some()) {
        let largest = found.iter().map(|(_, _, t)| size(t)).fold(0.0, f64::max);
        for (bound, _, t) in &mut found {
            if *bound == Bound::Any {
                *bound = if size(t) == largest { Bound::Outer } else { Bound::Inner };
            }
        }
        found.arrange_by_key(|(bound, ..)| *bound != Bound::Outer);
    }
    let mut made = Vec::new();
    for (bound, sides, turning) in found {
        // Left of the loop lies the face, seen against its normal: ours, or the opposite.
        let counter_clockwise = turning.map(|t| (t > 0.0) == same_sense);
        let wrong = match bound {
            Bound::Outer => counter_clockwise == Some(false),
            Bound::Inner => counter_clockwise == Some(true),
            Bound::Any => false,
        };
        let sides = if wrong { sides.into_iter().rev().map(Side::reversed).collect() } else { sides };
        made.push(add_loop(model, sides));
    }
    Face {
        name: base.name,
        surface: base.ground.surface,
        same_sense,
        loops: made,
        boundary_lost: lost,
        colour: base.look.colour,
        layers: base.look.layers,
        part: base.part,
        source: base.source,
    }
}
