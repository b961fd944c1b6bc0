//! Whether trials help, in a sentence.

use crate::finding::{Finding, Severity};
use crate::review::quantity;
use crate::review::revision::{Carried, Fate};
use crate::trial::Applied;

/// Whether trials help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Helps {
    /// What they are for is gone or less severe, and nothing that is to be mended is new or worse.
    Yes,
    /// What they are for is gone or less severe, and something that is to be mended is new or worse.
    Breaks,
    /// What they are for is as it was, or worse.
    No,
}

impl Helps {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Helps::Yes => "helps",
            Helps::Breaks => "breaks",
            Helps::No => "does_not",
        }
    }
}

/// Things named in a sentence; the rest is counted.
const NAMED: usize = 2;

fn value(f: &Finding, x: f64) -> String {
    quantity(x, f.measure.unit())
}

/// See [`super::outcome()`].
pub(super) fn told(before: &[Finding], after: &[Finding], carried: &[Carried], about: Option<usize>, applied: &Applied) -> (Helps, String) {
    let failures = applied.failures.as_slice();
    // What other trials do holds all the same.
    let unmade = match failures {
        [] => String::new(),
        [one] if applied.changes.is_empty() => return (Helps::No, format!("does not help: {}", one.error)),
        [one] => format!("; one trial is not made: {}", one.error),
        [one, ..] if applied.changes.is_empty() => return (Helps::No, format!("does not help: none is made; {}", one.error)),
        all => format!("; {} trials are not made", all.len()),
    };
    let now = |c: &Carried| c.later.and_then(|i| after.get(i));
    let was = |c: &Carried| c.earlier.and_then(|i| before.get(i));
    let weighs = |f: &&Finding| f.severity <= Severity::Fix;
    let worse: Vec<&Carried> = carried
        .iter()
        .filter(|c| {
            matches!(c.fate, Fate::New | Fate::Worse) && now(c).is_some_and(|f| weighs(&f)) && (about.is_none() || c.earlier != about)
        })
        .collect();
    let small = carried.iter().filter(|c| matches!(c.fate, Fate::New | Fate::Worse) && now(c).is_some_and(|f| !weighs(&f))).count();
    let better = |c: &Carried| match (was(c), now(c)) {
        (Some(_), None) => true,
        (Some(a), Some(b)) => b.severity > a.severity,
        _ => false,
    };
    let (good, what) = match about.map(|i| (before.get(i), carried.iter().find(|c| c.earlier == Some(i)))) {
        Some((Some(f), Some(c))) => {
            let words = match now(c) {
                None => format!("\"{}\" is gone, {} before", f.measure.title(), value(f, f.value)),
                Some(g) => format!(
                    "\"{}\" is at {} after {}, {} after {}",
                    f.measure.title(),
                    value(g, g.value),
                    value(f, f.value),
                    g.severity.text(),
                    f.severity.text()
                ),
            };
            (better(c), words)
        }
        Some(_) => (false, "the finding is none of those that can be mended".to_owned()),
        None => {
            let count = carried.iter().filter(|c| better(c)).count();
            (count > 0, format!("{count} of {} findings are gone or less severe", carried.iter().filter(|c| c.earlier.is_some()).count()))
        }
    };
    let named = |c: &&Carried| {
        let f = now(c)?;
        let from = was(c).map_or(String::new(), |w| format!(" after {}", value(w, w.value)));
        Some(format!(
            "\"{}\" {} at {}{from}",
            f.measure.title(),
            if c.fate == Fate::New { "is new" } else { "is worse" },
            value(f, f.value)
        ))
    };
    let mut list: Vec<String> = worse.iter().take(NAMED).filter_map(named).collect();
    if worse.len() > NAMED {
        list.push(format!("and {} more", worse.len() - NAMED));
    }
    let faint = match small {
        0 => unmade,
        1 => "; one that only a picky eye sees is new or worse".to_owned() + &unmade,
        n => format!("; {n} that only a picky eye sees are new or worse{unmade}"),
    };
    match (good, worse.is_empty()) {
        (true, true) => (Helps::Yes, format!("helps: {what}{faint}")),
        (true, false) => (Helps::Breaks, format!("helps here, but breaks something else: {}; {what}{faint}", list.join(", "))),
        (false, true) => (Helps::No, format!("does not help: {what}{faint}")),
        (false, false) => (Helps::No, format!("does not help: {what}; {}{faint}", list.join(", "))),
    }
}
