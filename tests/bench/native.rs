//! A file read, meshed, packed and joined natively, as the page's worker does it, on one thread.

use super::sample::RUNS;
use rakelight_core::exchange;
use rakelight_core::finding::Finding;
use rakelight_core::joins::JoinGraph;
use rakelight_core::measure::Memo;
use rakelight_core::progress::Silent;
use rakelight_core::review::{Options, Prepared, judged};
use rakelight_core::tessellate::{Tolerance, stream};
use rakelight_web::session::pack_face;
use std::path::Path;
use std::time::Instant;

/// Times, ms, and what came of it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Opened {
    /// Bytes to a model with its domains.
    pub import: f64,
    /// Faces to packets.
    pub tessellate: f64,
    /// Borders to joins.
    pub joins: f64,
    /// Joins and faces to findings.
    pub grade: f64,
    /// Number of faces.
    pub faces: usize,
    /// Number of triangles.
    pub triangles: usize,
    /// Largest distance of a triangle from its surface, mm.
    pub deviation: f64,
}

impl Opened {
    /// Import, meshes and joins.
    pub fn all(&self) -> f64 {
        self.import + self.tessellate + self.joins
    }
}

/// The best of some runs over a file, each part by itself. `limits`: chord, mm, and angle; the usual ones if there are none.
pub fn open(path: &Path, limits: Option<(f64, f64)>) -> Opened {
    let bytes = std::fs::read(path).expect("a file");
    let runs: Vec<Opened> = (0..RUNS).map(|_| once(&bytes, &super::files::name(path), limits, false)).collect();
    let best = |of: fn(&Opened) -> f64| runs.iter().map(of).fold(f64::INFINITY, f64::min);
    Opened { import: best(|o| o.import), tessellate: best(|o| o.tessellate), joins: best(|o| o.joins), ..runs[0] }
}

/// One run; `judge`: to the findings, which is long.
pub fn once(bytes: &[u8], name: &str, limits: Option<(f64, f64)>, judge: bool) -> Opened {
    let options = Options::default();
    let (mut result, start) = (Opened::default(), Instant::now());
    let mut last = 0.0;
    let mut lap = || {
        let now = start.elapsed().as_secs_f64() * 1e3;
        now - std::mem::replace(&mut last, now)
    };
    let import = exchange::read(bytes, name, &options.limits, &mut Silent).expect("a model");
    let prepared = Prepared::new(import);
    result.import = lap();
    let model = &prepared.import.model;
    let usual = Tolerance::for_model(model);
    let tolerance = limits.map_or(usual, |(chord, angle)| Tolerance { chord, angle, ..usual });
    stream(model, &prepared.domains, &tolerance, &mut Silent, |id, mesh| {
        if let (Ok(mesh), Some(face)) = (mesh, model.face(id)) {
            result.triangles += mesh.triangles.len();
            result.deviation = result.deviation.max(mesh.deviation);
            std::hint::black_box(pack_face(face, &mesh, false).write());
        }
    });
    result.tessellate = lap();
    let mut graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, &mut Silent).expect("joins");
    result.joins = lap();
    if judge {
        let findings: Vec<Finding> = judged(&prepared, &mut graph, &Memo::default(), None, &options, &mut Silent);
        std::hint::black_box(findings);
        result.grade = lap();
    }
    Opened { faces: model.faces.len(), ..result }
}
