//! The summary: findings in plain sentences, what is good first.

use super::judged::without;
use crate::finding::{MeasureId, Pass};
use crate::review::quantity::quantity;
use crate::review::said::{Entry, Rank};
use crate::review::{Check, FindingRecord};
use serde::Serialize;
use std::fmt::Write;

/// Sentences of one paragraph; more are counted. A summary that nobody reads to its end says nothing.
const MOST: usize = 8;

/// Names of faces in a sentence; more are counted.
const NAMES: usize = 3;

/// Characters of a pin's text in a sentence.
const WORDS: usize = 240;

/// Sentences that belong together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Paragraph {
    /// `whole`, `good`, `serious`, `fix` or `polish`.
    pub of: &'static str,
    /// Each ends with a full stop.
    pub sentences: Vec<String>,
}

/// Paragraphs: the whole, what is good, then the worst first. Only those that have something to say.
pub fn summary(check: &Check, entries: &[Entry<'_>]) -> Vec<Paragraph> {
    let asking = [Rank::Serious, Rank::Fix, Rank::Polish];
    let rest = asking.into_iter().map(|rank| Paragraph { of: rank.text(), sentences: of_rank(check, entries, rank) });
    let first = [
        Paragraph { of: "whole", sentences: vec![whole(check, entries)] },
        Paragraph { of: Rank::Good.text(), sentences: good(check, entries) },
    ];
    first.into_iter().chain(rest).filter(|p| !p.sentences.is_empty()).collect()
}

fn whole(check: &Check, entries: &[Entry<'_>]) -> String {
    let count = |rank: Rank| entries.iter().filter(|e| e.rank == rank && e.stands()).count();
    let [serious, fix, polish] = [Rank::Serious, Rank::Fix, Rank::Polish].map(count);
    let file = &check.file;
    if serious + fix + polish == 0 {
        return format!("On {file} nothing stands open.");
    }
    let one = |n: usize, what: &str| (n > 0).then(|| format!("{n} {what}"));
    let parts: Vec<String> = [one(serious, "serious"), one(fix, "to fix"), one(polish, "for polish")].into_iter().flatten().collect();
    format!(
        "On {file} {}.",
        match parts.as_slice() {
            [only] => format!("there {} {only}", if serious + fix + polish == 1 { "is one finding:" } else { "are findings:" }),
            _ => format!("there are findings: {}", listed(&parts)),
        }
    )
}

/// What was found good, then passes in which nothing stands.
fn good(check: &Check, entries: &[Entry<'_>]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for e in entries.iter().filter(|e| e.rank == Rank::Good) {
        let said = match (e.finding, e.mark, e.pin) {
            // One that was measured as wanting and is good in the reviewer's eyes.
            (_, Some(mark), _) if mark.severity.is_some() => format!("{}{}: {}", e.title, on(check, e), ended(&mark.reason)),
            (Some((_, f)), _, _) => format!("{}{}", f.remedy.trim_end_matches('.'), ended(&on(check, e))),
            (_, _, Some(p)) => own_words(&e.title, &p.text, &on(check, e)),
            _ => continue,
        };
        all.push(said);
    }
    let mut all = cut(all);
    let clear = |pass: &Pass| without(check, *pass).is_none() && !entries.iter().any(|e| e.pass == Some(*pass) && e.stands());
    let clear: Vec<String> = Pass::ALL.iter().filter(|p| clear(p)).map(|p| p.title().to_string()).collect();
    if !clear.is_empty() {
        all.push(format!("Nothing stands open in {}.", listed(&clear)));
    }
    all
}

/// One sentence a measure or pin, in the order of the ledger.
fn of_rank(check: &Check, entries: &[Entry<'_>], rank: Rank) -> Vec<String> {
    let own: Vec<&Entry<'_>> = entries.iter().filter(|e| e.rank == rank && e.stands()).collect();
    let mut told: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for e in &own {
        let Some((_, f)) = e.finding else {
            let text = e.pin.map_or("", |p| p.text.as_str());
            all.push(own_words(&e.title, text, &on(check, e)));
            continue;
        };
        if told.contains(&f.measure) {
            continue;
        }
        told.push(f.measure);
        let count = own.iter().filter(|o| o.finding.is_some_and(|(_, g)| g.measure == f.measure)).count();
        all.push(measured(check, e, f, count));
    }
    cut(all)
}

/// The worst of `count` findings of one measure.
fn measured(check: &Check, e: &Entry<'_>, f: &FindingRecord, count: usize) -> String {
    let unit = MeasureId::from_text(f.measure).map(MeasureId::unit).unwrap_or_default();
    let (value, limit) = (quantity(f.value.0, unit), quantity(f.limit.0, unit));
    let mut t = e.title.clone();
    if count > 1 {
        let _ = write!(t, " in {count} places, the worst");
    }
    let _ = write!(t, "{}: {value}, limit {limit}.", on(check, e));
    if let Some(mark) = e.mark.filter(|m| m.severity.is_some()) {
        let _ = write!(t, " Measured as {}; {}", f.severity, ended(&mark.reason));
    }
    if !f.remedy.is_empty() {
        let _ = write!(t, " {}", ended(&f.remedy));
    }
    t
}

fn own_words(title: &str, text: &str, on: &str) -> String {
    let text: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let short: String = text.chars().take(WORDS).collect();
    let dots = if short.len() < text.len() { "…" } else { "" };
    if short.is_empty() { ended(&format!("{title}{on}")) } else { format!("{title}{on}: {}", ended(&format!("{short}{dots}"))) }
}

/// " on hood and cheek", or nothing.
fn on(check: &Check, e: &Entry<'_>) -> String {
    let faces = e.faces();
    // A name that several faces have stands with the number, as on the page.
    let shared = |name: &str| check.faces.iter().filter(|f| f.name == name).nth(1).is_some();
    let name = |id: &usize| match check.faces.get(*id) {
        Some(face) if face.name.is_empty() => format!("face {id}"),
        Some(face) if shared(&face.name) => format!("{} ({id})", face.name),
        Some(face) => face.name.clone(),
        None => format!("face {id}"),
    };
    let mut names: Vec<String> = faces.iter().take(NAMES).map(name).collect();
    if faces.len() > NAMES {
        names.push(format!("{} more", faces.len() - NAMES));
    }
    if names.is_empty() { String::new() } else { format!(" on {}", listed(&names)) }
}

/// "a", "a and b", "a, b and c".
fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// With a full stop, where no mark ends it.
fn ended(text: &str) -> String {
    let text = text.trim_end();
    if text.ends_with(['.', '!', '?', '…']) { text.into() } else { format!("{text}.") }
}

fn cut(mut all: Vec<String>) -> Vec<String> {
    if all.len() > MOST {
        let more = all.len() - MOST;
        all.truncate(MOST);
        all.push(format!("And {more} more."));
    }
    all
}
