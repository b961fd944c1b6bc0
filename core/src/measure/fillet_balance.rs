//! `fillet.balance`: whether a fillet reaches as far into one of its faces as into the other.

use super::fillet_radius::{on_fillet, worst_section};
use super::{Judge, Subject};
use crate::fillet::{Fillet, FilletStation, Setting, balanced_radius};
use crate::finding::{Finding, MeasureId};
use crate::math::real;

/// Balance that a remedy brings about at least: that from which on a fillet need not be mended (measures §10).
const WANTED: f64 = 0.8;

/// Fillets whose smaller setback over the larger one is somewhere below the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::FilletBalance) {
        return Vec::new();
    }
    subject.fillets().chains.iter().filter_map(|f| unbalanced(subject, judge, f)).collect()
}

fn unbalanced(subject: &Subject<'_>, judge: &Judge<'_>, fillet: &Fillet) -> Option<Finding> {
    let balance = |s: &FilletStation| Some(s.setting?.balance());
    let (worst, value, grade) = worst_section(judge, MeasureId::FilletBalance, fillet, balance)?;
    let setting = worst.setting?;
    let found = on_fillet(judge, MeasureId::FilletBalance, (value, grade), fillet, worst, balance);
    Some(found.remedy(remedy(subject, worst, &setting, grade.1.max(WANTED))))
}

/// How far a face must move, or which radius, makes the balance `wanted`.
fn remedy(subject: &Subject<'_>, at: &FilletStation, setting: &Setting, wanted: f64) -> String {
    let (edge, square) = shift(setting, wanted);
    let [a, b] = setting.setbacks;
    let round = balanced_radius(&subject.sheets, subject.graph, at, wanted);
    let round = round.map_or(String::new(), |r| format!("Use a round of {r:.1} mm between the same faces, or move "));
    let verb = if round.is_empty() { "Move " } else { &round };
    format!(
        "{verb}the face it reaches {:.1} mm into by {square:.2} mm square to itself, away from the fillet's other edge: the theoretical edge \
         then lies {edge:.2} mm further on, and of {a:.1} and {b:.1} mm one is {:.0} % of the other.",
        a.min(b),
        100.0 * wanted
    )
}

/// How far the theoretical edge must move along the face with the larger setback for a balance of `wanted`, and how far the other face
/// must move square to itself for that, mm.
pub fn shift(setting: &Setting, wanted: f64) -> (f64, f64) {
    let [a, b] = setting.setbacks;
    let along = (a.max(b) - a.min(b) / wanted).max(0.0);
    (along, along * real::sin(setting.opening.to_radians()))
}
