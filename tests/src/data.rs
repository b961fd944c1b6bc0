//! The models and oracle figures at hand.
//!
//! Files with a permissive licence lie in this repository (`tests/data`, origins in its
//! SOURCES.md). The others are read where a copy lies in `../shared`, or in the folder that
//! `RAKELIGHT_SHARED` names, and are skipped, out loud, where it does not.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Every STEP model that the suites know, by name.
pub const STEP_MODELS: [&str; 15] = [
    "as1_assembly_214.stp",
    "linkrods.step",
    "mouse_cover.step",
    "nacelle_6patch.stp",
    "nist_mbe_pmi_2.stp",
    "nist_mbe_pmi_3_inch.stp",
    "offset_of_revolution.stp",
    "plate_trimmed_surfaces_metre.stp",
    "rational_closed_seam.stp",
    "revolve_profile.stp",
    "sphere_quarter_pieces.stp",
    "splinecage_4patch.stp",
    "torus_apple_degenerate.stp",
    "ventilator.stp",
    "wind_blade_15mw.stp",
];

/// Every IGES model that the suites know, by name.
pub const IGES_MODELS: [&str; 9] = [
    "cube_msbo_186.igs",
    "hammer.iges",
    "hull_kvlcc2m.iges",
    "hull_wigley.iges",
    "pipe_hollow_metre.iges",
    "sunglasses_lens.igs",
    "surf114.igs",
    "wind_blade_15mw.igs",
    "wing_d150.igs",
];

/// A model file at hand.
#[derive(Debug, Clone)]
pub struct Model {
    /// Its base name.
    pub name: &'static str,
    /// Where it is.
    pub path: PathBuf,
}

impl Model {
    /// The file's bytes.
    ///
    /// # Panics
    /// The file has gone.
    pub fn bytes(&self) -> Vec<u8> {
        fs::read(&self.path).unwrap_or_else(|error| panic!("{}: {error}", self.path.display()))
    }
}

/// The STEP models at hand; each one missing is reported as skipped for `purpose`.
pub fn step_models(purpose: &str) -> Vec<Model> {
    STEP_MODELS.into_iter().filter_map(|name| step_model(name, purpose)).collect()
}

/// One STEP model; none, reported as skipped for `purpose`, where it is not at hand.
pub fn step_model(name: &'static str, purpose: &str) -> Option<Model> {
    find(&format!("step/{name}"), &format!("data/step/{name}"), purpose).map(|path| Model { name, path })
}

/// The IGES models at hand; each one missing is reported as skipped for `purpose`.
pub fn iges_models(purpose: &str) -> Vec<Model> {
    IGES_MODELS.into_iter().filter_map(|name| iges_model(name, purpose)).collect()
}

/// The STEP models at hand, then the IGES models; each one missing is reported as skipped for `purpose`.
pub fn models(purpose: &str) -> Vec<Model> {
    let mut all = step_models(purpose);
    all.extend(iges_models(purpose));
    all
}

/// One IGES model; none, reported as skipped for `purpose`, where it is not at hand.
pub fn iges_model(name: &'static str, purpose: &str) -> Option<Model> {
    find(&format!("iges/{name}"), &format!("data/iges/{name}"), purpose).map(|path| Model { name, path })
}

/// The folder of the kept corpus of a fuzz target.
pub fn corpus(target: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/corpus").join(target)
}

/// One STEP or IGES model by its name; none, reported as skipped for `purpose`, where it is not at hand.
pub fn model(name: &'static str, purpose: &str) -> Option<Model> {
    if IGES_MODELS.contains(&name) { iges_model(name, purpose) } else { step_model(name, purpose) }
}

/// The control points of the Newell teapot's 32 bicubic patches, four rows of four each; none, reported as skipped for
/// `purpose`, where the table is not at hand.
///
/// # Panics
/// The table is not as SOURCES.md says.
pub fn teapot(purpose: &str) -> Option<Vec<[[[f64; 3]; 4]; 4]>> {
    let path = find("patches/newell_teapot_32.bpt", "data/patches/newell_teapot_32.bpt", purpose)?;
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut numbers = text.split_whitespace().map(|word| word.parse::<f64>().expect("a number"));
    let mut next = || numbers.next().expect("as many numbers as patches ask for");
    let count = next() as usize;
    let mut patch = || {
        assert_eq!([next(), next()], [3.0, 3.0], "bicubic");
        std::array::from_fn(|_| std::array::from_fn(|_| std::array::from_fn(|_| next())))
    };
    Some((0..count).map(|_| patch()).collect())
}

/// An oracle file, by its path below the oracle's folder ("joins/NAME.json"); none, reported as
/// skipped for `purpose`, where it is not at hand.
pub fn oracle(name: &str, purpose: &str) -> Option<serde_json::Value> {
    let path = find(&format!("oracle/{name}"), &format!("oracle/{name}"), purpose)?;
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    // The oracle's writer puts NaN and Infinity where it has no value, which JSON does not know.
    let text = text.replace(":NaN", ":null").replace(":-Infinity", ":null").replace(":Infinity", ":null");
    Some(serde_json::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display())))
}

/// Says that something was not tested. Written past the test harness's capture, so that it is
/// seen, and counted by tests/run, also when the test passes.
pub fn skipped(what: &str, purpose: &str) {
    let line = format!("skipped: {what} is not here, needed for {purpose}\n");
    // Nobody to tell when standard error is closed.
    let _ = std::io::stderr().write_all(line.as_bytes());
}

fn find(own: &str, shared: &str, purpose: &str) -> Option<PathBuf> {
    let own_path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(own);
    let found = [own_path, shared_folder().join(shared)].into_iter().find_map(|path| {
        // Resolved, since a browser takes no path with ".." in it.
        path.canonicalize().ok().filter(|path| path.is_file())
    });
    if found.is_none() {
        skipped(own, purpose);
    }
    found
}

fn shared_folder() -> PathBuf {
    std::env::var_os("RAKELIGHT_SHARED").map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared"), PathBuf::from)
}

#[cfg(test)]
mod tests {

    use super::*;
    use rakelight_pack::digits;

    #[test]
    fn the_models_in_the_repository_are_those_of_their_sources() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
        let sources = fs::read_to_string(folder.join("SOURCES.md")).expect("SOURCES.md");
        let mut count = 0;
        for entry in fs::read_dir(folder.join("step")).expect("models") {
            let entry = entry.expect("a model");
            let name = entry.file_name().to_string_lossy().into_owned();
            assert!(STEP_MODELS.contains(&name.as_str()), "{name} is not in the list");
            let row = sources
                .lines()
                .find(|line| line.starts_with(&format!("| step/{name} |")))
                .unwrap_or_else(|| panic!("{name} has no source"));
            let digest = digits::sha256(&fs::read(entry.path()).expect("a model"));
            assert!(row.contains(&digest), "{name} is not as its source gave it");
            count += 1;
        }
        assert_eq!(count, 9);
    }
}
