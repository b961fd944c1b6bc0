//! The demo judged under other limits than those its joins were found with.

use crate::demo::bramble::{Revision, model};
use crate::exchange::Import;
use crate::joins::{Class, JoinGraph, Options, Order, Reach};
use crate::math::Point3;
use crate::progress::Silent;
use crate::review::Prepared;

/// Joins between faces, as judged; knot lines are left out, since the limits decide on them when they are looked for.
fn told(graph: &JoinGraph) -> Vec<(Class, Order, Point3)> {
    graph.joins.iter().filter(|j| !j.interior).map(|j| (j.class, j.required, j.mid)).collect()
}

/// The reference is the search itself: joins found under other limits have the classes that judging anew gives.
#[test]
fn judging_anew_is_what_finding_anew_would_say() {
    let prepared = Prepared::new(Import { model: model(Revision::A), report: Default::default() });
    let found = |reach| {
        let options = Options { reach, ..Options::default() };
        JoinGraph::find(&prepared.sheets(), &prepared.areas, &options, &mut Silent).unwrap()
    };
    let first = found(Reach::default());
    let wide = Reach { gap: 0.2, angle: 1.0, curvature: 0.5, slope: 2.0, ..Reach::default() };
    let strict = Reach { gap: 1e-9, angle: 1e-9, curvature: 1e-9, slope: 1e-9, ..Reach::default() };
    let mut changed = 0;
    for reach in [wide, strict, Reach { curvature: 0.01, ..Reach::default() }] {
        let mut again = first.clone();
        again.reclass(&prepared.sheets(), &reach);
        assert_eq!(told(&again), told(&found(reach)), "{reach:?}");
        changed += told(&again).iter().zip(told(&first)).filter(|(a, b)| **a != *b).count();
        // Back again, as an undo is.
        again.reclass(&prepared.sheets(), &Reach::default());
        assert_eq!(again.joins, first.joins);
    }
    assert!(changed > 20, "{changed} joins changed class");
}
