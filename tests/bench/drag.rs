//! A step of a drag, natively: the trials read and made, the patch meshed and packed, its joins, the strip's numbers and a trace.

use super::grid;
use super::sample::{RUNS, best, median, timed};
use super::table::Row;
use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::exchange::{self, Limits};
use rakelight_core::geometry::Surface;
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::progress::Silent;
use rakelight_core::remedy::Tried;
use rakelight_core::review::{JoinTrace, Prepared};
use rakelight_core::tessellate::Tolerance;
use rakelight_core::trial::{Trials, sheet};
use rakelight_web::session::pack_face;

/// Steps of a drag.
pub const STEPS: usize = 50;

/// ms that a step may take.
const BAR: f64 = 16.0;

struct Open {
    prepared: Prepared,
    graph: JoinGraph,
    tolerance: Tolerance,
    options: Options,
}

impl Open {
    fn new(text: &str) -> Self {
        let import = exchange::read(text.as_bytes(), "drag.stp", &Limits::default(), &mut Silent).expect("a model");
        let (prepared, options) = (Prepared::new(import), Options::default());
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options, &mut Silent).expect("joins");
        let tolerance = Tolerance::for_model(&prepared.import.model);
        Self { prepared, graph, tolerance, options }
    }

    fn made(&self, text: &str) -> Tried {
        let trials = Trials::from_text(text, self.prepared.import.model.faces.len()).expect("trials");
        let tried = Tried::new(&self.prepared, &self.graph, &trials, &self.options);
        assert!(tried.applied.failures.is_empty() && !tried.joins.is_empty(), "{:?}", tried.applied.failures);
        tried
    }

    fn packed(&self, tried: &Tried) -> usize {
        let id = tried.applied.changed[0];
        let mesh = tried.mesh(id, &self.tolerance, self.tolerance.chord).expect("a mesh");
        let place = tried.applied.face(id).and_then(|place| tried.applied.model.face(place)).expect("a face");
        pack_face(place, &mesh, false).write().len()
    }

    fn traced(&self, tried: &Tried) -> JoinTrace {
        let join = tried.joins.iter().find_map(|j| j.index).expect("a join");
        JoinTrace::new(&tried.graph, join, &self.options.floors).expect("a trace")
    }

    /// A spline face that ends where its patch does, or one that does not, and a control point well inside.
    fn face(&self, whole: bool) -> Option<(usize, (usize, usize))> {
        let model = &self.prepared.import.model;
        model.faces().find_map(|(id, face)| {
            let (patch, ends) = sheet(model, id).ok().filter(|_| matches!(face.surface, Surface::Nurbs(_)))?;
            let (rows, columns) = patch.size();
            (ends == whole && rows > 4 && columns > 4).then_some((id.index(), (rows / 2, columns / 2)))
        })
    }

    /// ms of a whole step, and of its parts.
    fn step(&self, text: &str) -> [f64; 4] {
        let mut tried = None;
        let made = timed(|| tried = Some(self.made(text)));
        let tried = tried.expect("made");
        let (packed, traced) = (timed(|| self.packed(&tried)), timed(|| self.traced(&tried)));
        [made + packed + traced, made, packed, traced]
    }

    /// The best of some drags, each told by its middle step.
    fn dragged(&self, face: usize, point: (usize, usize)) -> [f64; 4] {
        let texts: Vec<String> = (0..STEPS).map(|step| grid::trials(face, point, step)).collect();
        let drags: Vec<Vec<[f64; 4]>> = (0..RUNS).map(|_| texts.iter().map(|text| self.step(text)).collect()).collect();
        std::array::from_fn(|part| best(drags.iter().map(|drag| median(drag.iter().map(|took| took[part]).collect()))))
    }
}

/// The rows of a drag: a whole step, and its parts.
pub fn rows() -> Vec<Row> {
    let [whole, made, packed, traced] = Open::new(&grid::step()).dragged(grid::MIDDLE, (3, 3));
    let mut rows = vec![
        Row::ms("a step of a drag, native / what it may take", whole, BAR, 1.0),
        Row::told("  edit and joins", made, "ms"),
        Row::told("  mesh and packet", packed, "ms"),
        Row::told("  trace", traced, "ms"),
    ];
    let demo = Open::new(&bramble::step(Revision::A));
    for (what, whole) in [("the same in the demo, a whole patch", true), ("the same in the demo, a trimmed patch", false)] {
        rows.extend(demo.face(whole).map(|(face, point)| Row::told(what, demo.dragged(face, point)[0], "ms")));
    }
    rows
}
