//! On two patches that were one: a broken join is mended, and trials that do not help say so.

use super::{Before, Helps, OutcomeRecord, outcome, remedies};
use crate::exchange::{Import, Report};
use crate::finding::{Finding, MeasureId, Severity};
use crate::joins::arrangements::{master, model_of};
use crate::joins::{JoinGraph, Order};
use crate::math::Vec3;
use crate::measure::{Memo, Subject};
use crate::model::FaceId;
use crate::nurbs::{Direction, Surface};
use crate::progress::Silent;
use crate::review::revision::Fate;
use crate::review::{Options, Prepared, judged};
use crate::trial::{Conform, Drag, Edit, Extend, Lock, Trials, side};

struct Review {
    prepared: Prepared,
    graph: JoinGraph,
    findings: Vec<Finding>,
    options: Options,
}

fn reviewed(patches: Vec<Surface>) -> Review {
    let options = Options::default();
    let prepared = Prepared::new(Import { model: model_of(patches), report: Report::default() });
    let mut graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, &mut Silent).unwrap();
    let findings = judged(&prepared, &mut graph, &Memo::default(), None, &options, &mut Silent);
    Review { prepared, graph, findings, options }
}

impl Review {
    fn of(&self, measure: MeasureId) -> Option<usize> {
        self.findings.iter().position(|f| f.measure == measure && f.severity != Severity::Good)
    }

    fn before(&self) -> Before<'_> {
        Before { prepared: &self.prepared, graph: &self.graph, findings: &self.findings, reference: None, options: &self.options }
    }

    fn tried(&self, edits: &[Edit], about: Option<usize>) -> super::Outcome {
        let mut trials = Trials::default();
        edits.iter().for_each(|e| trials.add("a trial", e.clone()));
        outcome(&self.before(), &trials, about, &mut Silent).unwrap()
    }
}

/// Shares of 8 mm by which control points stand off a plain crown.
const BUMPS: [f64; 5] = [0.06, -0.04, 0.02, 0.05, -0.03];

/// Two parts of one patch, the first with a control point of its row beside the join lifted by `by` mm.
fn broken(by: f64, bumps: &[f64]) -> Vec<Surface> {
    let whole = master(5, 5, 1, bumps, false);
    let a = whole.between(Direction::U, 0.0, 0.4).unwrap();
    let b = whole.between(Direction::U, 0.4, 1.0).unwrap();
    let (nu, nv) = a.size();
    let up = whole.derivs(0.4, 0.5, 1);
    let up = up.su.cross(up.sv).normalize();
    let lifted = (nu - 2) * nv + 2;
    let points = a.points().iter().enumerate().map(|(k, &p)| if k == lifted { p + up * by } else { p }).collect();
    vec![Surface::new(a.knots_u().clone(), a.knots_v().clone(), points, None).unwrap(), b]
}

#[test]
fn a_broken_join_is_mended_and_the_record_says_by_how_much() {
    let review = reviewed(broken(0.6, &BUMPS));
    let at = review.of(MeasureId::JoinTangent).expect("a break");
    let memo = Memo::default();
    let subject =
        Subject { sheets: review.prepared.sheets(), areas: &review.prepared.areas, graph: &review.graph, memo: &memo, reference: None };
    let all = remedies(&subject, &review.findings[at]).unwrap();
    let Edit::Conform(Conform { face, to, order, .. }) = all[0].edits[0] else { panic!("{:?}", all[0]) };
    assert_eq!((face, to), (FaceId::new(0), FaceId::new(1)));
    assert!(order >= Order::G1);
    let done = outcome(&review.before(), &all[0].upon(&Trials::default()), Some(at), &mut Silent).unwrap();
    assert_eq!(done.helps, Helps::Yes, "{}", done.sentence);
    assert!(done.sentence.starts_with("helps: \"Angle at a join\" is gone"), "{}", done.sentence);
    let fate = done.carried.iter().find(|c| c.earlier == Some(at)).unwrap();
    assert_eq!((fate.fate, fate.later), (Fate::Fixed, None));
    let join = done.joins.iter().find(|j| j.faces.len() == 2).unwrap();
    let (before, after) = (join.before.unwrap(), join.after.unwrap());
    assert!((before.angle.unwrap() - review.findings[at].value).abs() < 1e-12);
    assert!(after.angle.unwrap() < 1e-6 && after.gap.unwrap() < 1e-9, "{after:?}");
    assert!(done.deviations[0].from_new > 0.01 && done.deviations[0].from_new < 0.6);
    let record = serde_json::to_value(OutcomeRecord::new(&done, &review.findings)).unwrap();
    assert_eq!((record["helps"].as_str(), record["changed"][0].as_u64()), (Some("helps"), Some(0)));
    assert!(record["findings"]["fixed"].as_u64() >= Some(1) && record["joins"][0]["before"]["angle"].as_f64() > Some(0.1));
}

#[test]
fn what_does_not_help_or_breaks_something_else_is_said() {
    let review = reviewed(broken(0.6, &BUMPS));
    let at = review.of(MeasureId::JoinTangent);
    let drag = |face: usize, point: (usize, usize), by: f64| {
        Edit::Drag(Drag { face: FaceId::new(face), point, by: Vec3::new(0.0, 0.0, by), reach: (0, 0), locks: [Lock::Free; 4], twin: None })
    };
    // Far from the join: nothing becomes of it.
    let far = review.tried(&[drag(1, (5, 2), 1e-5)], at);
    assert_eq!(far.helps, Helps::No);
    assert!(far.sentence.starts_with("does not help: \"Angle at a join\" is at"), "{}", far.sentence);
    assert!(far.carried.iter().all(|c| c.fate == Fate::Same), "{:?}", far.carried);
    // An edit that cannot be made.
    let none = review.tried(&[Edit::Extend(Extend { face: FaceId::new(0), side: side(0), length: 1e5 })], at);
    assert_eq!((none.helps, none.joins.len()), (Helps::No, 0));
    assert!(none.sentence.contains("cannot be carried on so far"), "{}", none.sentence);
    // The join mended, and a control point pulled out of its row elsewhere.
    let conform = Edit::Conform(Conform {
        face: FaceId::new(0),
        side: side(1),
        to: FaceId::new(1),
        order: Order::G3,
        keep: Order::G0,
        search: 1.0,
        tolerance: 1e-3,
    });
    // One that cannot be made takes nothing from another that helps.
    let beside = review.tried(&[Edit::Extend(Extend { face: FaceId::new(0), side: side(0), length: 1e5 }), conform.clone()], at);
    assert_eq!(beside.helps, Helps::Yes, "{}", beside.sentence);
    assert!(beside.sentence.contains("is gone") && beside.sentence.contains("; one trial is not made: "), "{}", beside.sentence);
    let both = review.tried(&[conform, drag(1, (4, 2), 60.0)], at);
    assert_eq!(both.helps, Helps::Breaks, "{}", both.sentence);
    assert!(both.sentence.starts_with("helps here, but breaks something else: "), "{}", both.sentence);
}

#[test]
fn a_face_that_is_part_of_another_is_looked_for_there() {
    let review = reviewed(broken(0.0, &[0.0]));
    let at = review.of(MeasureId::LayoutSplit).expect("a needless cut");
    let memo = Memo::default();
    let subject =
        Subject { sheets: review.prepared.sheets(), areas: &review.prepared.areas, graph: &review.graph, memo: &memo, reference: None };
    let all = remedies(&subject, &review.findings[at]).unwrap();
    let done = review.tried(&all[0].edits, Some(at));
    assert_eq!(done.helps, Helps::Yes, "{}", done.sentence);
    assert_eq!((done.prepared.import.model.faces.len(), done.applied.origin.len()), (1, 1));
    // An edge without a rounding was told of both parts; that of the one patch is the same finding, not a new one.
    let edge = |f: &Finding| f.measure == MeasureId::EdgeExposed;
    let kept = done.carried.iter().find(|c| c.later.is_some_and(|i| edge(&done.findings[i]))).expect("still no rounding");
    let was = kept.earlier.map(|i| &review.findings[i]).expect("told before");
    assert!(edge(was) && was.faces.len() == 2 && kept.fate == Fate::Same, "{kept:?}");
    assert!(done.deviations[0].from_new < 1e-4 && done.deviations[0].from_old < 1e-4);
}
