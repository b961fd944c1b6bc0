//! Write the static folder: the front end, the module, the demo model, and the page as one file.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::demo::course::Piece;

use crate::module::{self, Module};
use crate::offline::{self, Files};
use crate::scripts::Scripts;
use crate::workspace::Workspace;
use crate::{PackError, single, style};

/// Name of the module file; also what marks a folder as a packed site.
const WASM_NAME: &str = "rakelight_bg.wasm";

/// The inspector's page.
pub const INDEX: &str = "index.html";

/// The demo model's place in the folder.
pub const DEMO: &str = "demo/bramble-a.step";

/// Its next revision, to be set beside it.
pub const DEMO_B: &str = "demo/bramble-b.step";

/// Builds the module and writes the whole static folder to `folder`.
///
/// Files of an earlier pack that are no longer part of the site are removed. The folder is
/// usable throughout: files are replaced one by one, never all removed first.
///
/// # Errors
/// The build fails; the folder holds something else; a file cannot be read or written.
pub fn pack(workspace: &Workspace, folder: &Path) -> Result<(), PackError> {
    require_own(folder)?;
    let module = module::build(workspace)?;
    write(workspace, &module, folder)
}

/// Writes the static folder from a module already built.
///
/// # Errors
/// The folder holds something else; a file cannot be read or written.
pub fn write(workspace: &Workspace, module: &Module, folder: &Path) -> Result<(), PackError> {
    require_own(folder)?;
    let mut files = gather(workspace, module)?;
    offline::seal(&mut files)?;
    write_files(&files, folder)
}

/// All files of the site, not sealed yet ([`offline::seal`]).
///
/// # Errors
/// A file cannot be read, or its name cannot be an address.
pub fn gather(workspace: &Workspace, module: &Module) -> Result<Files, PackError> {
    let mut files = Files::new();
    files.insert(WASM_NAME.into(), module.wasm.clone());
    files.insert(DEMO.into(), bramble::step(Revision::A).into());
    files.insert(DEMO_B.into(), bramble::step(Revision::B).into());
    files.extend(Piece::ALL.map(|piece| (format!("demo/{}", piece.file_name()), piece.step().into())));
    let front_end = workspace.front_end();
    let scripts = Scripts::of(&front_end, module)?;
    files.insert(single::TEMPLATE.into(), single::template(&front_end, module, &scripts)?.into_bytes());
    for name in files_below(&front_end)? {
        let source = front_end.join(&name);
        let name = address(&name)?;
        if !scripts.modules.contains(&name) {
            files.insert(name, fs::read(&source).map_err(PackError::file("read", source))?);
        }
    }
    files.extend(scripts.written);
    one_sheet(&front_end, &mut files)?;
    Ok(files)
}

/// Gives the page one style sheet, and takes away those that no other page loads.
fn one_sheet(front_end: &Path, files: &mut Files) -> Result<(), PackError> {
    let wrong = |why: String| PackError::build(format!("the style cannot be written: {why}"));
    let read = |name: &str| fs::read_to_string(front_end.join(name)).map_err(|error| error.to_string());
    let skeleton = read(INDEX).map_err(|why| wrong(format!("{INDEX}: {why}")))?;
    let sheet = style::of_page(&skeleton, &read).map_err(wrong)?;
    let page = style::with_one(&skeleton).map_err(wrong)?;
    let mut others = BTreeSet::new();
    for (_, bytes) in files.iter().filter(|(name, _)| name.ends_with(".html") && *name != INDEX) {
        others.extend(style::names(&String::from_utf8_lossy(bytes)).map_err(wrong)?.into_iter().map(str::to_owned));
    }
    for name in style::names(&skeleton).map_err(wrong)?.into_iter().filter(|name| !others.contains(*name)) {
        files.remove(name);
    }
    files.insert(INDEX.into(), page.into_bytes());
    files.insert(style::SHEET.into(), sheet.into_bytes());
    Ok(())
}

/// Writes the files of a site and removes what else the folder holds. The service worker comes last: a visitor who comes between gets the list
/// before, or one whose files are all there.
///
/// # Errors
/// The folder holds something else; a file cannot be written.
pub fn write_files(files: &Files, folder: &Path) -> Result<(), PackError> {
    require_own(folder)?;
    let (last, others): (Vec<_>, Vec<_>) = files.iter().partition(|(name, _)| *name == offline::WORKER);
    for (name, bytes) in others.into_iter().chain(last) {
        replace(&folder.join(name), bytes)?;
    }
    for name in files_below(folder)? {
        if !files.contains_key(&address(&name)?) {
            let stale = folder.join(&name);
            fs::remove_file(&stale).map_err(PackError::file("remove", stale))?;
        }
    }
    Ok(())
}

/// A relative path as the site's addresses have it.
fn address(name: &Path) -> Result<String, PackError> {
    let parts: Option<Vec<&str>> = name.components().map(|part| part.as_os_str().to_str()).collect();
    parts.map(|parts| parts.join("/")).ok_or_else(|| PackError::build(format!("{} has no name for an address", name.display())))
}

fn require_own(folder: &Path) -> Result<(), PackError> {
    let occupied = match fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_some(),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => false,
        Err(error) => return Err(PackError::file("read", folder)(error)),
    };
    if occupied && !folder.join(WASM_NAME).is_file() {
        return Err(PackError::NotOurFolder { path: folder.into() });
    }
    Ok(())
}

/// Writes beside the file and renames, so that a reader never meets half a file.
fn replace(path: &Path, bytes: &[u8]) -> Result<(), PackError> {
    if let Some(parent) = path.parent() {
        fs::create_dir_all(parent).map_err(PackError::file("create", parent))?;
    }
    let mut name = path.as_os_str().to_owned();
    name.push(".part");
    let part = PathBuf::from(name);
    fs::write(&part, bytes).map_err(PackError::file("write", &part))?;
    fs::rename(&part, path).map_err(PackError::file("write", path))
}

/// Files below a folder, relative to it, in order; hidden ones (editors' and systems' own) left
/// out.
fn files_below(folder: &Path) -> Result<BTreeSet<PathBuf>, PackError> {
    let mut files = BTreeSet::new();
    let mut open = vec![PathBuf::new()];
    while let Some(relative) = open.pop() {
        let here = folder.join(&relative);
        for entry in fs::read_dir(&here).map_err(PackError::file("read", &here))? {
            let entry = entry.map_err(PackError::file("read", &here))?;
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            let name = relative.join(entry.file_name());
            if entry.path().is_dir() {
                open.push(name);
            } else {
                files.insert(name);
            }
        }
    }
    Ok(files)
}
