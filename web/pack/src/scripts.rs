//! The scripts of the site: what a page loads is one script, not one a module.
//!
//! A page of 160 modules waits for each file in turn, and what is packed alone packs worse: together they are a third less to load, and a
//! fifth less again with short names.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use oxc_span::SourceType;

use crate::flatten::{Kind, flatten};
use crate::module::Module;
use crate::offline::{self, Files};
use crate::{PackError, script};

/// What defines `wasm_bindgen`.
pub const BINDINGS: &str = "rakelight.js";

/// What computes beside the page.
pub const WORKER: &str = "worker.js";

/// Modules that pages load, and what they may ask of where they run; what they import is in them.
const ENTRIES: [(&str, Kind); 4] =
    [(offline::PAGE, Kind::Classic), ("element.js", Kind::Module), ("embedding.js", Kind::Classic), ("frame.js", Kind::Classic)];

/// The scripts, and what went into them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scripts {
    /// The scripts by their names in the site.
    pub written: Files,
    /// Sources that are in one of them; the site needs no file of their own.
    pub modules: BTreeSet<String>,
}

impl Scripts {
    /// The scripts of the sources in `front_end`.
    ///
    /// # Errors
    /// A source cannot be read, or makes no script.
    pub fn of(front_end: &Path, module: &Module) -> Result<Self, PackError> {
        let read = |name: &str| fs::read_to_string(front_end.join(name)).map_err(|error| error.to_string());
        let wrong = |why: String| PackError::build(format!("the scripts cannot be written: {why}"));
        let mut scripts = Self { written: Files::new(), modules: BTreeSet::new() };
        for (entry, kind) in ENTRIES {
            let flat = flatten(entry, kind, &read).map_err(|why| wrong(why.to_string()))?;
            scripts.written.insert(entry.into(), flat.script.into_bytes());
            scripts.modules.extend(flat.modules);
        }
        let worker = read(WORKER).map_err(|why| wrong(format!("{WORKER}: {why}")))?;
        for (name, text) in [(WORKER, &worker), (BINDINGS, &module.script)] {
            let short = script::shorter(text, SourceType::cjs()).map_err(|why| wrong(format!("{name}, {why}")))?;
            scripts.written.insert(name.into(), short.into_bytes());
        }
        Ok(scripts)
    }

    /// The text of one of them; empty where there is none of that name.
    pub fn text(&self, name: &str) -> Cow<'_, str> {
        self.written.get(name).map_or(Cow::Borrowed(""), |bytes| String::from_utf8_lossy(bytes))
    }
}
