//! `fillet.lead_in`: over how much of its setback a fillet takes up its curvature.

use super::fillet_radius::{on_fillet, worst_section};
use super::{Judge, Subject};
use crate::fillet::{Fillet, FilletStation};
use crate::finding::{Finding, MeasureId};

/// Fillets whose lead-in, as a share of the setback on that side, is somewhere shorter than the limit. There is no limit by default: a
/// round fillet has none, and is asked for tangency only.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::FilletLeadIn) {
        return Vec::new();
    }
    subject.fillets().chains.iter().filter_map(|f| abrupt(judge, f)).collect()
}

fn abrupt(judge: &Judge<'_>, fillet: &Fillet) -> Option<Finding> {
    let (worst, share, grade) = worst_section(judge, MeasureId::FilletLeadIn, fillet, lead_in)?;
    let found = on_fillet(judge, MeasureId::FilletLeadIn, (share, grade), fillet, worst, lead_in);
    Some(found.remedy("Let the fillet take up its curvature over a longer way: another row of control points on the face beside it."))
}

/// The shorter of both lead-ins over its setback.
fn lead_in(s: &FilletStation) -> Option<f64> {
    let setting = s.setting?;
    Some((s.lead[0] / setting.setbacks[0]).min(s.lead[1] / setting.setbacks[1]))
}
