//! The general-purpose kernel beside us: the oracle's own scripts, run by the Python that has it.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// Runs of which the best counts.
const RUNS: usize = 5;

/// Runs of the joins, which take many seconds each.
const JOIN_RUNS: usize = 3;

/// What it took over a file, ms, and the triangles it made.
#[derive(Debug, Clone, Copy)]
pub struct Import {
    /// Text to entities.
    pub parse: f64,
    /// Entities to shapes.
    pub transfer: f64,
    /// Shapes to triangles.
    pub mesh: f64,
    /// Number of triangles.
    pub triangles: f64,
}

impl Import {
    /// All of it.
    pub fn all(&self) -> f64 {
        self.parse + self.transfer + self.mesh
    }
}

/// Limits of its triangles.
#[derive(Debug, Clone, Copy)]
pub enum Limits {
    /// mm and radians.
    Fixed(f64, f64),
    /// A share of the model's diagonal, and radians.
    Share(f64, f64),
}

/// The interpreter and the folder of scripts, where both are here.
pub fn found() -> Option<(PathBuf, PathBuf)> {
    static FOUND: OnceLock<Option<(PathBuf, PathBuf)>> = OnceLock::new();
    FOUND.get_or_init(find).clone()
}

fn find() -> Option<(PathBuf, PathBuf)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let shared = std::env::var_os("RAKELIGHT_SHARED").map_or_else(|| root.join("../shared"), PathBuf::from);
    let scripts = shared.join("oracle/scripts").canonicalize().ok()?;
    let python = std::env::var_os("RAKELIGHT_KERNEL").map_or_else(|| root.join("target/kernel/bin/python"), PathBuf::from);
    let works = Command::new(&python).args(["-c", "import OCP, numpy"]).output().is_ok_and(|out| out.status.success());
    works.then_some((python, scripts))
}

/// What it takes over a file, on one thread; None where it is not here or does not read the file.
pub fn import(path: &Path, limits: Limits) -> Option<Import> {
    let (share, chord, angle) = match limits {
        Limits::Fixed(chord, angle) => ("--lin", chord, angle),
        Limits::Share(chord, angle) => ("--rel", chord, angle),
    };
    let (python, scripts) = found()?;
    let mut command = Command::new(python);
    command.arg(scripts.join("occ_bench.py")).args(["-r", &RUNS.to_string(), share, &chord.to_string(), "--ang", &angle.to_string()]);
    let told = command.arg(path).output().ok()?.stdout;
    // The kernel may print lines of its own.
    let line = String::from_utf8_lossy(&told).lines().rev().find(|line| line.starts_with('{'))?.to_owned();
    let told: Value = serde_json::from_str(&line).ok()?;
    let ms = |what: &str| told[what]["min"].as_f64().map(|s| s * 1e3);
    Some(Import { parse: ms("parse")?, transfer: ms("transfer")?, mesh: ms("mesh")?, triangles: told["triangles"].as_f64()? })
}

/// ms for stations along every join, G0 to G3, through its bindings.
pub fn joins(path: &Path) -> Option<f64> {
    let (python, scripts) = found()?;
    let once = || {
        let out = Command::new(&python).arg(scripts.join("occ_join_oracle.py")).arg(path).output().ok()?.stdout;
        let told = String::from_utf8_lossy(&out).into_owned();
        let after = told.rsplit_once("'stations': ")?.1.to_owned();
        after.trim().trim_end_matches('}').parse::<f64>().ok().map(|s| s * 1e3)
    };
    (0..JOIN_RUNS).filter_map(|_| once()).reduce(f64::min)
}
