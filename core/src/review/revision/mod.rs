//! One revision of a model beside another: which faces are where others were, and what became of the findings.

mod faces;
mod fate;
mod record;
mod zones;

pub use faces::{FaceMatches, face_at};
pub use fate::{Carried, Fate, Judged, carried, carried_by};
pub use record::{CarriedRecord, RevisionRecord};
pub use zones::earlier_plan;
