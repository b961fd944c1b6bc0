//! How the file was read, and what a report is not.

use super::chapter;
use crate::finding::Unit;
use crate::review::quantity::quantity;
use crate::review::report::SAFETY;
use crate::review::report::block::{Block, Table};
use crate::review::report::told::Told;

/// Rows of one list; more are counted.
const MOST: usize = 40;

/// The import report.
pub fn import<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let check = told.report.check;
    let i = &check.import;
    let unit = match i.unit.read_in_mm {
        Some(mm) => format!("{}, read with {} mm in a unit instead, as asked", i.unit.stated, mm.0),
        None => i.unit.stated.clone(),
    };
    let count = |n: usize| if n > 0 { n.to_string() } else { String::new() };
    let doubt = i.size_doubt.as_ref().map_or_else(String::new, |d| format!("The size looks wrong: {}.", d.text));
    let facts = [
        ("Size in doubt", doubt),
        ("Format", format!("{} {}", i.format, check.schema)),
        ("Written by", i.writer.clone()),
        ("Through", i.preprocessor.clone()),
        ("Unit", unit),
        ("Entities", i.entities.to_string()),
        ("Faces left out as hidden", count(i.hidden_faces)),
        ("Curves that bound no face", count(i.free_curves)),
    ];
    let mut blocks = vec![Block::Facts(facts.into_iter().filter(|f| !f.1.trim().is_empty()).collect())];
    let list =
        |caption, rows: Vec<Vec<String>>| Block::table(Table { caption, heads: &["Line", "Entity", "What"], figures: 3, rows }, MOST);
    let entity = |line: u32, id: u64, what: String| {
        let shown = |n: u64, mark: &str| if n == 0 { "–".into() } else { format!("{mark}{n}") };
        vec![shown(line.into(), ""), shown(id, "#"), what]
    };
    let unread = check.unread.iter().map(|u| entity(u.line, u.id, format!("{}: {}", u.kind, u.reason)));
    blocks.extend(list("Not read", unread.collect()));
    let untrimmed = i.untrimmed.iter().map(|u| entity(u.line, u.id, format!("{}: {}", told.face(u.face), u.reason)));
    blocks.extend(list("Shown without their boundary, not measured", untrimmed.collect()));
    let repairs = i.repairs.iter().map(|r| {
        let size = r.size.map(|s| quantity(s.0, Unit::Millimetre));
        let times = (r.count > 1).then(|| format!("{} times", r.count));
        let aside: Vec<String> = size.into_iter().chain(times).collect();
        let aside = if aside.is_empty() { String::new() } else { format!(" ({})", aside.join(", ")) };
        let face = r.face.map(|id| format!("{}: ", told.face(id))).unwrap_or_default();
        entity(r.line, r.id, format!("{face}{}{aside}", r.text))
    });
    blocks.extend(list("Repaired", repairs.collect()));
    let remarks = i.remarks.iter().map(|r| entity(r.line.unwrap_or(0), r.id.unwrap_or(0), r.text.clone()));
    blocks.extend(list("Remarks", remarks.collect()));
    if i.remarks_dropped > 0 {
        blocks.push(Block::Aside(format!("Remarks beyond the first ones: {}.", i.remarks_dropped).into()));
    }
    chapter("How the file was read", blocks)
}

/// What limits for people's safety come from.
pub fn caution<'a>() -> Vec<Block<'a>> {
    chapter("Caution", vec![Block::Text("", SAFETY.into())])
}
