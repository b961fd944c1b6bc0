//! Where the sources and the build folders are.

use std::path::{Path, PathBuf};

use crate::PackError;

/// The source tree this program was built from, and the folder it builds into.
#[derive(Debug, Clone)]
pub struct Workspace {
    root: PathBuf,
    target: PathBuf,
}

impl Workspace {
    /// Finds the sources: where cargo says the package is now, else where it was compiled.
    ///
    /// # Errors
    /// The sources have moved away since the program was compiled.
    pub fn find() -> Result<Self, PackError> {
        let manifest = std::env::var_os("CARGO_MANIFEST_DIR")
            .map(PathBuf::from)
            .into_iter()
            .chain([PathBuf::from(env!("CARGO_MANIFEST_DIR"))])
            .find_map(|folder| folder.ancestors().find(|root| root.join("web/pack/Cargo.toml").is_file()).map(Path::to_path_buf));
        let root = manifest.ok_or_else(|| {
            PackError::build("the sources are not where this program was built; run it by `cargo run --release` inside the source tree")
        })?;
        let target = match std::env::var_os("CARGO_TARGET_DIR") {
            Some(folder) => std::path::absolute(&folder).map_err(PackError::file("find", PathBuf::from(&folder)))?,
            None => root.join("target"),
        };
        Ok(Self { root, target })
    }

    /// The root of the source tree.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The static front end's sources.
    pub fn front_end(&self) -> PathBuf {
        self.root.join("www")
    }

    /// Build folder of the nested cargo. Its own, so that it never waits for the lock that an
    /// outer `cargo run` or `cargo test` holds.
    pub fn module_target(&self) -> PathBuf {
        self.target.join("rakelight-module")
    }

    /// The static folder that is served by default.
    pub fn site(&self) -> PathBuf {
        self.target.join("rakelight-site")
    }
}
