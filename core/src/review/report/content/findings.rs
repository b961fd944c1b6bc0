//! What is to be mended, the worst first.

use super::chapter;
use crate::finding::MeasureId;
use crate::review::FindingRecord;
use crate::review::report::PictureOf;
use crate::review::report::block::{Block, Table};
use crate::review::report::plot::Plot;
use crate::review::report::told::{Listed, Told, place, rank, rank_named, state};
use crate::review::said::{Rank, State};

/// Findings of one severity told in full, and in rows. More make a report that nobody reads to its end.
const FULL: usize = 40;
const ROWS: usize = 120;

/// Three chapters; of each severity only what stands.
pub fn findings<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let of = |(which, title): (Rank, &'static str)| {
        let own: Vec<_> = told.findings().filter(|(l, _)| l.entry.rank == which && l.entry.stands()).collect();
        // What is for polish is told in full only where somebody took a picture of it.
        let (full, short): (Vec<_>, Vec<_>) =
            own.iter().copied().partition(|(l, _)| which != Rank::Polish || picture_of(told, l).is_some());
        let mut blocks: Vec<Block<'a>> = full.iter().take(FULL).map(|(l, f)| item(told, l, f)).collect();
        if full.len() > FULL {
            blocks.push(Block::More(full.len() - FULL));
        }
        blocks.extend(rows(told, &short));
        chapter(format!("{title} ({})", own.len()), blocks)
    };
    [(Rank::Serious, "Serious findings"), (Rank::Fix, "Findings to fix"), (Rank::Polish, "Findings for polish")]
        .into_iter()
        .flat_map(of)
        .collect()
}

fn picture_of<'a>(told: &Told<'a>, l: &Listed<'_>) -> Option<&'a crate::review::report::Picture> {
    told.report.picture(PictureOf::Finding(l.entry.finding?.0))
}

fn item<'a>(told: &Told<'a>, l: &Listed<'a>, f: &FindingRecord) -> Block<'a> {
    let mut parts = vec![Block::Facts(facts(told, l, f))];
    parts.extend(picture_of(told, l).map(Block::Picture));
    parts.extend(Plot::new(told.report, f, l.zone).map(Block::Plot));
    Block::Item(l.entry.rank, format!("{}. {}", l.name(), l.entry.title), parts)
}

/// Everything said of a finding.
pub fn facts(told: &Told<'_>, l: &Listed<'_>, f: &FindingRecord) -> Vec<(&'static str, String)> {
    let [reason, note] = l.words().map(str::to_string);
    let was = if reason.is_empty() { String::new() } else { format!("{}, measured as {}", rank(l.entry.rank), f.severity) };
    let at = |s: crate::review::Number| format!(", {:.1} mm along it", s.0);
    let join = f.join.map(|j| format!(" (join {j}{})", f.place.along.map(at).unwrap_or_default())).unwrap_or_default();
    let since = told.report.check.revision.as_ref().and_then(|r| r.findings.iter().find(|c| c.now == told_index(l)));
    let since = since.map(|c| match &c.was {
        Some(was) => format!("{}, was {}", c.fate, l.quantity(was.value.0)),
        None => c.fate.to_string(),
    });
    [
        ("Value", l.quantity(f.value.0)),
        ("Limit", l.quantity(f.limit.0)),
        ("Severity", was),
        ("Reason", reason),
        ("State", if l.entry.state == State::Open { String::new() } else { state(l.entry.state).into() }),
        ("Revision", since.unwrap_or_default()),
        ("Faces", told.faces(&f.faces)),
        ("Zone", if l.zone == (told.report.zone)(&[]) { String::new() } else { l.zone.text().into() }),
        ("Place, mm", format!("{}{join}", place(f.place.point.map(|x| x.0)))),
        ("To mend it", f.remedy.clone()),
        ("Note", note),
    ]
    .into_iter()
    .filter(|x| !x.1.is_empty())
    .collect()
}

fn told_index(l: &Listed<'_>) -> Option<usize> {
    l.entry.finding.map(|x| x.0)
}

fn rows<'a>(told: &Told<'a>, own: &[(&Listed<'a>, &FindingRecord)]) -> Vec<Block<'a>> {
    let row = |(l, f): &(&Listed<'a>, &FindingRecord)| {
        let [reason, note] = l.words();
        let said = [f.remedy.as_str(), reason, note].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" · ");
        vec![l.name(), l.entry.title.clone(), told.faces(&f.faces), said, l.quantity(f.value.0), l.quantity(f.limit.0)]
    };
    let table = Table {
        caption: "Only a picky eye sees these",
        heads: &["No.", "Finding", "Faces", "What would mend it", "Value", "Limit"],
        figures: 4,
        rows: own.iter().map(row).collect(),
    };
    Block::table(table, ROWS)
}

/// A row of what was waived, fixed or is no more: title, value, faces.
pub fn short(told: &Told<'_>, f: &FindingRecord) -> [String; 3] {
    let id = MeasureId::from_text(f.measure);
    let value = id.map_or_else(String::new, |m| crate::review::quantity::quantity(f.value.0, m.unit()));
    [id.map_or(f.measure, MeasureId::title).into(), value, told.faces(&f.faces)]
}

/// The severity a finding was measured with.
pub fn measured(f: &FindingRecord) -> &'static str {
    rank_named(f.severity)
}
