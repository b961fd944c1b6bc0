//! One finding.

use super::{MeasureId, Place, Severity};
use crate::math::Point3;
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
    /// What shows it on the model, as polylines in mm: the stripe that wiggles, the line a fold runs along. Empty where its
    /// faces, its join and its place show enough.
    pub drawn: Vec<Vec<Point3>>,
}

impl Finding {
    /// A finding with its value, and the severity it has with the limit it passed; everything else empty. The face of its
    /// place is the face concerned.
    pub fn new(measure: MeasureId, value: f64, (severity, limit): (Severity, f64), place: Place) -> Self {
        let faces = place.face.into_iter().collect();
        Self {
            measure,
            value,
            limit,
            severity,
            faces,
            join: None,
            also: Vec::new(),
            place,
            extent: 0.0,
            remedy: String::new(),
            drawn: Vec::new(),
        }
    }

    /// With the faces concerned, each once where they follow each other.
    #[must_use]
    pub fn faces(mut self, faces: &[FaceId]) -> Self {
        self.faces = faces.to_vec();
        self.faces.dedup();
        self
    }

    /// With the join concerned.
    #[must_use]
    pub fn join(mut self, index: usize) -> Self {
        self.join = Some(index);
        self
    }

    /// With the length, mm, along which the limit is passed.
    #[must_use]
    pub fn extent(mut self, length: f64) -> Self {
        self.extent = length;
        self
    }

    /// With what would mend it.
    #[must_use]
    pub fn remedy(mut self, words: impl Into<String>) -> Self {
        self.remedy = words.into();
        self
    }

    /// With the polylines, mm, that show it on the model.
    #[must_use]
    pub fn drawn(mut self, lines: Vec<Vec<Point3>>) -> Self {
        self.drawn = lines;
        self
    }
}
