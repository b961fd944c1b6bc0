//! One finding.

use super::{MeasureId, Place, Severity};
use crate::model::FaceId;

/// One thing found: what was measured, how much, against which limit, where, and what would help.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The measure.
    pub measure: MeasureId,
    /// The value, in the measure's unit (shares as 1 = 100 %).
    pub value: f64,
    /// The limit passed (or, for a good finding, the limit kept), in the same unit.
    pub limit: f64,
    /// How much it matters.
    pub severity: Severity,
    /// The faces concerned, lowest id first for a join.
    pub faces: Vec<FaceId>,
    /// Index of the join concerned; of the worst one where several have one cause.
    pub join: Option<usize>,
    /// Indices of the other joins that the same cause shows at, rising.
    pub also: Vec<usize>,
    /// Where the value was found.
    pub place: Place,
    /// Length along which the limit is passed, mm; 0 where a length has no meaning.
    pub extent: f64,
    /// What would mend it, in plain words; for a good finding, what is good.
    pub remedy: String,
}
