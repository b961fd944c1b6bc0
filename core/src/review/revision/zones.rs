//! Zones of an earlier revision's faces.

use super::FaceMatches;
use crate::finding::Zone;
use crate::measure::Subject;
use crate::model::FaceId;
use crate::review::ZonePlan;

/// What is said of a model's zones, said of an earlier revision of it: rules go by what its own file says, and a face lies where the picked
/// face lies that is at its place now. Without it a fault on a face that is hidden now would be told as fixed.
pub fn earlier_plan(plan: &ZonePlan, earlier: &Subject<'_>, later: &Subject<'_>) -> ZonePlan {
    if plan.picked.is_empty() {
        return plan.clone();
    }
    let map = FaceMatches::new(&earlier.index(), &later.index(), &later.sheets);
    let picked = |id: FaceId| plan.picked.iter().rev().find(|p| p.0 == id).map(|p| p.1);
    let at_its_place = |id: FaceId| Some((id, map.of(id).first().copied().and_then(picked)?));
    let all: Vec<(FaceId, Zone)> = earlier.sheets.model.faces().filter_map(|(id, _)| at_its_place(id)).collect();
    ZonePlan { picked: all, ..plan.clone() }
}
