//! The packed site, built once a test binary.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::{fs, io};

use rakelight_pack::module::{self, Module};
use rakelight_pack::server::{Options, Server};
use rakelight_pack::site;
use rakelight_pack::workspace::Workspace;

/// A site that has been packed, and what it was packed from.
#[derive(Debug)]
pub struct Packed {
    /// The static folder.
    pub folder: PathBuf,
    /// The module in it.
    pub module: Module,
}

/// Packs the site, by the code that `cargo run` uses, into a folder that only this process
/// writes to.
///
/// # Panics
/// The build fails: no test can go on.
pub fn packed() -> &'static Packed {
    static PACKED: OnceLock<Packed> = OnceLock::new();
    PACKED.get_or_init(|| {
        let workspace = Workspace::find().expect("the source tree");
        let folder = workspace.site().with_file_name("rakelight-tests-site");
        let module = module::build(&workspace).expect("the WebAssembly module");
        site::write(&workspace, &module, &folder).expect("the static folder");
        lay_modules_beside(&workspace.front_end(), &folder).expect("the modules");
        Packed { folder, module }
    })
}

/// Copies the modules that the site's scripts were made of into it, so that a test can ask one of them by itself.
fn lay_modules_beside(from: &Path, to: &Path) -> io::Result<()> {
    for entry in fs::read_dir(from)? {
        let source = entry?.path();
        let copy = to.join(source.file_name().unwrap_or_default());
        if source.is_dir() {
            fs::create_dir_all(&copy)?;
            lay_modules_beside(&source, &copy)?;
        } else if source.extension().is_some_and(|one| one == "js") && !copy.exists() {
            fs::copy(&source, &copy)?;
        }
    }
    Ok(())
}

/// Serves the packed site on a free port under a sub-folder (empty for the root), with a file
/// given out beside it if there is one.
///
/// # Panics
/// No port is to be had.
pub fn serve(mount: &str, file: Option<&Path>) -> Server {
    Server::start_anywhere(Options { site: packed().folder.clone(), mount: mount.into(), file: file.map(Path::to_path_buf) })
        .expect("a free port")
}
