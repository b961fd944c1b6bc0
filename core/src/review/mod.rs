//! The whole check of a model, in steps or at once, and how it is told.

mod against;
mod bounds;
mod check;
mod comb;
mod combs;
#[cfg(test)]
mod combs_tests;
mod face_layout;
mod fillets;
mod form;
mod gaps;
mod import;
mod join_trace;
mod layout;
mod lines;
pub mod link;
mod maps;
mod number;
mod opened;
mod plan_map;
mod prepare;
mod probe;
mod quantity;
mod rank;
mod record;
mod repairs;
pub mod report;
pub mod revision;
mod run;
pub mod said;
mod section_comb;
mod size;
mod text;
mod verdict;
mod zone_plan;

pub use against::{BarRecord, DistancesRecord, ExtremeRecord, FarRecord, ReferenceRecord, WithinRecord};
pub use bounds::Bounds;
pub use check::{Check, CheckError};
pub use comb::{Comb, MOST_TEETH, Tooth};
pub use combs::{Way, border_combs, iso_combs, join_combs};
pub use face_layout::{FaceLayout, SplineLayout, face_layouts};
pub use fillets::{FilletRecord, FilletsRecord};
pub use form::{FORM_SHARES, FormRanges, form_ranges};
pub use gaps::{ExposedRecord, FlangeRecord, GapRecord, GapStationRecord, GapsRecord, TrimRecord};
pub use import::{DoubtRecord, GuessRecord, ImportRecord, MeshRecord, RemarkRecord, RepairRecord, UnitRecord, UntrimmedRecord};
pub use join_trace::{BothSides, Curve, Curves, JoinTrace, SidesOf, orders};
pub use layout::{BreakRecord, ChainEndRecord, ChainRecord, CrossingRecord, LayoutRecord, RoleRecord, TinyRecord};
pub use lines::{CornerRecord, FadeRecord, FeatureRecord, FlipRecord};
pub use maps::{FaceMap, fair_maps, mirror_maps, reference_maps, tilt_maps};
pub use number::Number;
pub use opened::Opened;
pub use plan_map::{PlanLink, PlanMap, PlanNode, plan_map};
pub use prepare::{Prepared, Untrimmed};
pub use probe::{Nearest, Probe, ProbeForm, nearest, probe};
pub use quantity::quantity;
pub use rank::ranked;
pub use record::{
    BoxRecord, Counts, FaceCounts, FaceRecord, FindingRecord, JoinRecord, MeasuredRecord, MirrorRecord, OverlapRecord, PlaceRecord,
    SharedRecord, SkinRecord, Times, UnreadRecord,
};
pub use repairs::FaceRepair;
pub use run::{Beside, Options, findings, judged, run, run_beside, run_kept};
pub use section_comb::section_comb;
pub use size::UNITS;
pub use verdict::{Paragraph, PartRecord, PassScore, RatingSum, Verdict, verdict};
pub use zone_plan::{RuleBy, ZonePlan, ZoneRule, ZoneRuleError, colour_text};
