//! Trials over the open model, as the page takes them: what they did, and STEP.

use super::trial_faces::send;
use super::trial_lines::lines;
use super::{Open, Session, plain};
use js_sys::{Array, Function, Reflect};
use rakelight_core::exchange::write::StepOptions;
use rakelight_core::finding::Finding;
use rakelight_core::joins::Floors;
use rakelight_core::model::{FaceId, Model};
use rakelight_core::progress::Silent;
use rakelight_core::remedy::{Before, JoinChange, JoinState, Remedy, Tried, outcome, remedies};
use rakelight_core::review::JoinTrace;
use rakelight_core::review::revision::{Carried, Fate};
use rakelight_core::trial::{Applied, Change, Seam, Trials};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What the page wants beside the faces.
#[derive(Deserialize)]
struct Wish {
    /// The face whose net is shown.
    face: Option<usize>,
    /// Row and column of a control point of it.
    point: Option<(usize, usize)>,
    /// The join whose trace is shown.
    join: Option<usize>,
}

/// What came of trials.
#[derive(Serialize)]
struct Told {
    changes: Vec<ChangeTold>,
    failures: Vec<FailureTold>,
    joins: Vec<JoinTold>,
    net: Option<Net>,
    trace: Option<JoinTrace>,
}

#[derive(Serialize)]
struct FailureTold {
    trial: usize,
    why: String,
}

/// mm, and what is left of a join by order.
#[derive(Serialize)]
struct ChangeTold {
    trial: usize,
    faces: Vec<usize>,
    points: Option<usize>,
    rows: usize,
    largest: Option<f64>,
    residual: f64,
    seam: Option<SeamTold>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct SeamTold {
    g0: f64,
    g1: Option<f64>,
    g2: Option<f64>,
    g3: Option<f64>,
}

/// The largest measures of a join, before and after; null where it has none or is not there.
#[derive(Serialize)]
struct JoinTold {
    /// Its id in the import; null of a new one.
    join: Option<usize>,
    faces: Vec<usize>,
    g0: [Option<f64>; 2],
    g1: [Option<f64>; 2],
    g2: [Option<f64>; 2],
    g3: [Option<f64>; 2],
}

/// What trials do to the review.
#[derive(Serialize)]
struct OutcomeTold<'a> {
    helps: &'static str,
    sentence: &'a str,
    off: Vec<[f64; 2]>,
    findings: Vec<FateTold>,
}

/// What became of a finding.
#[derive(Serialize)]
struct FateTold {
    fate: &'static str,
    measure: &'static str,
    faces: Vec<usize>,
    before: Option<f64>,
    after: Option<f64>,
}

#[derive(Serialize)]
struct RemediesTold {
    remedies: Vec<RemedyTold>,
    why: Option<String>,
}

#[derive(Serialize)]
struct RemedyTold {
    name: String,
    edits: Vec<String>,
}

/// A face's net as the trials leave it: control points by rows along v, flat, mm.
#[derive(Serialize)]
struct Net {
    face: usize,
    rows: usize,
    columns: usize,
    points: Vec<f64>,
    at: Option<NetPlace>,
}

/// A control point: where it is, and unit vectors along which it can be moved.
#[derive(Serialize)]
struct NetPlace {
    row: usize,
    column: usize,
    point: [f64; 3],
    normal: [f64; 3],
    u: [f64; 3],
    v: [f64; 3],
}

#[wasm_bindgen]
impl Session {
    /// Makes trials, a list as review files have it, in JSON: {changes, failures, joins, net, trace, lines: [before, after]}, `trial_lines.rs`.
    /// `wish`: {face, point: [row, column]} of the net that is wanted, {join} of the trace, or nulls. `on_face(id, packet, original)` for
    /// each changed face; `original`: as it came, null where it was given before.
    ///
    /// # Errors
    /// With the entry that is wrong.
    pub fn try_trials(&mut self, trials: &str, wish: JsValue, on_face: &Function) -> Result<JsValue, JsValue> {
        let wish: Wish = serde_wasm_bindgen::from_value(wish)?;
        let open = self.open.as_ref().ok_or("no file is open")?;
        let trials = read(open, trials)?;
        let tried = Tried::new(&open.prepared, &open.graph, &trials, &self.options.joins);
        let applied = &tried.applied;
        send(&tried, open, &mut self.shown_before, on_face)?;
        let mut joins: Vec<JoinTold> = tried.joins.iter().map(joined).collect();
        rakelight_core::math::Arrange::arrange_by(joins.as_mut_slice(), |a, b| apart(b).total_cmp(&apart(a)));
        let floors = &self.options.joins.floors;
        let told = plain(&Told {
            changes: applied.changes.iter().map(change).collect(),
            failures: applied.failures.iter().map(|f| FailureTold { trial: f.trial, why: f.error.to_string() }).collect(),
            joins,
            net: wish.face.and_then(|f| net(&open.prepared.import.model, applied, FaceId::new(f), wish.point)),
            trace: wish.join.and_then(|join| trace(&tried, join, floors)),
        })?;
        let drawn = Array::new();
        for (graph, at) in [(&open.graph, (|j| j.was) as fn(&JoinChange) -> Option<usize>), (&tried.graph, |j| j.index)] {
            let some: Vec<_> = tried.joins.iter().filter_map(|j| graph.joins.get(at(j)?)).collect();
            drawn.push(&lines(&some, floors)?.into());
        }
        Reflect::set(&told, &"lines".into(), &drawn)?;
        self.tried = Some(tried);
        Ok(told)
    }

    /// What trials do to the review, by the limits last graded by: {helps, sentence, off: [[mm, mm back] of each change], findings: [{fate,
    /// measure, faces, before, after}]}, those that stay as they are left out. `about`: index of the finding that they are to mend.
    ///
    /// # Errors
    /// As [`Session::try_trials`].
    pub fn trial_outcome(&self, trials: &str, about: Option<usize>) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let (prepared, graph, findings) = (&open.prepared, &open.graph, open.findings.as_slice());
        let before = Before { prepared, graph, findings, reference: open.reference.as_ref(), options: &self.options };
        let found = outcome(&before, &read(open, trials)?, about, &mut Silent).map_err(|_| "cancelled")?;
        let known = |f: &Finding| f.faces.iter().map(|f| f.index()).collect();
        let origin = |f: &Finding| f.faces.iter().filter_map(|f| found.applied.origin.get(f.index())).map(|f| f.index()).collect();
        let fate = |c: &Carried| {
            let (was, now) = (c.earlier.and_then(|i| findings.get(i)), c.later.and_then(|i| found.findings.get(i)));
            let one = was.or(now)?;
            Some(FateTold {
                fate: c.fate.text(),
                measure: one.measure.text(),
                faces: was.map(known).or(now.map(origin))?,
                before: was.map(|f| f.value),
                after: now.map(|f| f.value),
            })
        };
        plain(&OutcomeTold {
            helps: found.helps.text(),
            sentence: &found.sentence,
            off: found.deviations.iter().map(|d| [d.from_new, d.from_old]).collect(),
            findings: found.carried.iter().filter(|c| c.fate != Fate::Same).filter_map(fate).collect(),
        })
    }

    /// Trials that would carry out the remedy of a finding: {remedies: [{name, edits: their JSON}], why}, the likeliest first, or why there
    /// are none.
    pub fn remedies(&self, finding: usize) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let finding = open.findings.get(finding).ok_or("no such finding")?;
        let (all, why) = match remedies(&open.subject(), finding) {
            Ok(all) => (all, None),
            Err(none) => (Vec::new(), Some(none.why)),
        };
        let remedy = |r: Remedy| RemedyTold { name: r.name, edits: r.edits.iter().map(|e| e.to_json().to_string()).collect() };
        plain(&RemediesTold { remedies: all.into_iter().map(remedy).collect(), why })
    }

    /// The faces that trials change, or the whole model with them, as STEP.
    ///
    /// # Errors
    /// As [`Session::try_trials`].
    pub fn trial_file(&self, trials: &str, whole: bool) -> Result<String, JsValue> {
        let open = self.opened()?;
        let applied = read(open, trials)?.apply(&open.prepared.import.model);
        let options = StepOptions { file_name: open.name.clone(), ..StepOptions::default() };
        Ok(if whole { applied.step(&options) } else { applied.step_of_changed(&options) }.text)
    }
}

/// The trace that a join of the import has now.
fn trace(tried: &Tried, join: usize, floors: &Floors) -> Option<JoinTrace> {
    let trace = JoinTrace::new(&tried.graph, tried.join_now(join)?, floors)?;
    Some(JoinTrace { join, ..trace })
}

fn read(open: &Open, trials: &str) -> Result<Trials, JsValue> {
    Ok(Trials::from_text(trials, open.prepared.import.model.faces.len()).map_err(|e| e.to_string())?)
}

fn change(c: &Change) -> ChangeTold {
    let seam = |s: Seam| SeamTold { g0: s.gap, g1: s.angle, g2: s.curvature, g3: s.slope };
    ChangeTold {
        trial: c.trial,
        faces: c.faces.iter().map(|f| f.index()).collect(),
        points: c.moved.points,
        rows: c.moved.rows,
        largest: c.moved.largest,
        residual: c.moved.residual,
        seam: c.moved.seam.map(seam),
        notes: c.moved.notes.clone(),
    }
}

fn joined(j: &JoinChange) -> JoinTold {
    let largest = |s: &JoinState| [s.gap, s.angle, s.curvature, s.slope];
    let [a, b] = [&j.before, &j.after].map(|s| s.as_ref().map_or([None; 4], largest));
    let [g0, g1, g2, g3] = std::array::from_fn(|i| [a[i], b[i]]);
    JoinTold { join: j.was, faces: j.faces.iter().map(|f| f.index()).collect(), g0, g1, g2, g3 }
}

/// By how many times the measures of a join differ.
fn apart(join: &JoinTold) -> f64 {
    // Below these, in mm, degrees and their reciprocals, nothing is seen.
    let times =
        |[a, b]: [Option<f64>; 2], least: f64| a.zip(b).map_or(0.0, |(a, b)| ((a + least) / (b + least)).max((b + least) / (a + least)));
    times(join.g0, 1e-3).max(times(join.g1, 1e-2)).max(times(join.g2, 1e-5)).max(times(join.g3, 1e-7))
}

fn net(model: &Model, applied: &Applied, id: FaceId, point: Option<(usize, usize)>) -> Option<Net> {
    let patch = applied.patch(model, id).ok()?;
    let (rows, columns) = patch.size();
    let at = point.filter(|p| p.0 < rows && p.1 < columns).map(|(row, column)| {
        let (u, v) = (patch.knots_u().greville()[row], patch.knots_v().greville()[column]);
        let d = patch.derivs(u, v, 1);
        let unit = |w: rakelight_core::math::Vec3| w.normalize_or_zero().to_array();
        let p = patch.points()[row * columns + column];
        NetPlace { row, column, point: p.to_array(), normal: unit(d.su.cross(d.sv)), u: unit(d.su), v: unit(d.sv) }
    });
    Some(Net { face: id.index(), rows, columns, points: patch.points().iter().flat_map(|p| p.to_array()).collect(), at })
}
