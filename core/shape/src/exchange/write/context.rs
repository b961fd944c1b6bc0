//! The context of the shape: units, and how near is the same. ISO 10303-41, measure schema.

use super::emit::{Emit, Id, real};
use crate::exchange::part21::encode;
use crate::model::LengthUnit;

impl Emit {
    /// The context of lengths in `unit` and angles in radians; `uncertainty` in mm.
    pub(super) fn context(&mut self, uncertainty: f64, unit: &LengthUnit) -> Id {
        let length = self.length_unit(unit);
        let angle = self.put("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))");
        let solid = self.put("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())");
        let size = real(uncertainty / unit.in_mm);
        let near = format!("UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({size}),#{length},'distance_accuracy_value','')");
        let near = self.put(&near);
        self.put(&format!(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{near}))\
             GLOBAL_UNIT_ASSIGNED_CONTEXT((#{length},#{angle},#{solid}))REPRESENTATION_CONTEXT('','3D'))"
        ))
    }

    /// An SI unit where there is one, else one converted from the millimetre.
    fn length_unit(&mut self, unit: &LengthUnit) -> Id {
        const PREFIXES: [(f64, &str); 6] =
            [(1e-6, ".NANO."), (1e-3, ".MICRO."), (1.0, ".MILLI."), (10.0, ".CENTI."), (1e3, "$"), (1e6, ".KILO.")];
        if let Some((_, prefix)) = PREFIXES.iter().find(|(mm, _)| *mm == unit.in_mm) {
            return self.put(&format!("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT({prefix},.METRE.))"));
        }
        let mm = self.put("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))");
        let power = self.put("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)");
        let size = self.put(&format!("LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE({}),#{mm})", real(unit.in_mm)));
        let name = encode(&unit.name.to_uppercase());
        self.put(&format!("(CONVERSION_BASED_UNIT({name},#{size})LENGTH_UNIT()NAMED_UNIT(#{power}))"))
    }
}
