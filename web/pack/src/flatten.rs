//! Put a tree of ECMAScript modules into one classic script.
//!
//! Each module becomes a function that runs once, after those it imports from, and returns what it exports. That is what modules do as long
//! as nothing is imported in a circle and nothing that is exported is set again; whatever goes beyond is refused with its place, as is
//! every form of import and export that the front end does not use.

use std::collections::BTreeMap;
use std::fmt;

use crate::scan::{self, Line};

/// Why modules do not make one script.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// File, relative to the folder of all.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What it is.
    pub why: String,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}: {}", self.file, self.line, self.why)
    }
}

impl std::error::Error for Refused {}

/// Many modules as one script.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flat {
    /// The script.
    pub script: String,
    /// The modules in it.
    pub modules: Vec<String>,
}

/// What a script may ask of where it runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Nothing.
    Classic,
    /// Its own address, in the entry.
    Module,
}

/// One script that does what the module `entry` does. `read` gives the text of a file by its name, relative to the folder of all.
///
/// # Errors
/// A file cannot be read; a form that is not taken on; imports in a circle, or of what is not exported.
pub fn flatten(entry: &str, kind: Kind, read: &dyn Fn(&str) -> Result<String, String>) -> Result<Flat, Refused> {
    let mut tree = Tree { read, kind, modules: BTreeMap::new(), open: Vec::new(), script: String::new() };
    tree.add(entry, (entry, 0))?;
    let script = format!("'use strict';\n(async () => {{\n{}}})();\n", tree.script);
    Ok(Flat { script, modules: tree.modules.into_keys().collect() })
}

struct Tree<'a> {
    read: &'a dyn Fn(&str) -> Result<String, String>,
    kind: Kind,
    modules: BTreeMap<String, Module>,
    /// Files whose imports are being followed, the entry first.
    open: Vec<String>,
    script: String,
}

/// A module that is in the script.
struct Module {
    /// Its variable.
    name: String,
    exports: Vec<String>,
}

struct Import {
    from: String,
    /// As an object pattern has them: `a, b: c`.
    pattern: String,
    names: Vec<String>,
    line: usize,
}

impl Tree<'_> {
    /// Adds a file after those it imports from; `by`: the file and line that ask for it.
    fn add(&mut self, file: &str, by: (&str, usize)) -> Result<(), Refused> {
        let asked = |why: String| Refused { file: by.0.into(), line: by.1, why };
        if self.modules.contains_key(file) {
            return Ok(());
        }
        if self.open.iter().any(|one| one == file) {
            return Err(asked(format!("imports in a circle, from {file} back to it")));
        }
        let text = (self.read)(file).map_err(|why| asked(format!("{file}: {why}")))?;
        self.open.push(file.to_owned());
        let own = |line: usize, why: &str| Refused { file: file.into(), line, why: why.into() };
        let lines = scan::lines(&text).map_err(|at| own(at.0, "a text, comment or regular expression that does not end"))?;
        let mut imports = Vec::new();
        let mut exports = Vec::new();
        let mut body = String::new();
        for line in lines.iter().filter(|line| !line.idle) {
            let alone = self.kind == Kind::Classic || self.open.len() > 1;
            refuse_odd(line, alone).map_err(|why| own(line.number, why))?;
            let begins = |word: &str| line.code && line.text.strip_prefix(word).is_some_and(|rest| !rest.starts_with(is_name));
            if begins("import") {
                let import = import(line, file).ok_or_else(|| own(line.number, "an import that is not import { … } from './…';"))?;
                imports.push(import);
                continue;
            }
            let kept = if begins("export") {
                let (name, rest) = export(line.text).ok_or_else(|| own(line.number, "an export that is no function, class or const"))?;
                exports.push(name.to_owned());
                rest
            } else {
                line.text
            };
            body.push_str(if line.code { kept.trim_start() } else { kept });
            body.push('\n');
        }
        for import in &imports {
            self.add(&import.from, (file, import.line))?;
            let from = &self.modules[&import.from];
            if let Some(missing) = import.names.iter().find(|name| !from.exports.contains(name)) {
                return Err(own(import.line, &format!("{} does not export {missing}", import.from)));
            }
        }
        self.write(file, &imports, exports, &body);
        self.open.pop();
        Ok(())
    }

    fn write(&mut self, file: &str, imports: &[Import], exports: Vec<String>, body: &str) {
        let taken = |import: &Import| format!("const {{ {} }} = {};\n", import.pattern, self.modules[&import.from].name);
        let head: String = imports.iter().map(taken).collect();
        let name = format!("$m{}", self.modules.len());
        // The entry may await, so it is the async function itself.
        let text = if self.open.len() == 1 {
            format!("// {file}\n{head}{body}")
        } else {
            format!("// {file}\nconst {name} = (() => {{\n{head}{body}return {{ {} }};\n}})();\n", exports.join(", "))
        };
        self.script.push_str(&text);
        self.modules.insert(file.to_owned(), Module { name, exports });
    }
}

const fn is_name(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '_' | '$')
}

/// What would mean something else in one script, or end it; `alone`: where a script has no address.
fn refuse_odd(line: &Line<'_>, alone: bool) -> Result<(), &'static str> {
    let lower = line.text.to_ascii_lowercase();
    if lower.contains("</script") || lower.contains("<!--") {
        return Err("words that end a script element, or change how it ends");
    }
    if line.text.contains("import(") || (alone && line.text.contains("import.meta")) {
        return Err("import() and import.meta: one script has nothing beside it");
    }
    if line.text.match_indices("$m").any(|(at, _)| line.text[at + 2..].starts_with(|c: char| c.is_ascii_digit())) {
        return Err("a name like those that modules are given here");
    }
    Ok(())
}

fn import(line: &Line<'_>, file: &str) -> Option<Import> {
    let rest = line.text.strip_prefix("import {")?.trim_end().strip_suffix("';")?;
    let (names, from) = rest.split_once("} from '")?;
    let mut import = Import { from: beside(file, from)?, pattern: String::new(), names: Vec::new(), line: line.number };
    let mut parts = Vec::new();
    for one in names.split(',').map(str::trim).filter(|one| !one.is_empty()) {
        let (name, here) = one.split_once(" as ").unwrap_or((one, one));
        if !name.chars().all(is_name) || !here.chars().all(is_name) {
            return None;
        }
        parts.push(if name == here { name.to_owned() } else { format!("{name}: {here}") });
        import.names.push(name.to_owned());
    }
    import.pattern = parts.join(", ");
    Some(import)
}

/// The name that is exported, and the line without the word.
fn export(text: &str) -> Option<(&str, &str)> {
    let rest = text.strip_prefix("export ")?;
    let after = ["function ", "async function ", "class ", "const "].iter().find_map(|kind| rest.strip_prefix(kind))?;
    let name = &after[..after.find(|c| !is_name(c)).unwrap_or(after.len())];
    (!name.is_empty()).then_some((name, rest))
}

/// The file that an address in another one means; both relative to the folder of all, out of which none leads.
fn beside(file: &str, address: &str) -> Option<String> {
    if !address.starts_with("./") && !address.starts_with("../") {
        return None;
    }
    let mut parts: Vec<&str> = file.split('/').collect();
    parts.pop();
    for part in address.split('/') {
        match part {
            "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

#[cfg(test)]
mod tests;
