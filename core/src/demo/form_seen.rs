//! What colours by form need, asked of the demo.

use super::bramble::{Revision, model};
use crate::exchange::Import;
use crate::geometry::Form;
use crate::joins::{JoinGraph, Options, contrasting};
use crate::progress::{Progress, Silent, Stage};
use crate::review::{FORM_SHARES, Prepared, form_ranges};

struct Stop;

impl Progress for Stop {
    fn report(&mut self, _: Stage, _: usize, _: usize) {}
    fn cancelled(&self) -> bool {
        true
    }
}

/// Of the demo it is known that most of its skin is domed, that its hollows are lips and flanges, and what its fillets' radii are.
#[test]
fn the_demo_is_domed_for_the_most_part() {
    let prepared = Prepared::new(Import { model: model(Revision::A), report: Default::default() });
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).unwrap();
    let ranges = form_ranges(&prepared, &graph, &mut Silent).unwrap();
    for form in Form::ALL {
        let all = &ranges[&form];
        assert_eq!(all.len(), FORM_SHARES);
        assert!(all.windows(2).all(|w| w[0] <= w[1]), "{form:?}");
    }
    let median = |form: Form| ranges[&form][50];
    assert!(median(Form::Max) > 1e-4 && median(Form::Mean) > 0.0, "{} {}", median(Form::Max), median(Form::Mean));
    assert!(ranges[&Form::Radius][0] > 0.5 && ranges[&Form::Radius][0] < 10.0, "{}", ranges[&Form::Radius][0]);
    // Fillets of a few mm are in the radii and do not set the range of the panels' curvatures.
    let (low, high) = (ranges[&Form::Gaussian][2], ranges[&Form::Gaussian][98]);
    assert!(low.abs().max(high.abs()) < 1e-4, "{low} to {high}");
    assert!(form_ranges(&prepared, &graph, &mut Stop).is_none());
}

#[test]
fn neighbours_are_told_apart() {
    let prepared = Prepared::new(Import { model: model(Revision::A), report: Default::default() });
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).unwrap();
    let classes = contrasting(&graph, prepared.areas.len());
    assert_eq!(classes.len(), prepared.areas.len());
    let mut pairs = 0;
    for join in graph.joins.iter().filter(|j| j.faces.len() == 2 && j.faces[0] != j.faces[1]) {
        assert_ne!(classes[join.faces[0].index()], classes[join.faces[1].index()]);
        pairs += 1;
    }
    assert!(pairs > 20 && classes.contains(&2));
}
