//! Scores by hand, and that no finding ever raises one.

use super::bramble::{Revision, step};
use crate::finding::{MeasureId, Severity, Zone};
use crate::progress::Silent;
use crate::review::said::{Mark, Pin, Rank, Said, State, finding_key};
use crate::review::{Check, FindingRecord, Number, Options, PassScore, PlaceRecord, run, verdict};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Bramble as it is built, with nothing found.
fn clean() -> Check {
    static CHECK: OnceLock<Check> = OnceLock::new();
    let made = || run(step(Revision::A).as_bytes(), "bramble.step", &Options::default(), &mut Silent, &mut || 0.0).expect("our own file");
    Check { findings: Vec::new(), ..CHECK.get_or_init(made).clone() }
}

fn found(measure: MeasureId, severity: Severity, face: usize) -> FindingRecord {
    let place = PlaceRecord { point: [face as f64, 0.0, 0.0].map(Number), face: Some(face), uv: None, along: None };
    FindingRecord {
        measure: measure.text(),
        value: Number(2.0),
        limit: Number(1.0),
        severity: severity.text(),
        faces: vec![face],
        join: None,
        also: Vec::new(),
        place,
        remedy: "Mend it.".into(),
    }
}

/// Faces 0 to 9 visible, 10 to 19 secondary, the rest hidden.
fn zone(faces: &[usize]) -> Zone {
    match faces {
        [0..10, ..] | [] => Zone::Visible,
        [10..20, ..] => Zone::Secondary,
        _ => Zone::Hidden,
    }
}

fn layout(findings: &[FindingRecord], said: &Said) -> PassScore {
    let check = Check { findings: findings.to_vec(), ..clean() };
    verdict(&check, said, &zone).passes.into_iter().find(|p| p.pass == "layout").expect("a pass")
}

fn marked(f: &FindingRecord, mark: Mark) -> Said {
    Said { marks: BTreeMap::from([(finding_key(f), mark)]), ..Said::default() }
}

#[test]
fn scores_are_those_worked_out_by_hand() {
    let at = |severity, face| found(MeasureId::LayoutSliver, severity, face);
    let score = |all: &[FindingRecord]| layout(all, &Said::default()).score;
    assert_eq!(score(&[]), Some(100));
    // 100 · 20 / (20 + points): points 10, 5, 2.5, 3, 1.5, 1, 0.25.
    assert_eq!(score(&[at(Severity::Serious, 0)]), Some(67));
    assert_eq!(score(&[at(Severity::Serious, 10)]), Some(80));
    assert_eq!(score(&[at(Severity::Serious, 20)]), Some(89));
    assert_eq!(score(&[at(Severity::Fix, 0)]), Some(87));
    assert_eq!(score(&[at(Severity::Fix, 10)]), Some(93));
    assert_eq!(score(&[at(Severity::Polish, 0)]), Some(95));
    assert_eq!(score(&[at(Severity::Polish, 20)]), Some(99));
    assert_eq!(score(&[at(Severity::Good, 0)]), Some(100));
    // 2 · 10 + 3 + 2 · 0.5 = 24 points: 45.45.
    let all = [
        at(Severity::Serious, 0),
        at(Severity::Serious, 1),
        at(Severity::Fix, 2),
        at(Severity::Polish, 11),
        at(Severity::Polish, 12),
        found(MeasureId::JoinPosition, Severity::Serious, 0),
    ];
    let told = layout(&all, &Said::default());
    assert_eq!((told.score, told.points), (Some(45), Number(24.0)));
    let parts: Vec<_> = told.parts.iter().map(|p| (p.severity, p.zone, p.count, p.each.0, p.points.0)).collect();
    assert_eq!(parts, [("serious", "visible", 2, 10.0, 20.0), ("fix", "visible", 1, 3.0, 3.0), ("polish", "secondary", 2, 0.5, 1.0)]);
}

#[test]
fn what_is_said_changes_the_score() {
    let f = found(MeasureId::LayoutSliver, Severity::Serious, 0);
    let with = |mark: Mark| layout(std::slice::from_ref(&f), &marked(&f, mark));
    let state = |state| Mark { state, ..Mark::default() };
    let counts = |p: PassScore| (p.score, p.waived, p.fixed);
    assert_eq!(counts(with(state(State::Open))), (Some(67), 0, 0));
    assert_eq!(counts(with(state(State::Agreed))), (Some(67), 0, 0));
    assert_eq!(counts(with(state(State::Waived))), (Some(100), 1, 0));
    assert_eq!(counts(with(state(State::Fixed))), (Some(100), 0, 1));
    let overruled = |rank| Mark { severity: Some(rank), reason: "seen".into(), ..Mark::default() };
    assert_eq!(counts(with(overruled(Rank::Polish))), (Some(95), 0, 0));
    assert_eq!(counts(with(overruled(Rank::Good))), (Some(100), 0, 0));
    // Of another place, the mark says nothing here.
    let other = found(MeasureId::LayoutSliver, Severity::Serious, 1);
    assert_eq!(layout(std::slice::from_ref(&f), &marked(&other, state(State::Waived))).score, Some(67));
    let pin = Pin { severity: Rank::Fix, pass: "layout".into(), face: Some(10), ..Pin::default() };
    assert_eq!(layout(&[], &Said { pins: vec![pin], ..Said::default() }).points, Number(1.5));
}

#[test]
fn a_pass_without_anything_to_judge_has_no_score() {
    let told = verdict(&clean(), &Said::default(), &zone);
    let of = |id: &str| told.passes.iter().find(|p| p.pass == id).expect("a pass").clone();
    let reference = of("reference");
    assert_eq!((reference.score, reference.without), (None, "it was held against nothing"));
    assert_eq!((of("joins").score, of("joins").without), (Some(100), ""));
    assert!(told.rating.is_none());
}

fn some(severities: usize) -> impl Strategy<Value = (usize, usize, usize)> {
    (0..severities, 0usize..40, 0..MeasureId::ALL.len())
}

/// Score (100 where there is none) and points of each pass.
fn scores(findings: &[FindingRecord]) -> Vec<(u32, f64)> {
    let told = verdict(&Check { findings: findings.to_vec(), ..clean() }, &Said::default(), &zone);
    told.passes.into_iter().map(|p| (p.score.unwrap_or(100), p.points.0)).collect()
}

proptest! {
    #[test]
    fn one_finding_more_never_raises_a_score(all in prop::collection::vec(some(4), 0..40), more in some(3)) {
        let severities = [Severity::Serious, Severity::Fix, Severity::Polish, Severity::Good];
        let made = |(severity, face, id): (usize, usize, usize)| found(MeasureId::ALL[id], severities[severity], face);
        let mut findings: Vec<FindingRecord> = all.into_iter().map(made).collect();
        let before = scores(&findings);
        findings.push(made(more));
        let after = scores(&findings);
        prop_assert!(before.iter().zip(&after).all(|(b, a)| a.0 <= b.0 && a.1 >= b.1));
        prop_assert!(before.iter().zip(&after).any(|(b, a)| a.1 > b.1));
    }
}
