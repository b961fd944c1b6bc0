//! `fillet.opening`: how sharp the theoretical edge is that a fillet rounds.

use super::fillet_radius::on_fillet;
use super::{Judge, Subject};
use crate::fillet::Fillet;
use crate::finding::{Finding, MeasureId};

/// Fillets whose theoretical edge is somewhere sharper than the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if judge.yardstick.grade(MeasureId::FilletOpening, judge.zone, 0.0).is_none() {
        return Vec::new();
    }
    subject.fillets().chains.iter().filter_map(|f| sharp(judge, f)).collect()
}

fn sharp(judge: &Judge<'_>, fillet: &Fillet) -> Option<Finding> {
    let told = fillet.stations.iter().filter_map(|s| Some((s, s.setting?.opening)));
    let (worst, opening) = told.min_by(|a, b| a.1.total_cmp(&b.1))?;
    let grade = judge.yardstick.grade(MeasureId::FilletOpening, judge.zone, opening)?;
    let remedy = format!(
        "The faces meet at {opening:.1}°, which is hard to build: turn one of them by {:.1}° so that the theoretical edge opens to {:.0}°. Whether \
         an edge this sharp may stay is for the applicable regulations and the responsible engineer to say.",
        grade.1 - opening,
        grade.1
    );
    let found = on_fillet(MeasureId::FilletOpening, opening, grade, fillet, worst, |s| s.setting.is_some_and(|s| s.opening < grade.1));
    Some(found.remedy(remedy))
}
