//! From the directory to the model: what stands for itself, groups, and repeated subfigures. IGES 5.3, 2.2.4.4.9,
//! 4.58 (type 308), 4.69 (402), 4.73 (408), 4.74 (430).

use super::directory::{Entry, Subordinate};
use super::kinds::{Role, role};
use super::look::Look;
use super::reader::{Reader, Stop};
use super::record::Record;
use super::solid::Shared;
use crate::exchange::report::{Fault, ReadError, Reason};
use crate::math::{Arrange, Similarity, Vec3};
use crate::model::{FreeCurve, Model, PartId, Source};

/// Where and as what something is put into the model.
#[derive(Debug, Clone)]
pub(super) struct Place {
    /// From the file's units, in the space of the definition, to mm in the model.
    pub motion: Similarity,
    pub look: Look,
    /// Name of what it is part of, for faces without one.
    pub name: String,
    pub part: PartId,
    /// The file marks it, or what it is part of, as not to be shown: it is counted only.
    pub hidden: bool,
    /// Inside a subfigure, whose entities are read once an instance.
    pub repeated: bool,
}

impl Reader<'_, '_> {
    /// Reads everything.
    pub(super) fn model(&mut self) -> Result<Model, ReadError> {
        self.gather_levels();
        self.gather_definitions();
        let mut model = Model {
            name: self.global.name.clone(),
            schema: self.global.version.clone(),
            unit: self.global.unit.clone(),
            ..Model::default()
        };
        model.parts.push(model.name.clone());
        let place = Place {
            motion: Similarity::scaling(self.unit()),
            look: Look::default(),
            name: String::new(),
            part: PartId::new(0),
            hidden: false,
            repeated: false,
        };
        let count = self.sections.entries.len();
        for i in 0..count {
            self.step(i)?;
            if let Some(entry) = self.sections.entries.get(i).copied()
                && stands_alone(&entry)
                && !self.met.contains(&entry.number)
                && !self.in_definitions.contains(&entry.number)
            {
                self.add(entry.number, &place, &mut model)?;
            }
        }
        self.step(count)?;
        self.add_strays(&place, &mut model)?;
        Ok(model)
    }

    /// Notes what subfigure definitions hold. Damaged ones are reported where an instance asks for them.
    fn gather_definitions(&mut self) {
        let numbers: Vec<u32> = self.sections.entries.iter().filter(|e| e.kind == 308).map(|e| e.number).collect();
        for number in numbers {
            let members = self.get(number).and_then(|r| r.count(2, 1).and_then(|n| r.pointers(3, n)));
            self.in_definitions.extend(members.unwrap_or_default());
        }
    }

    /// Faces that are marked as parts of others, which do not refer to them: nothing with shape may be lost.
    fn add_strays(&mut self, place: &Place, model: &mut Model) -> Result<(), ReadError> {
        let face = |e: &&Entry| e.usage != 2 && e.usage != 5 && matches!(e.kind, 143 | 144 | 186 | 510 | 514);
        let mut strays: Vec<Entry> = self.sections.entries.iter().filter(face).copied().collect();
        // The outer ones first, which bring their faces along.
        strays.arrange_by_key(|e| (e.kind != 186, e.kind != 514, e.number));
        let mut stray_surfaces = Vec::new();
        if model.faces.is_empty() && strays.is_empty() {
            let surface = |e: &&Entry| e.usage != 2 && role(e.kind, e.form) == Role::Face;
            stray_surfaces = self.sections.entries.iter().filter(surface).copied().collect();
        }
        let mut first = None;
        let mut count = 0;
        for entry in strays.into_iter().chain(stray_surfaces) {
            if !self.met.contains(&entry.number) && !self.in_definitions.contains(&entry.number) {
                first = first.or(Some(entry.source()));
                count += 1;
                self.add(entry.number, place, model)?;
            }
        }
        if let Some(at) = first {
            let which = if count == 1 {
                "it is marked as part of another that does not refer to it; it is".into()
            } else {
                format!("{count} entities, this the first, are marked as parts of others that do not refer to them; they are")
            };
            self.remark(at, format!("{which} read all the same"));
        }
        Ok(())
    }

    /// Adds what entity `number` holds. What cannot be read is in the report.
    fn add(&mut self, number: u32, place: &Place, model: &mut Model) -> Result<(), ReadError> {
        self.met.insert(number);
        let entry = match self.entry(number) {
            Ok(entry) => entry,
            Err(fault) => return self.unread(self.source(number), 0, &fault, 0),
        };
        let hidden = (place.hidden || entry.blank) && !self.limits.hidden;
        let place = Place { hidden, ..place.clone() };
        let role = role(entry.kind, entry.form);
        let outcome = match role {
            Role::Nothing => Ok(()),
            Role::Curve if hidden => Ok(()),
            Role::Curve => self.add_curve(number, &place, model),
            Role::Unread => Err(Stop::Fault(self.not_read(&entry))),
            Role::Face if hidden => {
                self.hidden(1);
                Ok(())
            }
            Role::Face if entry.kind == 510 => self.add_solid_face(number, &place, false, &mut Shared::default(), model),
            Role::Face => self.add_face(number, &place, model),
            Role::Faces => self.add_several(&entry, &place, model),
        };
        match outcome {
            Ok(()) => Ok(()),
            Err(Stop::Read(error)) => Err(error),
            Err(Stop::Fault(fault)) => {
                let lost = usize::from(matches!(role, Role::Face | Role::Unread) || matches!(entry.kind, 186 | 514));
                self.unread(entry.source(), entry.kind, &fault, lost)
            }
        }
    }

    fn not_read(&self, entry: &Entry) -> Fault {
        let reason = match entry.kind {
            416 => {
                let file = self.get(entry.number).map(|r| r.text(0)).unwrap_or_default();
                Reason::Elsewhere(if file.is_empty() { "not named".into() } else { file })
            }
            _ => Reason::Unsupported,
        };
        Fault::new(entry.source(), &super::kinds::name(entry.kind), reason)
    }

    fn add_several(&mut self, entry: &Entry, place: &Place, model: &mut Model) -> Result<(), Stop> {
        match entry.kind {
            186 | 514 => self.add_shell(entry.number, place, false, &mut Shared::default(), model),
            // A definition shows only where an instance puts it.
            308 => Ok(()),
            408 => self.add_instance(entry.number, place, model),
            430 => self.within(entry.number, |reader, record| {
                let motion = place.motion.after(&reader.own_motion(record)?);
                let solid = record.pointer(0)?;
                Ok(reader.add(solid, &Place { motion, repeated: true, ..place.clone() }, model)?)
            }),
            _ => self.add_group(entry, place, model),
        }
    }

    /// The members of a group, in the forms that hold members.
    fn add_group(&mut self, entry: &Entry, place: &Place, model: &mut Model) -> Result<(), Stop> {
        if !matches!(entry.form, 1 | 7 | 14 | 15) {
            return Ok(());
        }
        self.within(entry.number, |reader, record| {
            let count = record.count(0, 1)?;
            let look = Look { layers: place.look.layers.clone(), colour: place.look.colour };
            let inner = Place { look, ..place.clone() };
            for number in record.pointers(1, count)? {
                if place.repeated || !reader.met.contains(&number) {
                    reader.add(number, &inner, model)?;
                }
            }
            Ok(())
        })
    }

    /// A subfigure put at a place: scaled, shifted, then moved by the instance's matrix.
    fn add_instance(&mut self, number: u32, place: &Place, model: &mut Model) -> Result<(), Stop> {
        self.within(number, |reader, record| {
            reader.budget.placed(1, record.at())?;
            let shift = record.vector(1)?;
            let scale = record.real_or(4, 1.0)?;
            if scale.is_nan() || scale <= 0.0 {
                return Err(record.geometry("its scale must be positive").into());
            }
            let own = Similarity { axes: [Vec3::X, Vec3::Y, Vec3::Z], scale, shift };
            let motion = place.motion.after(&reader.own_motion(record)?).after(&own);
            let name = reader.name(record, 5);
            let look = reader.look(record, &place.look);
            let definition = record.pointer(0)?;
            let inner = Place { motion, look, name, repeated: true, ..place.clone() };
            reader.add_definition(definition, &inner, record.at(), model)
        })
    }

    fn add_definition(&mut self, number: u32, place: &Place, instance: Source, model: &mut Model) -> Result<(), Stop> {
        self.within(number, |reader, record: &Record| {
            if record.kind() != 308 {
                return Err(record.geometry("a subfigure definition was expected").into());
            }
            let count = record.count(2, 1)?;
            let written = record.text(1);
            let own = [place.name.clone(), written, reader.name(record, 3 + count)].into_iter().find(|n| !n.is_empty()).unwrap_or_default();
            let outer = model.parts.get(place.part.index()).cloned().unwrap_or_default();
            let name = match (place.part.index(), outer.as_str()) {
                (0, _) | (_, "") => own,
                (_, outer) => format!("{outer}/{own}"),
            };
            reader.budget.placed(count, instance)?;
            model.parts.push(name);
            let part = PartId::new(model.parts.len() - 1);
            let inner = Place { part, name: String::new(), ..place.clone() };
            for member in record.pointers(3, count)? {
                reader.add(member, &inner, model)?;
            }
            Ok(())
        })
    }

    /// A curve that bounds no face.
    fn add_curve(&mut self, number: u32, place: &Place, model: &mut Model) -> Result<(), Stop> {
        let piece = self.one_curve(number)?.transformed(&place.motion);
        let record = self.get(number)?;
        let look = self.look(&record, &place.look);
        self.budget.placed(1, record.at())?;
        model.curves.push(FreeCurve {
            name: record.entry.label(),
            curve: piece.curve,
            t0: piece.t0,
            t1: piece.t1,
            colour: look.colour,
            layers: look.layers,
            part: place.part,
            source: record.at(),
        });
        Ok(())
    }
}

/// True for an entity that is a shape of its own: part of nothing else, and neither annotation, definition, logic nor a
/// curve in a parameter plane.
fn stands_alone(entry: &Entry) -> bool {
    matches!(entry.subordinate, Subordinate::Independent | Subordinate::Logically) && matches!(entry.usage, 0 | 3 | 6)
}
