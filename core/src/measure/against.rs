//! What holding the model against its reference gives, worked out once for all measures and the record.

use super::{Memo, Subject};
use crate::model::FaceId;
use crate::progress::Silent;
use crate::reference::{
    Comparison, FaceDistances, FarRegion, ModelIndex, Reference, Soup, Statistics, face_distances, facing, far_regions,
};
use std::rc::Rc;

/// Name in the memo.
const KEPT: &str = "against the reference";

/// A model against its reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// By face; those without place over or near the reference too.
    pub distances: Vec<FaceDistances>,
    /// Of all of them; None where no place lies over the reference.
    pub statistics: Option<Statistics>,
    /// Parts of the reference without the model near, the largest first, each with the face nearest to its farthest place.
    pub missing: Vec<(FarRegion, Option<FaceId>)>,
    /// Parts of the model without the reference near.
    pub extra: Vec<FarRegion>,
    /// Which way the reference's parts face, see [`facing`].
    pub facing: Vec<f64>,
}

impl Memo {
    /// To be told when another reference takes the place of the last one.
    pub fn reference_changed(&self) {
        self.forget(KEPT);
    }
}

impl Subject<'_> {
    /// The model's own faces by place.
    pub fn index(&self) -> Rc<ModelIndex> {
        self.memo.keep("faces by place", 0, || ModelIndex::reviewed(&self.sheets, self.graph, &mut Silent))
    }
}

/// The model against its reference; None without one.
pub fn against(subject: &Subject<'_>) -> Option<Rc<Against>> {
    let reference = subject.reference?;
    Some(subject.memo.keep(KEPT, 0, || compared(subject, reference)))
}

fn compared(subject: &Subject<'_>, reference: &Reference) -> Against {
    let reviewed = subject.index();
    let turned = facing(reference, &subject.sheets, &reviewed);
    let of = Comparison { reference, sheets: subject.sheets, reviewed: &reviewed, turned: &turned };
    let distances: Vec<FaceDistances> = reviewed.faces().filter_map(|id| face_distances(&of, id)).collect();
    let far = reference.far;
    // An ideal flow covers a part of the model: the rest is not extra, and what it has beyond is not missing.
    let (missing, extra) = if reference.ideal {
        (Vec::new(), Vec::new())
    } else {
        let missing = far_regions(&Soup::of_reference(reference), far, |p| of.to_reviewed(p, far), &Silent);
        (missing, far_regions(&Soup::of_model(&reviewed), far, |p| of.to_reference(p, far), &Silent))
    };
    let nearest = |r: FarRegion| {
        let face = of.on_reviewed(r.point).and_then(|n| n.face);
        (r, face)
    };
    Against {
        statistics: Statistics::new(&distances),
        distances,
        missing: missing.into_iter().map(nearest).collect(),
        extra,
        facing: turned,
    }
}
