//! The reviewer's own words: pins, what is good, what was waived, the checklist.

use super::chapter;
use super::findings::{measured, short};
use crate::review::report::PictureOf;
use crate::review::report::block::{Block, Table};
use crate::review::report::told::{Listed, Told, line_state, place, rank, state};
use crate::review::said::{Pin, Rank, State};

/// Lines of one list; more are counted.
const MOST: usize = 120;

/// Pins, the worst first.
pub fn pins<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let pins = told.entries.iter().filter_map(|l| Some((l, l.entry.pin?)));
    let item = |(l, pin): (&Listed<'a>, &'a Pin)| {
        let mut facts = vec![("State", state(l.entry.state).to_string())];
        facts.extend(l.entry.pass.map(|p| ("Pass", p.title().to_string())));
        facts.extend(pin.face.map(|id| ("Face", told.face(id))));
        facts.push(("Zone", l.zone.text().into()));
        facts.push(("Place, mm", place(pin.place)));
        let mut parts: Vec<Block<'a>> = pin.text.lines().filter(|t| !t.trim().is_empty()).map(|t| Block::Text("", t.into())).collect();
        parts.push(Block::Facts(facts));
        parts.extend(told.report.picture(PictureOf::Pin(pin.key)).map(Block::Picture));
        let title = if pin.title.is_empty() { l.name() } else { format!("{}. {}", l.name(), pin.title) };
        Block::Item(l.entry.rank, title, parts)
    };
    let items: Vec<Block<'a>> = pins.map(item).collect();
    chapter(format!("The reviewer's pins ({})", items.len()), items)
}

/// What was found done well, by measure or by the reviewer.
pub fn good<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let all: Vec<String> = told
        .findings()
        .filter(|(l, _)| l.entry.rank == Rank::Good)
        .map(|(l, f)| {
            let [reason, note] = l.words();
            // What was measured as good says so in its remedy; its heading is that of a fault.
            let (title, said) = if reason.is_empty() { ("", f.remedy.as_str()) } else { (l.entry.title.as_str(), reason) };
            let said = [title, said, note].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" · ");
            format!("{}. {}: {said}", l.name(), told.faces(&f.faces))
        })
        .collect();
    let more = all.len().saturating_sub(MOST);
    let mut blocks = Vec::new();
    if !all.is_empty() {
        blocks.push(Block::List(all.into_iter().take(MOST).collect()));
    }
    if more > 0 {
        blocks.push(Block::More(more));
    }
    chapter("Done well", blocks)
}

/// Findings that were waived or are said to be fixed.
pub fn aside<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let rows = told
        .findings()
        .filter(|(l, _)| l.entry.rank.asks() && matches!(l.entry.state, State::Waived | State::Fixed))
        .map(|(l, f)| {
            let [title, value, faces] = short(told, f);
            let was = measured(f);
            let severity = if rank(l.entry.rank) == was { was.into() } else { format!("{}, was {was}", rank(l.entry.rank)) };
            let words = l.words().into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" · ");
            vec![l.name(), state(l.entry.state).into(), severity, title, faces, words, value]
        })
        .collect();
    let heads = &["No.", "State", "Severity", "Finding", "Faces", "Reason", "Value"];
    chapter("Waived and fixed", Block::table(Table { caption: "Findings that do not stand", heads, figures: 6, rows }, MOST))
}

/// The checklist.
pub fn checklist<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let rows = told.report.said.checklist.iter().map(|l| vec![l.text.clone(), line_state(&l.state)[1].into(), l.note.clone()]).collect();
    let heads = &["What a complete model has", "State", "Note"];
    chapter("Checklist", Block::table(Table { caption: "Line by line", heads, figures: 3, rows }, usize::MAX))
}
