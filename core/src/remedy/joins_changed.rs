//! The joins of changed faces, before and after.

use crate::joins::{Class, Join, JoinGraph, Order};
use crate::math::{Arrange, Point3, distinct};
use crate::model::FaceId;

/// What a join measures at most. None: applies nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JoinState {
    /// What it is.
    pub class: Class,
    /// The order asked of it.
    pub required: Order,
    /// Its length, mm.
    pub length: f64,
    /// Gap, mm.
    pub gap: Option<f64>,
    /// Angle, degrees.
    pub angle: Option<f64>,
    /// Curvature jump, 1/mm.
    pub curvature: Option<f64>,
    /// Curvature-slope jump, 1/mm².
    pub slope: Option<f64>,
}

/// A join of changed faces.
#[derive(Debug, Clone, PartialEq)]
pub struct JoinChange {
    /// Its faces, by their ids in the imported model, rising.
    pub faces: Vec<FaceId>,
    /// Half way along it, mm; where it is no more, where it was.
    pub mid: Point3,
    /// Its index among the joins before; None of a new one.
    pub was: Option<usize>,
    /// Its index among the joins now.
    pub index: Option<usize>,
    /// What it was; None of a new one.
    pub before: Option<JoinState>,
    /// What it is; None of one that is no more.
    pub after: Option<JoinState>,
}

impl JoinState {
    fn new(join: &Join) -> Self {
        let s = &join.summaries;
        let max = |x: Option<crate::joins::Summary>| x.map(|x| x.max.value);
        Self {
            class: join.class,
            required: join.required,
            length: join.length,
            gap: max(s.gap),
            angle: max(s.angle),
            curvature: max(s.curvature),
            slope: max(s.slope),
        }
    }
}

/// Joins of two faces, or of one with its mirror image, one of which has changed: those now in their order, then those that are no more.
/// `origin` gives the ids in the imported model of the faces now. Joins of the same faces belong together by what lies nearest.
pub(super) fn joins_changed(before: &JoinGraph, after: &JoinGraph, origin: &[FaceId], changed: &[FaceId]) -> Vec<JoinChange> {
    let told = |j: &&Join| !j.interior && (j.class.meets() || j.class == Class::Open);
    let touches = |faces: &[FaceId]| faces.iter().any(|f| changed.contains(f));
    let list = |graph: &JoinGraph, id: &dyn Fn(FaceId) -> FaceId| -> Vec<(usize, Vec<FaceId>)> {
        let all = graph.joins.iter().enumerate().filter(|(_, j)| told(j));
        all.map(|(i, j)| (i, distinct(j.faces.iter().map(|&f| id(f))))).filter(|x| touches(&x.1)).collect()
    };
    let was = list(before, &|f| f);
    let now = list(after, &|f| origin.get(f.index()).copied().unwrap_or(f));
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (a, (i, faces)) in was.iter().enumerate() {
        for (b, (j, _)) in now.iter().enumerate().filter(|(_, n)| n.1 == *faces) {
            pairs.push((before.joins[*i].mid.distance(after.joins[*j].mid), a, b));
        }
    }
    pairs.arrange_by(|x, y| x.0.total_cmp(&y.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    let (mut of_was, mut of_now) = (vec![None; was.len()], vec![None; now.len()]);
    for (_, a, b) in pairs {
        if of_was[a].is_none() && of_now[b].is_none() {
            (of_was[a], of_now[b]) = (Some(b), Some(a));
        }
    }
    let mut all = Vec::new();
    for (b, (j, faces)) in now.iter().enumerate() {
        let join = &after.joins[*j];
        let old = of_now[b].map(|a: usize| was[a].0);
        let state = old.map(|i| JoinState::new(&before.joins[i]));
        let after = Some(JoinState::new(join));
        all.push(JoinChange { faces: faces.clone(), mid: join.mid, was: old, index: Some(*j), before: state, after });
    }
    for ((i, faces), _) in was.iter().zip(&of_was).filter(|(_, now)| now.is_none()) {
        let join = &before.joins[*i];
        let state = Some(JoinState::new(join));
        all.push(JoinChange { faces: faces.clone(), mid: join.mid, was: Some(*i), index: None, before: state, after: None });
    }
    all
}
