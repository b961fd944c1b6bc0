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
    /// By face; those without place over or near the reference too, but not over an ideal flow, which is of some faces only.
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
    Some(subject.memo.keep(KEPT, 0, || {
        let mut comparing = Comparing::new(subject, reference);
        while comparing.step(subject, reference) {}
        comparing.found
    }))
}

/// A comparison on its way, a face at a time: between two steps a caller can tell of it, or let it go.
#[derive(Debug)]
pub struct Comparing {
    reviewed: Rc<ModelIndex>,
    faces: Vec<FaceId>,
    /// Steps taken: faces, then what is missing, then what is extra.
    done: usize,
    found: Against,
}

/// Share of a face's area that must lie over an ideal flow for the face to be of it. Smaller: neighbours that turn off at its border
/// count; larger: patches that reach past it do not. Common practice, no source.
const OVER: f64 = 0.5;

fn lies_over(d: &FaceDistances) -> bool {
    let over: f64 = d.samples.iter().map(|s| s.area).sum();
    over >= OVER * (over + d.far + d.beside)
}

impl Comparing {
    /// Of a model and a reference that need not be the subject's own.
    pub fn new(subject: &Subject<'_>, reference: &Reference) -> Self {
        let reviewed = subject.index();
        let facing = facing(reference, &subject.sheets, &reviewed);
        let found = Against { distances: Vec::new(), statistics: None, missing: Vec::new(), extra: Vec::new(), facing };
        Self { faces: reviewed.faces().collect(), reviewed, done: 0, found }
    }

    /// Steps taken, and steps in all.
    pub fn progress(&self) -> (usize, usize) {
        (self.done, self.faces.len() + 2)
    }

    /// Goes on by a face; true while there is more to do.
    pub fn step(&mut self, subject: &Subject<'_>, reference: &Reference) -> bool {
        let found = &mut self.found;
        let of = Comparison { reference, sheets: subject.sheets, reviewed: &self.reviewed, turned: &found.facing };
        let far = reference.far;
        if let Some(&face) = self.faces.get(self.done) {
            let own = face_distances(&of, face);
            found.distances.extend(own.filter(|d| !reference.ideal || lies_over(d)));
        } else if self.done == self.faces.len() {
            found.statistics = Statistics::new(&found.distances);
            // An ideal flow covers a part of the model: what it has beyond is not missing, and the rest is not extra.
            if !reference.ideal {
                let nearest = |r: FarRegion| {
                    let face = of.on_reviewed(r.point).and_then(|n| n.face);
                    (r, face)
                };
                let missing = far_regions(&Soup::of_reference(reference), far, |p| of.to_reviewed(p, far), &Silent);
                found.missing = missing.into_iter().map(nearest).collect();
            }
        } else if !reference.ideal {
            found.extra = far_regions(&Soup::of_model(&self.reviewed), far, |p| of.to_reference(p, far), &Silent);
        }
        self.done += 1;
        self.done < self.faces.len() + 2
    }

    /// Keeps what was found for all that is asked of the subject, whose reference is to be the one compared.
    pub fn keep(self, subject: &Subject<'_>) {
        subject.memo.reference_changed();
        subject.memo.keep(KEPT, 0, || self.found);
    }
}
