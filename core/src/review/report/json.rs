//! The report as JSON, as www/report.schema.json describes it.

use super::told::{Listed, Told, line_state};
use super::{SAFETY, VERSION};
use crate::finding::{Limits, MeasureId, Sense, Yardstick};
use crate::review::revision::RevisionRecord;
use crate::review::said::finding_key;
use crate::review::{ImportRecord, JoinRecord, Number, PlaceRecord, ReferenceRecord, UnreadRecord, Verdict};
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    rakelight_report: u32,
    version: &'static str,
    made: &'a str,
    file: &'a str,
    hash: &'a str,
    zone: &'static str,
    summary: Option<&'a str>,
    verdict: &'a Verdict,
    findings: Vec<FindingTold<'a>>,
    pins: Vec<PinTold<'a>>,
    checklist: Vec<LineTold<'a>>,
    rating: Vec<RatingTold<'a>>,
    joins: &'a [JoinRecord],
    yardstick: Vec<RowTold>,
    unread: &'a [UnreadRecord],
    import: &'a ImportRecord,
    reference: &'a Option<ReferenceRecord>,
    revision: &'a Option<RevisionRecord>,
    caution: &'static str,
}

#[derive(Serialize)]
struct FaceTold {
    id: usize,
    name: String,
}

#[derive(Serialize)]
struct FindingTold<'a> {
    number: usize,
    index: usize,
    key: String,
    measure: &'static str,
    title: &'static str,
    pass: &'static str,
    unit: &'static str,
    value: Number,
    limit: Number,
    severity: &'static str,
    measured: &'static str,
    state: &'static str,
    reason: &'a str,
    note: &'a str,
    zone: &'static str,
    faces: Vec<FaceTold>,
    join: Option<usize>,
    also: &'a [usize],
    place: &'a PlaceRecord,
    remedy: &'a str,
}

#[derive(Serialize)]
struct PinTold<'a> {
    key: u32,
    title: &'a str,
    text: &'a str,
    severity: &'static str,
    state: &'static str,
    pass: &'a str,
    zone: &'static str,
    face: Option<FaceTold>,
    place: [Number; 3],
}

#[derive(Serialize)]
struct LineTold<'a> {
    text: &'a str,
    state: &'static str,
    note: &'a str,
}

#[derive(Serialize)]
struct RatingTold<'a> {
    text: &'a str,
    note: &'a str,
    given: Option<Number>,
    most: Number,
}

#[derive(Serialize)]
struct RowTold {
    measure: &'static str,
    unit: &'static str,
    sense: &'static str,
    /// Visible, secondary, hidden: polish, fix, serious of each.
    zones: [[Option<Number>; 3]; 3],
    /// Where limits are not the usual ones.
    changed: [bool; 3],
}

/// One line of JSON with a line break at its end.
///
/// # Errors
/// When a value is NaN or infinite.
pub fn json(told: &Told<'_>) -> serde_json::Result<String> {
    let (report, check) = (told.report, told.report.check);
    let said = report.said;
    let document = Document {
        rakelight_report: 1,
        version: VERSION,
        made: report.made,
        file: &check.file,
        hash: report.hash,
        zone: (report.zone)(&[]).text(),
        summary: said.verdict.summary.as_deref(),
        verdict: &told.verdict,
        findings: told.entries.iter().filter_map(|l| finding(told, l)).collect(),
        pins: told.entries.iter().filter_map(|l| pin(told, l)).collect(),
        checklist: said.checklist.iter().map(|l| LineTold { text: &l.text, state: line_state(&l.state)[0], note: &l.note }).collect(),
        rating: said
            .verdict
            .rating
            .iter()
            .map(|l| RatingTold { text: &l.text, note: &l.note, given: l.given.map(Number), most: Number(l.most) })
            .collect(),
        joins: &check.joins,
        yardstick: rows(report.yardstick),
        unread: &check.unread,
        import: &check.import,
        reference: &check.reference,
        revision: &check.revision,
        caution: SAFETY,
    };
    serde_json::to_string(&document).map(|t| t + "\n")
}

fn face(told: &Told<'_>, id: usize) -> FaceTold {
    FaceTold { id, name: told.report.check.faces.get(id).map_or_else(String::new, |f| f.name.clone()) }
}

fn finding<'a>(told: &Told<'_>, l: &'a Listed<'a>) -> Option<FindingTold<'a>> {
    let (index, f) = l.entry.finding?;
    let id = MeasureId::from_text(f.measure)?;
    let [reason, note] = l.words();
    Some(FindingTold {
        number: l.number,
        index,
        key: finding_key(f),
        measure: f.measure,
        title: id.title(),
        pass: id.pass().text(),
        unit: id.unit().text(),
        value: f.value,
        limit: f.limit,
        severity: l.entry.rank.text(),
        measured: f.severity,
        state: l.entry.state.text(),
        reason,
        note,
        zone: l.zone.text(),
        faces: f.faces.iter().map(|&id| face(told, id)).collect(),
        join: f.join,
        also: &f.also,
        place: &f.place,
        remedy: &f.remedy,
    })
}

fn pin<'a>(told: &Told<'_>, l: &'a Listed<'a>) -> Option<PinTold<'a>> {
    let p = l.entry.pin?;
    Some(PinTold {
        key: p.key,
        title: &p.title,
        text: &p.text,
        severity: p.severity.text(),
        state: p.state.text(),
        pass: &p.pass,
        zone: l.zone.text(),
        face: p.face.map(|id| face(told, id)),
        place: p.place.map(Number),
    })
}

fn rows(yardstick: &Yardstick) -> Vec<RowTold> {
    let usual = Yardstick::default();
    let three = |l: &Limits| [l.polish, l.fix, l.serious].map(|x| x.map(Number));
    let row = |r: &crate::finding::Row| {
        let before = usual.row(r.measure);
        RowTold {
            measure: r.measure.text(),
            unit: r.measure.unit().text(),
            sense: if r.sense == Sense::AtMost { "at_most" } else { "at_least" },
            zones: [0, 1, 2].map(|k| three(&r.zones[k])),
            changed: [0, 1, 2].map(|k| before.is_none_or(|b| b.zones[k] != r.zones[k])),
        }
    };
    yardstick.rows.iter().map(row).collect()
}
