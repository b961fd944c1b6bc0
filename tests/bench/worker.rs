//! A file opened by the packed site's own worker, in Chromium.

use super::files;
use rakelight_tests::{browser, site};
use serde_json::{Value, json};
use std::path::Path;

/// Runs in a page of the site without the inspector, whose pictures would be drawn meanwhile.
const PAGE: &str = include_str!("worker_page.js");

/// What it took, ms, and what came of it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Opened {
    /// The text alone.
    pub read: f64,
    /// Bytes to a model, reading included.
    pub import: f64,
    /// Faces to packets.
    pub tessellate: f64,
    /// Borders to joins.
    pub joins: f64,
    /// From the message with the bytes to the last answer, findings included.
    pub all: f64,
    /// Bytes of the module's memory at its largest.
    pub memory: f64,
}

impl Opened {
    /// Import, meshes and joins.
    pub fn sum(&self) -> f64 {
        self.import + self.tessellate + self.joins
    }
}

/// The best of `runs` fresh workers over a file, each part by itself; None where it was not opened. `limits`: chord, mm, and angle, radians.
/// `grade`: to the findings, which is long.
pub fn open(path: &Path, limits: Option<(f64, f64)>, runs: usize, grade: bool) -> Option<Opened> {
    let server = site::serve("", Some(path));
    let page = browser::page();
    page.go(&format!("{}notices.txt", server.folder()));
    let (_, query) = server.page().split_once("?open=").map(|(_, q)| ((), q.replace("%25", "%"))).unwrap_or_default();
    let mut reading = json!({"unit": null, "hidden": false, "search": null, "plane": null});
    if let Some((chord, angle)) = limits {
        (reading["chord"], reading["angle"]) = (chord.into(), angle.into());
    }
    let asked = json!({"address": format!("{}{query}", server.folder()), "name": files::name(path), "reading": reading, "grade": grade});
    let mut best: Option<Opened> = None;
    for _ in 0..runs {
        page.ask(&format!(
            "globalThis.told = null; ({PAGE})({asked}).then((t) => {{ told = t; }}, (e) => {{ told = {{ failed: String(e) }}; }}); 0"
        ));
        page.wait("told", std::time::Duration::from_secs(900));
        let told = page.ask("told");
        if let Some(failed) = told["failed"].as_str() {
            eprintln!("{}: {failed}", files::name(path));
            return None;
        }
        let now = opened(&told);
        best = Some(best.map_or(now, |b| b.least(&now)));
    }
    best
}

fn opened(told: &Value) -> Opened {
    let number = |what: &Value| what.as_f64().unwrap_or(f64::NAN);
    let times = &told["times"];
    Opened {
        read: number(&told["read"]),
        import: number(&times["import_ms"]),
        tessellate: number(&times["tessellate_ms"]),
        joins: number(&times["joins_ms"]),
        all: number(&told["all"]),
        memory: number(&told["memory"]),
    }
}

impl Opened {
    fn least(&self, other: &Self) -> Self {
        Self {
            read: self.read.min(other.read),
            import: self.import.min(other.import),
            tessellate: self.tessellate.min(other.tessellate),
            joins: self.joins.min(other.joins),
            all: self.all.min(other.all),
            memory: self.memory.min(other.memory),
        }
    }
}
