//! A step of a drag, natively: the trials read and made, the patch meshed and packed, its joins, the strip's numbers and a trace.

use super::grid;
use super::sample::{RUNS, best, median, timed};
use super::table::Row;
use rakelight_core::exchange::{self, Limits};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::model::FaceId;
use rakelight_core::progress::Silent;
use rakelight_core::remedy::Tried;
use rakelight_core::review::{JoinTrace, Prepared};
use rakelight_core::tessellate::Tolerance;
use rakelight_core::trial::Trials;
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
    fn new() -> Self {
        let import = exchange::read(grid::step().as_bytes(), "grid.stp", &Limits::default(), &mut Silent).expect("a model");
        let (prepared, options) = (Prepared::new(import), Options::default());
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options, &mut Silent).expect("joins");
        let tolerance = Tolerance::for_model(&prepared.import.model);
        Self { prepared, graph, tolerance, options }
    }

    fn made(&self, text: &str) -> Tried {
        let trials = Trials::from_text(text, self.prepared.import.model.faces.len()).expect("trials");
        Tried::new(&self.prepared, &self.graph, &trials, &self.options)
    }

    fn packed(&self, tried: &Tried) -> usize {
        let id = FaceId::new(grid::MIDDLE);
        let mesh = tried.mesh(id, &self.tolerance, self.tolerance.chord).expect("a mesh");
        let place = tried.applied.face(id).and_then(|place| tried.applied.model.face(place)).expect("a face");
        pack_face(place, &mesh, false).write().len()
    }

    fn traced(&self, tried: &Tried) -> JoinTrace {
        let join = tried.joins.iter().find_map(|j| j.index).expect("a join");
        JoinTrace::new(&tried.graph, join, &self.options.floors).expect("a trace")
    }
}

/// The rows of a drag: a whole step, and its parts.
pub fn rows() -> Vec<Row> {
    let open = Open::new();
    let steps: Vec<String> = (0..STEPS).map(grid::trials).collect();
    let mut told: [Vec<f64>; 4] = std::array::from_fn(|_| Vec::new());
    for _ in 0..RUNS {
        let mut parts: [Vec<f64>; 4] = std::array::from_fn(|_| Vec::new());
        for text in &steps {
            let mut tried = None;
            let made = timed(|| tried = Some(open.made(text)));
            let tried = tried.expect("made");
            assert!(
                tried.applied.failures.is_empty() && tried.joins.len() == 4,
                "{:?}, {} joins",
                tried.applied.failures,
                tried.joins.len()
            );
            let packed = timed(|| open.packed(&tried));
            let traced = timed(|| open.traced(&tried));
            for (part, took) in parts.iter_mut().zip([made + packed + traced, made, packed, traced]) {
                part.push(took);
            }
        }
        told.iter_mut().zip(parts).for_each(|(all, one)| all.push(median(one)));
    }
    let names = ["a step of a drag, native", "  edit and joins", "  mesh and packet", "  trace"];
    let row = |(name, took): (&str, Vec<f64>)| Row { what: name.into(), took: best(took), bar: None };
    let mut rows: Vec<Row> = names.into_iter().zip(told).map(row).collect();
    rows[0].bar = Some(BAR);
    rows
}
