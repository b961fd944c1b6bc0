//! Points and score of each pass.

use super::judged::without;
use crate::finding::{Pass, Zone};
use crate::review::said::{Entry, Rank, State};
use crate::review::{Check, Number};
use serde::Serialize;

/// Points at which a score is 50. Larger: serious findings hardly lower it; smaller: all models with a few findings score alike near 0.
/// Common practice, no source.
pub const HALF: f64 = 20.0;

/// How scores are made, in words.
pub const FORMULA: &str = "score = 100 × 20 / (20 + points). Points of a finding that stands, as open or agreed: 10 if serious, 3 to fix, \
                           1 for polish; times 1 on visible faces, 1/2 on secondary, 1/4 on hidden ones. Waived and fixed findings, \
                           notes and what is good have none. These weights are common practice without a published source.";

/// Findings of one severity in one zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartRecord {
    /// Severity as it stands.
    pub severity: &'static str,
    /// Zone of the faces.
    pub zone: &'static str,
    /// How many.
    pub count: usize,
    /// Points of each, zone counted in.
    pub each: Number,
    /// Points of all.
    pub points: Number,
}

/// What a pass comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassScore {
    /// The pass.
    pub pass: &'static str,
    /// Its name.
    pub title: &'static str,
    /// From 0 to 100, in whole numbers; None where there was nothing to judge.
    pub score: Option<u32>,
    /// Why there was nothing; empty where there was.
    pub without: &'static str,
    /// Points of all that stands.
    pub points: Number,
    /// What they are made of; only what there is.
    pub parts: Vec<PartRecord>,
    /// Findings that would have points and were waived.
    pub waived: usize,
    /// And that are said to be fixed.
    pub fixed: usize,
}

/// Points of a severity on visible faces.
fn points(rank: Rank) -> f64 {
    match rank {
        Rank::Serious => 10.0,
        Rank::Fix => 3.0,
        Rank::Polish => 1.0,
        Rank::Note | Rank::Good => 0.0,
    }
}

fn weight(zone: Zone) -> f64 {
    match zone {
        Zone::Visible => 1.0,
        Zone::Secondary => 0.5,
        Zone::Hidden => 0.25,
    }
}

/// One a pass, in the order of a review.
pub fn score(check: &Check, entries: &[Entry<'_>], zone: &dyn Fn(&[usize]) -> Zone) -> Vec<PassScore> {
    Pass::ALL.into_iter().map(|pass| of_pass(check, pass, entries, zone)).collect()
}

fn of_pass(check: &Check, pass: Pass, entries: &[Entry<'_>], zone: &dyn Fn(&[usize]) -> Zone) -> PassScore {
    let own = || entries.iter().filter(|e| e.pass == Some(pass) && e.rank.asks());
    let mut parts = Vec::new();
    for rank in Rank::ALL.into_iter().filter(|r| r.asks()) {
        for at in [Zone::Visible, Zone::Secondary, Zone::Hidden] {
            let count = own().filter(|e| e.stands() && e.rank == rank && zone(&e.faces()) == at).count();
            let each = points(rank) * weight(at);
            if count > 0 {
                let points = Number(each * count as f64);
                parts.push(PartRecord { severity: rank.text(), zone: at.text(), count, each: Number(each), points });
            }
        }
    }
    let sum: f64 = parts.iter().map(|p| p.points.0).sum();
    let state = |state: State| own().filter(|e| e.state == state).count();
    // What a pin asks for is judged too, whatever was measured.
    let why = without(check, pass).filter(|_| own().next().is_none());
    PassScore {
        pass: pass.text(),
        title: pass.title(),
        score: why.is_none().then(|| whole(100.0 * HALF / (HALF + sum))),
        without: why.unwrap_or_default(),
        points: Number(sum),
        parts,
        waived: state(State::Waived),
        fixed: state(State::Fixed),
    }
}

/// The nearest whole number, of one from 0 to 100.
fn whole(x: f64) -> u32 {
    (x + 0.5) as u32
}
