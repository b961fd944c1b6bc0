//! Tell the service worker which files make the site, so that a browser keeps all of one version and no file of another.

use std::collections::BTreeMap;

use oxc_span::SourceType;
use sha2::{Digest, Sha256};

use crate::{PackError, digits, script, single, site};

/// The files of a site by name, with `/` between folders.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The service worker. It is not in its own list: a browser fetches it by itself, and compares it byte by byte.
pub const WORKER: &str = "sw.js";

/// The page's side, which has to know what version the page is of.
pub const PAGE: &str = "app.js";

/// Files that few visits need: a browser keeps them when they are first asked for, or with the second visit.
pub const SPARE: [&str; 2] = [single::TEMPLATE, site::DEMO_B];

const VERSION_WORDS: &str = "the packer writes the version here";
const FILES_LINE: &str = "const FILES = null; // written by the packer";
const SPARE_LINE: &str = "const SPARE = null; // written by the packer: those that few visits need";

/// Writes the version into [`WORKER`] and [`PAGE`], and the SHA-256 of every file and which are [`SPARE`] into the worker. Gives the version: a hash of all names and
/// files, so that the same files are the same version, and any change is another.
///
/// # Errors
/// One of the two is missing, what is to be replaced is not there exactly once, or [`WORKER`] is no script.
pub fn seal(files: &mut Files) -> Result<String, PackError> {
    let mut all = Sha256::new();
    for (name, bytes) in &*files {
        all.update(format!("{name}\0{}\n", digits::sha256(bytes)));
    }
    let version = digits::hex(&all.finalize());
    replace(files, PAGE, VERSION_WORDS, &version)?;
    let listed: BTreeMap<&str, String> =
        files.iter().filter(|(name, _)| *name != WORKER).map(|(name, bytes)| (name.as_str(), digits::sha256(bytes))).collect();
    let listed = format!("const FILES = {};", serde_json::json!(listed));
    replace(files, WORKER, VERSION_WORDS, &version)?;
    replace(files, WORKER, FILES_LINE, &listed)?;
    let spare: Vec<&str> = SPARE.into_iter().filter(|name| files.contains_key(*name)).collect();
    let sealed = replace(files, WORKER, SPARE_LINE, &format!("const SPARE = {};", serde_json::json!(spare)))?;
    let short = script::shorter(&sealed, SourceType::cjs()).map_err(|wrong| PackError::build(format!("www/{WORKER}, {wrong}")))?;
    files.insert(WORKER.into(), short.into_bytes());
    Ok(version)
}

/// Gives the text as it is then.
fn replace(files: &mut Files, name: &str, words: &str, with: &str) -> Result<String, PackError> {
    let bytes = files.get_mut(name).ok_or_else(|| PackError::build(format!("www/{name} is missing")))?;
    let text = String::from_utf8_lossy(bytes);
    if text.matches(words).count() != 1 {
        return Err(PackError::build(format!("www/{name} should have this once: {words}")));
    }
    let text = text.replacen(words, with, 1);
    *bytes = text.clone().into_bytes();
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flatten::{Kind, flatten};
    use crate::workspace::Workspace;

    fn site() -> Files {
        let page = format!("f('{VERSION_WORDS}');rest();");
        let worker = format!("const VERSION = '{VERSION_WORDS}';\n{FILES_LINE}\n{SPARE_LINE}\nrest();\n");
        let one = (SPARE[0], "the page as one file".to_owned());
        [("index.html", "page".to_owned()), ("css/a b.css", "style".to_owned()), one, (PAGE, page), (WORKER, worker)]
            .map(|(name, text)| (name.to_owned(), text.into_bytes()))
            .into()
    }

    fn sealed(mut files: Files) -> (String, Files) {
        let version = seal(&mut files).expect("sealed");
        (version, files)
    }

    fn text(files: &Files, name: &str) -> String {
        String::from_utf8(files[name].clone()).expect("a text")
    }

    #[test]
    fn every_file_is_listed_as_it_is_written() {
        let (version, files) = sealed(site());
        // Texts are written between backticks.
        let worker = text(&files, WORKER).replace('`', "\"");
        let list = worker
            .split_once("const FILES=")
            .and_then(|(_, rest)| rest.split_once(";const SPARE=[\"single.html\"];rest();"))
            .expect("a list")
            .0;
        let list: BTreeMap<String, String> = serde_json::from_str(list).expect("JSON");
        let written: BTreeMap<String, String> =
            files.iter().filter(|(name, _)| *name != WORKER).map(|(name, bytes)| (name.clone(), digits::sha256(bytes))).collect();
        assert_eq!(list, written);
        // What sha256sum says of "page".
        assert_eq!(list["index.html"], "3660315a9af3df255d8f19ab077e4797822b41488a0e2a04bc6af71213c23274");
        assert_eq!(text(&files, PAGE), format!("f('{version}');rest();"));
        assert!(worker.starts_with(&format!("const VERSION=\"{version}\";")) && version.len() == 64, "{worker}");
    }

    #[test]
    fn any_change_is_another_version_and_none_is_the_same() {
        let (version, files) = sealed(site());
        assert_eq!(sealed(site()), (version.clone(), files));
        let changes: [fn(&mut Files); 5] = [
            |files| files.get_mut("css/a b.css").expect("it").push(b' '),
            |files| files.get_mut(WORKER).expect("it").push(b' '),
            |files| files.get_mut(PAGE).expect("it").push(b' '),
            |files| drop(files.insert("more.js".into(), Vec::new())),
            |files| {
                let style = files.remove("css/a b.css").expect("it");
                files.insert("css/b.css".into(), style);
            },
        ];
        for (index, change) in changes.iter().enumerate() {
            let mut files = site();
            change(&mut files);
            assert_ne!(sealed(files).0, version, "change {index}");
        }
    }

    #[test]
    fn what_cannot_be_sealed_is_refused() {
        for name in [PAGE, WORKER] {
            let mut without = site();
            without.remove(name);
            assert!(seal(&mut without).is_err(), "{name} missing");
            let (_, mut twice) = sealed(site());
            assert!(seal(&mut twice).is_err(), "sealed already");
            let mut double = site();
            double.get_mut(name).expect("it").extend(VERSION_WORDS.bytes());
            assert!(seal(&mut double).is_err(), "{name} with two places");
        }
    }

    #[test]
    fn the_front_end_can_be_sealed() {
        let front_end = Workspace::find().expect("the sources").front_end();
        let read = |name: &str| std::fs::read_to_string(front_end.join(name)).map_err(|error| error.to_string());
        let page = flatten(PAGE, Kind::Module, &read).expect("one script").script;
        let (_, files) = sealed([(PAGE.into(), page.into()), (WORKER.into(), read(WORKER).expect("it").into())].into());
        assert!([PAGE, WORKER].iter().all(|name| !text(&files, name).contains("the packer")));
    }
}
