//! The whole check of a model, in steps or at once, and how it is told.

mod bounds;
mod check;
mod comb;
mod combs;
#[cfg(test)]
mod combs_tests;
mod form;
mod import;
mod lines;
mod maps;
mod number;
mod prepare;
mod probe;
mod rank;
mod record;
mod repairs;
mod run;
mod section_comb;
mod size;
mod text;

pub use bounds::Bounds;
pub use check::{Check, CheckError};
pub use comb::{Comb, MOST_TEETH, Tooth};
pub use combs::{Way, border_combs, iso_combs, join_combs};
pub use form::{FORM_SHARES, FormRanges, form_ranges};
pub use import::{DoubtRecord, GuessRecord, ImportRecord, MeshRecord, RemarkRecord, RepairRecord, UnitRecord, UntrimmedRecord};
pub use lines::{CornerRecord, FadeRecord, FeatureRecord, FlipRecord};
pub use maps::{FaceMap, fair_maps, mirror_maps};
pub use prepare::{Prepared, Untrimmed};
pub use probe::{Nearest, Probe, ProbeForm, nearest, probe};
pub use rank::ranked;
pub use record::{
    BoxRecord, Counts, FaceCounts, FaceRecord, FindingRecord, JoinRecord, MeasuredRecord, MirrorRecord, OverlapRecord, PlaceRecord,
    SharedRecord, SkinRecord, Times, UnreadRecord,
};
pub use repairs::FaceRepair;
pub use run::{Options, findings, judged, run};
pub use section_comb::section_comb;
pub use size::UNITS;
