//! Units and uncertainty of a representation's context. ISO 10303-41, measure schema; -42, geometry contexts.

use super::reader::Reader;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, Reason};
use crate::math::real;
use crate::model::{LengthUnit, Source};

/// What numbers mean in one context.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Units {
    /// Millimetres in one unit of length.
    pub length: f64,
    /// The same as the file states it, where the caller says otherwise.
    pub stated: f64,
    /// Its name, as the user would write it.
    pub length_name: String,
    /// Radians in one unit of angle.
    pub angle: f64,
    /// How far apart points may lie and still be the same, in units of length.
    pub uncertainty: f64,
}

/// Taken where a file states none, in mm. Smaller: corners written with few digits are taken for gaps; larger:
/// short edges shrink to points.
const DEFAULT_UNCERTAINTY: f64 = 1e-3;

impl Default for Units {
    fn default() -> Self {
        Self { length: 1.0, stated: 1.0, length_name: "mm".into(), angle: 1.0, uncertainty: DEFAULT_UNCERTAINTY }
    }
}

impl Units {
    pub(super) fn length_unit(&self) -> LengthUnit {
        LengthUnit { name: self.length_name.clone(), in_mm: self.stated }
    }
}

impl Reader<'_, '_> {
    /// The units of context `id`, read once. What is missing or damaged becomes mm or radian, with a remark.
    pub(super) fn units(&mut self, id: u64) -> Units {
        if let Some(units) = self.contexts.get(&id) {
            return units.clone();
        }
        let at = self.file.source(id);
        let units = self.read_units(id).unwrap_or_else(|fault| {
            self.remark(at, format!("its units could not be read, mm and radian taken: {fault}"));
            Units::default()
        });
        let units = self.taken(units);
        self.note_uncertainty(units.uncertainty * units.length);
        self.contexts.insert(id, units.clone());
        units
    }

    /// Units with the length that the caller says: the first context's stands for the file's, and others keep their
    /// ratio to it.
    fn taken(&mut self, units: Units) -> Units {
        let stated = units.length;
        let first = *self.first_length.get_or_insert(stated);
        let length = if stated == first { self.limits().in_mm(stated) } else { self.limits().in_mm(first) * (stated / first) };
        Units { length, stated, ..units }
    }

    fn read_units(&mut self, id: u64) -> Result<Units, Fault> {
        let context = self.file.get(id)?;
        let mut units = Units::default();
        let mut has_length = false;
        if let Some(assigned) = context.record("GLOBAL_UNIT_ASSIGNED_CONTEXT") {
            for unit in assigned.ids(if context.is_simple() { 2 } else { 0 })? {
                let instance = self.file.get(unit)?;
                if instance.is("LENGTH_UNIT") {
                    let (in_metre, name) = self.unit(unit, Base::Metre)?;
                    units.length = in_metre;
                    units.length_name = usual_name(in_metre, name);
                    has_length = true;
                } else if instance.is("PLANE_ANGLE_UNIT") {
                    units.angle = self.unit(unit, Base::Radian)?.0;
                }
            }
        }
        if !has_length {
            self.remark(context.at, "it states no unit of length, mm taken".into());
        }
        units.uncertainty = DEFAULT_UNCERTAINTY / units.length;
        if let Some(assigned) = context.record("GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT") {
            for measure in assigned.ids(if context.is_simple() { 2 } else { 0 })? {
                if let Ok(mm) = self.measure(measure, Base::Metre) {
                    units.uncertainty = mm / units.length;
                }
            }
        }
        Ok(units)
    }

    /// Size of a unit in mm or radian, with its name in the file.
    fn unit(&mut self, id: u64, base: Base) -> Result<(f64, String), Fault> {
        self.within(id, |reader, instance| {
            if let Some(conversion) = instance.record("CONVERSION_BASED_UNIT") {
                let skip = if instance.is_simple() { 1 } else { 0 };
                let name = conversion.text(skip);
                let size = reader.measure(conversion.id(skip + 1)?, base)?;
                return Ok((base.rounded(size), name));
            }
            let Some(si) = instance.record("SI_UNIT") else { return Err(instance.fault(Reason::Unsupported)) };
            let last = si.len().saturating_sub(1);
            let expected = Reason::Geometry("another kind of unit was expected");
            if si.enumeration(last)? != base.name() {
                return Err(instance.fault(expected));
            }
            let power = match si.enumeration(last.saturating_sub(1)) {
                Ok(prefix) => power(prefix).ok_or_else(|| instance.fault(Reason::Geometry("the SI prefix is not known")))?,
                Err(_) => 0,
            };
            Ok((ten_to(power + base.power()), String::new()))
        })
    }

    /// A value with its unit, in mm or radian.
    fn measure(&mut self, id: u64, base: Base) -> Result<f64, Fault> {
        self.within(id, |reader, instance| {
            let fields = measure_fields(instance);
            let size = fields.real(0)? * reader.unit(fields.id(1)?, base)?.0;
            let usable = size > 0.0 && size.is_finite();
            if usable { Ok(size) } else { Err(instance.fault(Reason::Geometry("the size of a unit must be positive"))) }
        })
    }

    /// The context's units of a representation given as an entity.
    pub(super) fn representation_units(&mut self, representation: &Instance<'_>) -> Units {
        match super::shape::representation_fields(representation).id(2) {
            Ok(context) => self.units(context),
            Err(_) => {
                self.remark(representation.at, "it has no context, mm and radian taken".into());
                self.taken(Units::default())
            }
        }
    }

    /// The units for shapes that no representation holds: those of any context, else mm.
    pub(super) fn fallback_units(&mut self) -> Units {
        let first = self.contexts.values().next().cloned();
        first.unwrap_or_else(|| {
            self.remark(Source::default(), "no units found, mm and radian taken".into());
            self.taken(Units::default())
        })
    }
}

fn measure_fields<'i, 'a>(instance: &'i Instance<'a>) -> crate::exchange::part21::Fields<'i, 'a> {
    instance.record("MEASURE_WITH_UNIT").unwrap_or_else(|| instance.fields())
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Base {
    Metre,
    Radian,
}

impl Base {
    fn name(self) -> &'static str {
        match self {
            Base::Metre => "METRE",
            Base::Radian => "RADIAN",
        }
    }

    /// Power of ten from the SI unit to the core's own unit (mm, radian).
    fn power(self) -> i32 {
        match self {
            Base::Metre => 3,
            Base::Radian => 0,
        }
    }

    /// Writers round π/180 to few digits; a degree is meant within one part in a million.
    fn rounded(self, size: f64) -> f64 {
        let degree = real::PI / 180.0;
        if self == Base::Radian && (size - degree).abs() < 1e-6 * degree { degree } else { size }
    }
}

/// Power of ten of an SI prefix.
fn power(prefix: &str) -> Option<i32> {
    Some(match prefix {
        "EXA" => 18,
        "PETA" => 15,
        "TERA" => 12,
        "GIGA" => 9,
        "MEGA" => 6,
        "KILO" => 3,
        "HECTO" => 2,
        "DECA" => 1,
        "DECI" => -1,
        "CENTI" => -2,
        "MILLI" => -3,
        "MICRO" => -6,
        "NANO" => -9,
        "PICO" => -12,
        "FEMTO" => -15,
        "ATTO" => -18,
        _ => return None,
    })
}

/// Ten to a small power, correctly rounded (products of ten are exact up to 10²²).
fn ten_to(power: i32) -> f64 {
    let magnitude = (0..power.unsigned_abs()).fold(1.0, |x, _| x * 10.0);
    if power < 0 { 1.0 / magnitude } else { magnitude }
}

/// The everyday name of a unit of so many mm.
fn usual_name(mm: f64, in_file: String) -> String {
    const NAMES: [(f64, &str); 8] =
        [(1e-6, "nm"), (1e-3, "µm"), (1.0, "mm"), (10.0, "cm"), (25.4, "inch"), (304.8, "ft"), (1e3, "m"), (1e6, "km")];
    match NAMES.iter().find(|(size, _)| (size - mm).abs() < 1e-9 * mm) {
        Some((_, name)) => (*name).into(),
        None if in_file.is_empty() => format!("{mm} mm"),
        None => in_file.to_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_are_the_nearest_doubles() {
        for (power, want) in [(-9, 1e-9), (-6, 1e-6), (-3, 1e-3), (0, 1.0), (1, 10.0), (3, 1e3), (21, 1e21)] {
            assert_eq!(ten_to(power), want);
        }
    }

    #[test]
    fn names_units_as_people_do() {
        for (mm, file, want) in
            [(1.0, "MILLIMETRE", "mm"), (25.4, "INCH", "inch"), (1000.0, "", "m"), (914.4, "YARD", "yard"), (1e2, "", "100 mm")]
        {
            assert_eq!(usual_name(mm, file.into()), want);
        }
    }
}
