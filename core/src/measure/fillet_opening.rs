//! `fillet.opening`: how sharp the theoretical edge is that a fillet rounds.

use super::fillet_radius::{on_fillet, worst_section};
use super::{Judge, Subject};
use crate::fillet::{Fillet, FilletStation};
use crate::finding::{Finding, MeasureId};

/// Fillets whose theoretical edge is somewhere sharper than the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::FilletOpening) {
        return Vec::new();
    }
    subject.fillets().chains.iter().filter_map(|f| sharp(judge, f)).collect()
}

fn sharp(judge: &Judge<'_>, fillet: &Fillet) -> Option<Finding> {
    let opened = |s: &FilletStation| Some(s.setting?.opening);
    let (worst, opening, grade) = worst_section(judge, MeasureId::FilletOpening, fillet, opened)?;
    let remedy = format!(
        "The faces meet at {opening:.1}°, which is hard to build: turn one of them by {:.1}° so that the theoretical edge opens to {:.0}°. Whether \
         an edge this sharp may stay is for the applicable regulations and the responsible engineer to say.",
        grade.1 - opening,
        grade.1
    );
    Some(on_fillet(judge, MeasureId::FilletOpening, (opening, grade), fillet, worst, opened).remedy(remedy))
}
