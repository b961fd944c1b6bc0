//! Gaps and edges, sound and broken once by a known amount: exactly one finding of its kind, and its size.

use super::broken_once::all_findings;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::gap::built::{Line, flat_panel, rolled, shifted};
use crate::joins::arrangements::{model_of, tilted};
use crate::math::real;
use crate::model::Model;

/// Two panels with rolled edges of radii `r` and `q` and flanges, and the outermost line of the second; the second one raised.
fn pair(line: Line, (r, q): (f64, f64), raised: f64) -> Model {
    let f = tilted();
    let up = crate::math::Frame { origin: f.point(0.0, 0.0, raised), ..f };
    let edges = (shifted((0.0, 0.0), -r), shifted(line, q));
    let mut patches = vec![flat_panel(&f, (-120.0, -120.0), edges.0), flat_panel(&up, edges.1, (100.0, 100.0))];
    patches.extend(rolled(&f, edges.0, 1.0, r, 11.0));
    patches.extend(rolled(&up, edges.1, -1.0, q, 11.0));
    model_of(patches)
}

fn of(model: &Model, kind: &str) -> Vec<Finding> {
    let all = all_findings(model, Zone::Visible, &Yardstick::default());
    all.into_iter().filter(|f| f.measure.text().starts_with(kind)).collect()
}

#[test]
fn a_sound_gap_gives_nothing() {
    let found = of(&pair((3.5, 3.5), (1.5, 1.5), 0.0), "gap.");
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_gap_broken_once_gives_that_finding_and_its_size() {
    let change = 200.0 * real::tan(0.5 * real::atan(0.006));
    let cases = [
        (pair((4.3, 4.3), (1.5, 1.5), 0.0), MeasureId::GapWidth, 0.8, Severity::Polish),
        (pair((1.7, 1.7), (1.5, 1.5), 0.0), MeasureId::GapWidth, 1.8, Severity::Fix),
        (pair((3.5, 3.5), (1.5, 1.5), 0.7), MeasureId::GapFlush, 0.7, Severity::Polish),
        (pair((3.5, 3.5), (1.5, 1.5), -1.2), MeasureId::GapFlush, 1.2, Severity::Fix),
        (pair((3.5, 3.5), (1.5, 1.5), 2.3), MeasureId::GapFlush, 2.3, Severity::Serious),
        (pair((3.2, 3.9), (1.5, 1.5), 0.0), MeasureId::GapParallel, 0.0, Severity::Good),
        (pair((2.9, 4.1), (1.5, 1.5), 0.0), MeasureId::GapParallel, change, Severity::Polish),
        (pair((3.5, 3.5), (1.5, 0.4), 0.0), MeasureId::GapEdgeRadius, 0.4, Severity::Polish),
        (pair((3.5, 3.5), (0.25, 1.5), 0.0), MeasureId::GapEdgeRadius, 0.25, Severity::Fix),
    ];
    for (model, measure, size, severity) in cases {
        // A drift moves the width a little off what is meant as well.
        let found: Vec<Finding> =
            of(&model, "gap.").into_iter().filter(|f| measure != MeasureId::GapParallel || f.measure == measure).collect();
        if severity == Severity::Good {
            assert!(found.is_empty(), "{measure:?} {size}: {found:#?}");
            continue;
        }
        let [one] = found.as_slice() else { panic!("{measure:?} {size}: {found:#?}") };
        assert_eq!((one.measure, one.severity), (measure, severity), "{one:#?}");
        assert!((one.value - size).abs() <= 5e-3 * size, "{measure:?}: {} against {size}", one.value);
        assert!(one.extent > 190.0 && one.extent <= 200.5 && !one.drawn.is_empty() && !one.faces.is_empty(), "{one:#?}");
    }
}

/// Bare outlines have no rounding; how their edges will be made the model does not say.
#[test]
fn bare_edges_of_a_gap_are_worth_a_polish() {
    let f = tilted();
    let model = model_of(vec![flat_panel(&f, (-120.0, -120.0), (0.0, 0.0)), flat_panel(&f, (3.5, 3.5), (100.0, 100.0))]);
    let found = of(&model, "gap.");
    assert_eq!(found.len(), 2, "{found:#?}");
    for (n, one) in found.iter().enumerate() {
        assert_eq!((one.measure, one.severity, one.value), (MeasureId::GapEdgeRadius, Severity::Polish, 0.0));
        assert_eq!(one.faces.iter().map(|f| f.index()).collect::<Vec<_>>(), [n]);
        assert!(one.remedy.contains("regulations"));
    }
}
