//! `edge.exposed`: the radius of edges that a sphere of 100 mm diameter can touch.

use super::on_gap::{CAUTION, capped};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::gap::{BrinkKind, ExposedKind};

/// One finding a skin and kind of edge. Edges without a rounding (outlines, creases) are worth a polish at most: whether one is still to
/// be made the model does not say.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let measure = MeasureId::EdgeExposed;
    if !judge.asks(measure) {
        return Vec::new();
    }
    let one = |e: &crate::gap::Exposed| {
        let grade = judge.grade(measure, &e.faces, e.radius)?;
        let (kind, what) = match e.kind {
            ExposedKind::Outline => (
                BrinkKind::Bare,
                "The sheet ends in bare outlines that a sphere of 100 mm diameter can touch; no rounding or hem is modelled".into(),
            ),
            ExposedKind::Crease => (BrinkKind::Sharp, "A sphere of 100 mm diameter can touch sharp edges; no rounding is modelled".into()),
            ExposedKind::Tight => {
                (BrinkKind::Rounded, format!("A sphere of 100 mm diameter can touch edges rounded by {:.2} mm at their tightest", e.radius))
            }
        };
        let grade = capped(judge, measure, &e.faces, grade, kind)?;
        let remedy = format!("{what}: round, hem or cover them. {CAUTION}");
        Some(
            Finding::new(measure, e.radius, grade, Place::at(e.place))
                .faces(&e.faces)
                .extent(e.length)
                .remedy(remedy)
                .drawn(e.lines.clone()),
        )
    };
    subject.exposed().iter().filter_map(one).collect()
}
