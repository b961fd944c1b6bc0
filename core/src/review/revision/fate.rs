//! What became of an earlier revision's findings.

use super::faces::{FaceMatches, MOVED};
use crate::finding::{Finding, MeasureId, Sense, Severity, Yardstick};
use crate::math::Arrange;
use crate::measure::Subject;
use crate::model::FaceId;

/// A value that is so many times the other one has changed. Smaller: rounding of a file that was written anew counts as work; larger: a
/// tenth of the way is not told. Common practice, no source.
const CHANGED: f64 = 1.1;

/// What became of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// Its place is there, and it is found no more.
    Fixed,
    /// Found again, by as much.
    Same,
    /// Found again, by less.
    Better,
    /// Found again, by more.
    Worse,
    /// Not found before.
    New,
    /// Nothing is where it was.
    Gone,
}

impl Fate {
    /// As written in JSON.
    pub fn text(self) -> &'static str {
        match self {
            Fate::Fixed => "fixed",
            Fate::Same => "same",
            Fate::Better => "better",
            Fate::Worse => "worse",
            Fate::New => "new",
            Fate::Gone => "gone",
        }
    }
}

/// A finding carried from one revision to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Carried {
    /// What became of it.
    pub fate: Fate,
    /// Index among the earlier findings; None of a new one.
    pub earlier: Option<usize>,
    /// Index among the later findings; None of one that is no more.
    pub later: Option<usize>,
}

/// A revision with its findings.
#[derive(Debug, Clone, Copy)]
pub struct Judged<'a> {
    /// What was measured.
    pub subject: &'a Subject<'a>,
    /// What was found.
    pub findings: &'a [Finding],
}

/// Carries the findings of one revision over to the next: by the same measure on faces that lie where the others lay, nearest places
/// first. What is good is not carried, nor what only one of the two was asked, being held against a reference. In the order of the later
/// findings, then those of the earlier ones that are no more.
pub fn carried(earlier: &Judged<'_>, later: &Judged<'_>, yardstick: &Yardstick) -> Vec<Carried> {
    let (before, now) = (earlier.subject.index(), later.subject.index());
    let map = FaceMatches::new(&before, &now, &later.subject.sheets);
    let held = earlier.subject.reference.is_some() && later.subject.reference.is_some();
    let there =
        |a: &Finding| a.faces.iter().any(|&f| !map.of(f).is_empty()) || now.roughly(a.place.point).is_some_and(|(d, off)| d - off <= MOVED);
    carried_by(&map, earlier.findings, later.findings, held, there, yardstick)
}

/// The same where the faces' places are known: `held` where both were held against a reference, `there` where what a finding was on
/// is still.
pub fn carried_by(
    map: &FaceMatches,
    earlier: &[Finding],
    later: &[Finding],
    held: bool,
    there: impl Fn(&Finding) -> bool,
    yardstick: &Yardstick,
) -> Vec<Carried> {
    let counts = |f: &Finding| f.severity != Severity::Good && (held || !of_reference(f.measure));
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, a) in earlier.iter().enumerate().filter(|x| counts(x.1)) {
        for (j, b) in later.iter().enumerate().filter(|x| counts(x.1) && x.1.measure == a.measure) {
            let apart = a.place.point.distance(b.place.point);
            if agree(map, a, b) {
                pairs.push((apart, i, j));
            }
        }
    }
    pairs.arrange_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut of_later: Vec<Option<usize>> = vec![None; later.len()];
    let mut of_earlier: Vec<Option<usize>> = vec![None; earlier.len()];
    for (_, i, j) in pairs {
        if let (Some(a @ None), Some(b @ None)) = (of_earlier.get_mut(i), of_later.get_mut(j)) {
            (*a, *b) = (Some(j), Some(i));
        }
    }
    let mut all = Vec::new();
    for (j, b) in later.iter().enumerate().filter(|x| counts(x.1)) {
        let before = of_later.get(j).copied().flatten();
        let fate = before.and_then(|i| earlier.get(i)).map_or(Fate::New, |a| change(a, b, yardstick));
        all.push(Carried { fate, earlier: before, later: Some(j) });
    }
    for (i, a) in earlier.iter().enumerate().filter(|x| counts(x.1)) {
        if of_earlier.get(i).is_some_and(Option::is_none) {
            all.push(Carried { fate: if there(a) { Fate::Fixed } else { Fate::Gone }, earlier: Some(i), later: None });
        }
    }
    all
}

fn of_reference(measure: MeasureId) -> bool {
    matches!(measure, MeasureId::ReferenceDistance | MeasureId::ReferenceMissing)
}

/// True where two findings of a measure are on the same faces: of one or two faces all of them, of more at least half, seen from either.
fn agree(map: &FaceMatches, a: &Finding, b: &Finding) -> bool {
    if a.faces.is_empty() || b.faces.is_empty() {
        return a.place.point.distance(b.place.point) <= MOVED;
    }
    let on_b = |f: &&FaceId| map.of(**f).iter().any(|g| b.faces.contains(g));
    let on_a = |g: &&FaceId| a.faces.iter().any(|f| map.of(*f).contains(g));
    let (hit_a, hit_b) = (a.faces.iter().filter(on_b).count(), b.faces.iter().filter(on_a).count());
    let few = a.faces.len() <= 2 && b.faces.len() <= 2;
    let enough = |hit: usize, of: usize| if few { hit == of } else { 2 * hit >= of };
    enough(hit_a, a.faces.len()) && enough(hit_b, b.faces.len())
}

fn change(a: &Finding, b: &Finding, yardstick: &Yardstick) -> Fate {
    if a.severity != b.severity {
        return if b.severity < a.severity { Fate::Worse } else { Fate::Better };
    }
    let at_least = yardstick.row(a.measure).is_some_and(|r| r.sense == Sense::AtLeast);
    let (before, now) = if at_least { (b.value, a.value) } else { (a.value, b.value) };
    if now > CHANGED * before {
        Fate::Worse
    } else if before > CHANGED * now {
        Fate::Better
    } else {
        Fate::Same
    }
}
