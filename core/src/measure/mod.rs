//! The measures: one file each, one entry each in [`REGISTRY`].

mod against;
mod bend_cost;
mod bends;
mod cells;
mod centre_curvature_slope;
mod centre_mirror;
mod centre_position;
mod centre_tangent;
mod edge_exposed;
mod edge_flange;
mod edge_trim;
mod fair;
mod fair_stripes;
mod fillet_balance;
mod fillet_lead_in;
mod fillet_opening;
mod fillet_radius;
mod form_crown;
mod form_dip;
mod form_draft;
mod form_fade;
mod form_hollow;
mod form_low_crown;
mod form_offset;
mod form_radius;
mod form_ramp;
mod form_ridge_sign;
mod gap_edge_radius;
mod gap_flush;
mod gap_parallel;
mod gap_width;
mod good;
mod highlight_climb;
mod highlight_gap;
mod highlight_kink;
mod highlight_spread;
mod highlight_wiggle;
mod join_corner;
mod join_curvature;
mod join_curvature_slope;
mod join_open;
mod join_position;
mod join_tangent;
mod judge;
mod layout_degree;
mod layout_duplicate;
mod layout_orientation;
mod layout_sliver;
mod layout_spans;
mod layout_split;
mod layout_trim;
mod least;
mod memo;
mod merges;
mod needed;
mod net_rows;
mod on_gap;
mod on_join;
mod one_cause;
mod panel_sections;
mod panels;
mod patch_structure;
mod reference_distance;
mod reference_missing;
mod row_profile;
mod row_reading;
mod rows_agreement;
mod rows_evenness;
mod rows_square;
mod rows_turning;
mod tight_places;

#[cfg(test)]
mod broken_build;
#[cfg(test)]
mod broken_edges;
#[cfg(test)]
mod broken_fair;
#[cfg(test)]
mod broken_fillets;
#[cfg(test)]
mod broken_form;
#[cfg(test)]
mod broken_gaps;
#[cfg(test)]
mod broken_once;
#[cfg(test)]
mod broken_radius;
#[cfg(test)]
mod broken_reference;
#[cfg(test)]
mod broken_sections;
#[cfg(test)]
mod broken_stripes;
#[cfg(test)]
mod broken_zones;
#[cfg(test)]
mod centre_line;

pub use against::{Against, Comparing, against};
pub use fair::fair_reference;
pub use judge::Judge;
pub use layout_sliver::strip_size;
pub use layout_trim::trim_share;
pub use memo::Memo;
pub use merges::{Merge, merges};
pub use needed::{HOLD, Needed, needed};
use panel_sections::Panel;
pub use patch_structure::{PatchStructure, patch_structure};
pub use row_profile::RowProfile;
pub use row_reading::{RowReading, row_readings};
pub use rows_square::{RowAngle, row_angles};

use crate::fillet::{Fillets, fillets};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::{Corner, EdgeFlow, FeatureLine, JoinGraph, Sheets, corners, edge_flow, feature_lines};
use crate::math::Point2;
use crate::model::FaceId;
use crate::progress::{Progress, Stage};
use crate::reference::Reference;
use std::rc::Rc;

/// What is measured.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The faces.
    pub sheets: Sheets<'a>,
    /// Area of each face, mm².
    pub areas: &'a [f64],
    /// The joins.
    pub graph: &'a JoinGraph,
    /// What measures have worked out of these, which no limit changes. Measures keep here what takes time.
    pub memo: &'a Memo,
    /// What it is held against, if anything; when another one takes its place, [`Memo::reference_changed`] must be called.
    pub reference: Option<&'a Reference>,
}

/// Names of what goes by which joins are creases, and is out of date when one comes or goes.
const BY_CREASES: [&str; 4] = ["corners", "lines", "panel sections", "fillets"];

impl Subject<'_> {
    /// Corners of the joins.
    pub fn corners(&self) -> Rc<Vec<Corner>> {
        self.memo.keep("corners", 0, || corners(&self.sheets, self.graph))
    }

    /// Feature lines.
    pub fn lines(&self) -> Rc<Vec<FeatureLine>> {
        self.memo.keep("lines", 0, || feature_lines(&self.sheets, self.graph))
    }

    /// Fillets and corners of fillets.
    pub fn fillets(&self) -> Rc<Fillets> {
        self.memo.keep("fillets", 0, || fillets(&self.sheets, self.graph))
    }

    /// How the edges between patches flow; no limit changes it, as no limit decides whether faces meet.
    pub fn edge_flow(&self) -> Rc<EdgeFlow> {
        self.memo.keep("edge flow", 0, || edge_flow(&self.sheets, self.graph))
    }

    /// Panels with their sections.
    fn panel_sections(&self) -> Rc<Vec<Panel>> {
        self.memo.keep("panel sections", 0, || panel_sections::panels(self))
    }
}

impl Memo {
    /// To be told when a crease has come or gone.
    pub fn creases_changed(&self) {
        BY_CREASES.iter().for_each(|name| self.forget(name));
    }
}

/// A measure.
#[derive(Debug, Clone, Copy)]
pub struct Measure {
    /// Its id.
    pub id: MeasureId,
    /// What it tells, in one line.
    pub what: &'static str,
    /// Finds.
    pub find: fn(&Subject<'_>, &Judge<'_>) -> Vec<Finding>,
}

/// Every measure, in the order of the passes.
pub const REGISTRY: &[Measure] = &[
    Measure { id: MeasureId::JoinPosition, what: "gap between two faces along their join", find: join_position::find },
    Measure { id: MeasureId::JoinTangent, what: "angle between two faces along their join", find: join_tangent::find },
    Measure { id: MeasureId::JoinCurvature, what: "jump of curvature across a join", find: join_curvature::find },
    Measure { id: MeasureId::JoinCurvatureSlope, what: "jump of the change of curvature across a join", find: join_curvature_slope::find },
    Measure { id: MeasureId::JoinCorner, what: "spread of normals where three or more patches meet", find: join_corner::find },
    Measure { id: MeasureId::JoinOpen, what: "outlines that lie side by side without meeting", find: join_open::find },
    Measure { id: MeasureId::CentrePosition, what: "gap to the mirror image along the centre plane", find: centre_position::find },
    Measure { id: MeasureId::CentreTangent, what: "angle to the mirror image along the centre plane", find: centre_tangent::find },
    Measure {
        id: MeasureId::CentreCurvatureSlope,
        what: "jump of the change of curvature across the centre plane",
        find: centre_curvature_slope::find,
    },
    Measure { id: MeasureId::CentreMirror, what: "difference between left and right", find: centre_mirror::find },
    Measure { id: MeasureId::LayoutSliver, what: "width of narrow faces", find: layout_sliver::find },
    Measure { id: MeasureId::LayoutOrientation, what: "faces whose normal is against their skin's", find: layout_orientation::find },
    Measure { id: MeasureId::LayoutDuplicate, what: "faces that lie on other faces", find: layout_duplicate::find },
    Measure { id: MeasureId::LayoutTrim, what: "share of its patch that a trimmed face uses", find: layout_trim::find },
    Measure { id: MeasureId::LayoutSplit, what: "patches that one patch could replace", find: layout_split::find },
    Measure { id: MeasureId::LayoutDegree, what: "degree beyond what the shape of a patch needs", find: layout_degree::find },
    Measure { id: MeasureId::LayoutSpans, what: "spans beyond what the shape of a patch needs", find: layout_spans::find },
    Measure { id: MeasureId::RowsEvenness, what: "evenness of control points along a row", find: rows_evenness::find },
    Measure { id: MeasureId::RowsAgreement, what: "how alike neighbouring rows share out their legs", find: rows_agreement::find },
    Measure { id: MeasureId::RowsTurning, what: "turns of a control row back and forth beyond its form's", find: rows_turning::find },
    Measure { id: MeasureId::RowsSquare, what: "angle of control rows to the centre plane", find: rows_square::find },
    Measure { id: MeasureId::HighlightWiggle, what: "tilt of waves about a fair surface", find: highlight_wiggle::find },
    Measure { id: MeasureId::HighlightGap, what: "step and turn of stripes across a gap", find: highlight_gap::find },
    Measure { id: MeasureId::HighlightKink, what: "largest kink of stripes at a join, over all lamps", find: highlight_kink::find },
    Measure {
        id: MeasureId::HighlightSpread,
        what: "spacing of stripes along a face against its fair reference",
        find: highlight_spread::find,
    },
    Measure { id: MeasureId::HighlightClimb, what: "turn of stripes along a face against its fair reference", find: highlight_climb::find },
    Measure { id: MeasureId::FormRidgeSign, what: "feature lines whose sign turns round for a stretch", find: form_ridge_sign::find },
    Measure { id: MeasureId::FormFade, what: "length over which feature lines fade out", find: form_fade::find },
    Measure { id: MeasureId::FormHollow, what: "area of a panel bent the other way than most of it", find: form_hollow::find },
    Measure { id: MeasureId::FormLowCrown, what: "area of a panel that is nearly flat both ways", find: form_low_crown::find },
    Measure { id: MeasureId::FormRamp, what: "curvature at the ends of a panel over that in its middle", find: form_ramp::find },
    Measure { id: MeasureId::FormCrown, what: "height of a panel over its chord", find: form_crown::find },
    Measure { id: MeasureId::FormDip, what: "flat spots along the sections of a panel", find: form_dip::find },
    Measure { id: MeasureId::FormRadius, what: "smallest radius, convex and concave apart", find: form_radius::find },
    Measure { id: MeasureId::FormOffset, what: "smallest radius that a sheet must follow on its inner side", find: form_offset::find },
    Measure { id: MeasureId::FormDraft, what: "least draft to the pull direction", find: form_draft::find },
    Measure { id: MeasureId::FilletRadius, what: "smallest radius of a fillet", find: fillet_radius::find },
    Measure { id: MeasureId::FilletBalance, what: "smaller over larger setback of a fillet", find: fillet_balance::find },
    Measure { id: MeasureId::FilletOpening, what: "angle of the theoretical edge under a fillet", find: fillet_opening::find },
    Measure {
        id: MeasureId::FilletLeadIn,
        what: "share of its setback in which a fillet takes up its curvature",
        find: fillet_lead_in::find,
    },
    Measure { id: MeasureId::GapWidth, what: "width of a gap against the one that is meant", find: gap_width::find },
    Measure { id: MeasureId::GapFlush, what: "height of one panel over the other across a gap", find: gap_flush::find },
    Measure { id: MeasureId::GapParallel, what: "change of a gap's width along it", find: gap_parallel::find },
    Measure { id: MeasureId::GapEdgeRadius, what: "radius of the edges at a gap", find: gap_edge_radius::find },
    Measure { id: MeasureId::EdgeExposed, what: "radius of edges that can be touched", find: edge_exposed::find },
    Measure { id: MeasureId::EdgeTrim, what: "distance of edges from the surfaces they trim", find: edge_trim::find },
    Measure { id: MeasureId::EdgeFlange, what: "width of flanges and hems", find: edge_flange::find },
    Measure { id: MeasureId::ReferenceDistance, what: "distance of a face from the reference", find: reference_distance::find },
    Measure {
        id: MeasureId::ReferenceMissing,
        what: "parts of the reference, or of the model, without the other near",
        find: reference_missing::find,
    },
];

/// Everything found, in the order of the registry; what is done well comes last. Stops early when cancelled.
pub fn run(subject: &Subject<'_>, judge: &Judge<'_>, progress: &mut dyn Progress) -> Vec<Finding> {
    let total = REGISTRY.len() + 1;
    let mut all = Vec::new();
    for (i, measure) in REGISTRY.iter().enumerate() {
        progress.report(Stage::Measure, i, total);
        if progress.cancelled() {
            return all;
        }
        all.extend((measure.find)(subject, judge));
    }
    all.extend(good::find(subject, judge));
    progress.report(Stage::Measure, total, total);
    all
}

/// A place well inside a face: the inner one of a grid nearest to the middle of its parameter box. None without a boundary.
pub fn middle(subject: &Subject<'_>, id: FaceId) -> Option<Place> {
    let (face, domain) = (subject.sheets.face(id)?, subject.sheets.domain(id)?);
    let (u, v) = domain.bounds();
    const TRIES: [f64; 9] = [0.5, 0.45, 0.55, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9];
    let inside = TRIES.iter().flat_map(|&a| TRIES.iter().map(move |&b| (a, b))).map(|(a, b)| Point2::new(u.at(a), v.at(b)));
    let uv = inside.into_iter().find(|&p| domain.contains(p)).unwrap_or(Point2::new(u.at(0.5), v.at(0.5)));
    Some(Place { point: face.surface.point(uv.u, uv.v), face: Some(id), uv: Some(uv), along: None })
}
