//! What is looked for near the changed faces alone is what a search of the whole model finds there.

use super::Tried;
use crate::exchange::{Import, Report};
use crate::joins::arrangements::{master, model_of};
use crate::joins::{Class, Join, JoinGraph, Options, Order};
use crate::math::Vec3;
use crate::model::FaceId;
use crate::nurbs::{Direction, Surface};
use crate::progress::Silent;
use crate::review::{JoinTrace, Prepared};
use crate::trial::{Drag, Edit, Lock, Merge, Trials};

/// Three by three parts of a patch, the middle column cut elsewhere than its neighbours, so that borders meet in corners of three faces.
fn patches() -> Vec<Surface> {
    let whole = master(5, 5, 1, &[0.06, -0.04, 0.02, 0.05, -0.03], false);
    let mut all = Vec::new();
    for (column, cuts) in [[0.0, 0.3, 0.6, 1.0], [0.0, 0.4, 0.7, 1.0], [0.0, 0.3, 0.6, 1.0]].into_iter().enumerate() {
        let ends = [0.0, 0.35, 0.65, 1.0];
        let strip = whole.between(Direction::U, ends[column], ends[column + 1]).unwrap();
        all.extend(cuts.windows(2).map(|c| strip.between(Direction::V, c[0], c[1]).unwrap()));
    }
    all
}

fn pull(face: usize, by: f64, lock: Lock) -> Edit {
    let locks = [lock; 4];
    Edit::Drag(Drag { face: FaceId::new(face), point: (2, 3), by: Vec3::new(0.1, 0.2, 1.0) * by, reach: (4, 4), locks, twin: None })
}

#[test]
fn joins_near_changed_faces_are_those_of_the_whole_model() {
    let prepared = Prepared::new(Import { model: model_of(patches()), report: Report::default() });
    let options = Options::default();
    let before = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options, &mut Silent).unwrap();
    let mut kinds = Vec::new();
    // Shut, within the search distance, gaping, apart; the corner patch, and two patches at once; a patch made of two.
    let merge = Edit::Merge(Merge { faces: [FaceId::new(0), FaceId::new(1)], tolerance: 1e-3, search: 0.5 });
    let lists = [
        vec![pull(4, 4.0, Lock::Held(Order::G0))],
        vec![pull(4, 0.3, Lock::Free)],
        vec![pull(4, 1.5, Lock::Free)],
        vec![pull(4, 9.0, Lock::Free)],
        vec![pull(0, 0.2, Lock::Free)],
        vec![pull(3, 0.2, Lock::Free), pull(7, -1.5, Lock::Free)],
        vec![merge],
    ];
    for edits in lists {
        let mut trials = Trials::default();
        edits.into_iter().for_each(|e| trials.add("", e));
        let tried = Tried::new(&prepared, &before, &trials, &options);
        assert!(tried.applied.failures.is_empty(), "{:?}", tried.applied.failures);
        let now = Prepared::new(Import { model: tried.applied.model.clone(), report: Report::default() });
        let whole = JoinGraph::find(&now.sheets(), &now.areas, &options, &mut Silent).unwrap();
        let changed = |j: &&Join| j.faces.iter().any(|f| tried.applied.changed.contains(&tried.applied.origin[f.index()]));
        let wanted: Vec<&Join> = whole.joins.iter().filter(changed).collect();
        let told = |j: &Join| (j.faces.clone(), j.class, j.length, j.mid, j.summaries, j.stations.len(), j.required);
        let (got, want): (Vec<_>, Vec<_>) = (tried.graph.joins.iter().map(told).collect(), wanted.iter().map(|j| told(j)).collect());
        assert_eq!(got, want);
        assert_eq!(tried.joins.iter().filter(|j| j.after.is_some()).count(), got.iter().filter(|j| j.1 != Class::Outline).count());
        kinds.extend(got.iter().map(|j| j.1));
        for change in &tried.joins {
            let now = change.was.and_then(|was| tried.join_now(was));
            assert_eq!(now.is_some(), change.was.is_some() && change.index.is_some());
            let trace = now.and_then(|join| JoinTrace::new(&tried.graph, join, &options.floors));
            assert_eq!(trace.is_some(), now.is_some());
        }
    }
    for class in [Class::G0, Class::Open, Class::Outline] {
        assert!(kinds.contains(&class), "{class:?} among {kinds:?}");
    }
}
