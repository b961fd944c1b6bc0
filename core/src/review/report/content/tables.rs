//! What was measured, in tables: the earlier revision, the reference, joins and limits.

use super::chapter;
use super::findings::short;
use crate::finding::{Limits, Row, Sense, Unit, Yardstick};
use crate::review::quantity::quantity;
use crate::review::report::block::{Block, Table};
use crate::review::report::told::{Told, place};
use crate::review::{FindingRecord, JoinRecord};

/// Rows of one table; more are counted.
const MOST: usize = 120;

/// What became of an earlier revision's findings.
pub fn revision<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let Some(r) = &told.report.check.revision else { return Vec::new() };
    let counts = [
        (r.fixed, "fixed"),
        (r.better, "better"),
        (r.same, "as before"),
        (r.worse, "worse"),
        (r.new, "new"),
        (r.gone, "gone with their faces"),
    ];
    let counts: Vec<String> = counts.iter().filter(|c| c.0 > 0).map(|(n, what)| format!("{n} {what}")).collect();
    let counts = if counts.is_empty() { "nothing found in either".into() } else { counts.join(", ") };
    let now = |i: Option<usize>| told.report.check.findings.get(i?);
    let row = |c: &crate::review::revision::CarriedRecord| {
        let f: &FindingRecord = now(c.now).or(c.was.as_ref())?;
        // The earlier revision's faces have other numbers, and their names are not kept.
        let [title, value, faces] = short(told, f);
        let faces = if c.now.is_some() { faces } else { String::new() };
        let was = c.was.as_ref().map_or_else(String::new, |was| short(told, was)[1].clone());
        Some(vec![title, c.fate.into(), faces, place(f.place.point.map(|x| x.0)), was, now(c.now).map_or_else(String::new, |_| value)])
    };
    let rows = r.findings.iter().filter(|c| c.fate != "same").filter_map(row).collect();
    let heads = &["Finding", "Now", "Faces", "Place, mm", "Was", "Is"];
    let mut blocks = vec![Block::Text("", format!("Since {}: {counts}.", r.earlier).into())];
    blocks.extend(Block::table(Table { caption: "What has changed", heads, figures: 4, rows }, MOST));
    chapter("Since the earlier revision", blocks)
}

/// Distances to what the model was held against.
pub fn reference<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let Some(r) = &told.report.check.reference else { return Vec::new() };
    let mm = |x: f64| quantity(x, Unit::Millimetre);
    let of = if r.kind == "mesh" { "triangles" } else { "faces" };
    let name = if r.file.is_empty() { "a sweep" } else { &r.file };
    let mut facts = vec![("Held against", format!("{name}, a {} of {} {of}", r.kind, r.count))];
    if let Some(d) = &r.distances {
        facts.push(("Distances", format!("{} to {}", mm(d.least.value.0), mm(d.most.value.0))));
        facts.push(("Mean and root mean square", format!("{}, {}", mm(d.mean.0), mm(d.rms.0))));
        let within: Vec<String> = d.within.iter().map(|w| format!("{:.1} % within {}", 100.0 * w.share.0, mm(w.limit.0))).collect();
        facts.push(("Of the area", within.join(", ")));
    }
    for (what, all) in [("Reference without the model near", &r.missing), ("Model without the reference near", &r.extra)] {
        if !all.is_empty() {
            let area: f64 = all.iter().map(|p| p.area.0).sum();
            facts.push((what, format!("{} in {} parts", quantity(area, Unit::SquareMillimetre), all.len())));
        }
    }
    chapter("Distance to the reference", vec![Block::Facts(facts)])
}

/// Joins by class.
pub fn joins<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    const CLASSES: [(&str, &str); 8] = [
        ("g3", "G3"),
        ("g2", "G2"),
        ("g1", "G1"),
        ("g0", "G0"),
        ("crease", "Crease"),
        ("open", "Open join"),
        ("outline", "Outline"),
        ("non_manifold", "Three faces or more"),
    ];
    let row = |(class, name): (&str, &str)| {
        let own: Vec<&JoinRecord> = told.report.check.joins.iter().filter(|j| j.class == class).collect();
        let most = |unit: Unit, of: fn(&JoinRecord) -> Option<f64>| {
            own.iter().filter_map(|j| of(j)).reduce(f64::max).map_or_else(|| "–".into(), |x| quantity(x, unit))
        };
        let short = own.iter().filter(|j| j.class != j.required).count();
        let length = own.iter().map(|j| j.length.0).sum();
        (!own.is_empty()).then(|| {
            vec![
                name.into(),
                own.len().to_string(),
                if matches!(class, "g0" | "g1" | "g2" | "g3") { short.to_string() } else { "–".into() },
                quantity(length, Unit::Millimetre),
                most(Unit::Millimetre, |j| Some(j.g0.as_ref()?.max.0)),
                most(Unit::Degree, |j| Some(j.g1.as_ref()?.max.0)),
                most(Unit::Share, |j| Some(j.g2.as_ref()?.max_rel?.0)),
                most(Unit::Share, |j| Some(j.g3.as_ref()?.max_rel?.0)),
            ]
        })
    };
    let heads =
        &["Reaches", "Joins", "Should reach another", "Length", "Largest gap", "Largest angle", "Curvature jump", "Jump of its slope"];
    let rows = CLASSES.into_iter().filter_map(row).collect();
    chapter("Joins", Block::table(Table { caption: "Joins by the order that they reach", heads, figures: 1, rows }, usize::MAX))
}

/// Every limit, marked where it is not the usual one.
pub fn yardstick<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let usual = Yardstick::default();
    let row = |r: &Row| {
        let before = usual.row(r.measure);
        let cell = |k: usize| {
            let limits = r.zones.get(k).map_or_else(String::new, |l| limits(l, r.measure.unit()));
            let same = before.and_then(|b| b.zones.get(k)) == r.zones.get(k);
            if same { limits } else { format!("{limits} (changed)") }
        };
        let sense = if r.sense == Sense::AtMost { "at most" } else { "at least" };
        vec![r.measure.title().into(), sense.into(), cell(0), cell(1), cell(2)]
    };
    let rows = told.report.yardstick.rows.iter().map(row).collect();
    let heads = &["Measure", "Values are to be", "Visible", "Secondary", "Hidden"];
    let table = Table { caption: "Limits: polish / fix / serious; – asks for nothing", heads, figures: 5, rows };
    let mut blocks = Block::table(table, usize::MAX);
    let mut note = String::from(
        "The built-in limits are common practice without a published source. Limits that are marked as changed were set for this review.",
    );
    if told.report.yardstick.gap_width != usual.gap_width {
        note = format!("{note} Gaps are meant to be {} wide (changed).", quantity(told.report.yardstick.gap_width, Unit::Millimetre));
    }
    blocks.push(Block::Aside(note.into()));
    chapter("The yardstick", blocks)
}

fn limits(l: &Limits, unit: Unit) -> String {
    let all = [l.polish, l.fix, l.serious];
    if all.iter().all(Option::is_none) {
        return "–".into();
    }
    all.map(|x| x.map_or_else(|| "–".into(), |x| quantity(x, unit))).join(" / ")
}
