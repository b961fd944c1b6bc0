//! Curves that bound no face.

use super::emit::{Emit, Id, flag, real};
use crate::exchange::part21::encode;
use crate::model::{FreeCurve, Model};

impl Emit {
    /// Each free curve, in the model's order.
    pub(super) fn free_curves(&mut self, model: &Model) -> Vec<Id> {
        model.curves.iter().map(|c| self.free_curve(c)).collect()
    }

    fn free_curve(&mut self, c: &FreeCurve) -> Id {
        let name = &c.name;
        let domain = c.curve.domain();
        let basis = self.named_curve(&c.curve, name);
        // A spline over its whole domain needs no trimming, and keeps its name on the curve itself.
        if c.curve.period().is_none() && (c.t0, c.t1) == (domain.low, domain.high) {
            return basis;
        }
        let (a, b) = (real(c.t0), real(c.t1));
        let name = encode(name);
        let forward = flag(c.t1 > c.t0);
        self.put(&format!("TRIMMED_CURVE({name},#{basis},(PARAMETER_VALUE({a})),(PARAMETER_VALUE({b})),{forward},.PARAMETER.)"))
    }
}
