//! The files that are timed: the sheets of the oracle's own generator, or of ours where that is not here.

use super::kernel;
use super::sheet::{self, Sheet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder of generated files, kept from run to run.
pub fn folder() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/grids");
    fs::create_dir_all(&root).expect("a folder for generated files");
    root.canonicalize().expect("the folder just made")
}

/// The sheet of `across` × `across` patches of degree 5, trimmed by a round hole each or not: by the oracle's generator, which needs the
/// kernel, else untrimmed by our own writer.
pub fn grid(across: usize, trimmed: bool) -> Option<PathBuf> {
    let name = format!("grid-p5-n{across}{}.step", if trimmed { "-trim" } else { "" });
    let path = folder().join(name);
    if !path.is_file()
        && let Some((python, scripts)) = kernel::found()
    {
        let made = Command::new(python).arg(scripts.join("gen_grid.py")).arg(folder()).arg(across.to_string()).output();
        made.expect("the kernel's interpreter");
    }
    if path.is_file() {
        return Some(path);
    }
    (!trimmed).then(|| own(across))
}

/// The same by our own writer.
pub fn own(across: usize) -> PathBuf {
    let path = folder().join(format!("own-p5-n{across}.step"));
    if !path.is_file() {
        fs::write(&path, sheet::step(&Sheet::new(across))).expect("a generated file");
    }
    path
}

/// The last part of a path.
pub fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
