//! Put a tree of ECMAScript modules into one classic script.
//!
//! All modules share one function: each is written after those it imports from, what it has at its top under names of its own, and what it
//! imports under the names that the other has. That is what modules do as long as nothing is imported in a circle; whatever goes beyond is
//! refused with its place, as is every form of import and export that the front end does not use. Then all names are made short.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use oxc_allocator::Allocator;
use oxc_ast::ast::{BindingPattern, Declaration, ImportDeclaration, ImportDeclarationSpecifier, ModuleExportName, Program, Statement};
use oxc_codegen::{Codegen, CodegenOptions, CommentOptions};
use oxc_parser::ParserReturn;
use oxc_span::{GetSpan, SourceType};

use crate::script::{self, Wrong, line_at};

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
    let (script, modules) = together(entry, kind, read)?;
    let kind = if kind == Kind::Module { SourceType::mjs() } else { SourceType::cjs() };
    let script = script::shorter(&script, kind).map_err(|wrong| refused(entry, wrong))?;
    Ok(Flat { script, modules })
}

/// The script with its long names, and the modules in it.
fn together(entry: &str, kind: Kind, read: &dyn Fn(&str) -> Result<String, String>) -> Result<(String, Vec<String>), Refused> {
    let mut tree = Tree { read, kind, modules: BTreeMap::new(), open: Vec::new(), script: String::new() };
    tree.add(entry, (entry, 0))?;
    let script = format!("'use strict';\n(async () => {{\n{}}})();\n", tree.script);
    Ok((script, tree.modules.into_keys().collect()))
}

fn refused(file: &str, Wrong { line, why }: Wrong) -> Refused {
    Refused { file: file.into(), line, why }
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
    /// What its names end in, so that no other module has them.
    end: String,
    exports: BTreeSet<String>,
}

struct Import<'a> {
    from: String,
    /// What it is called there and here.
    names: Vec<(&'a str, &'a str)>,
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
        let arena = Allocator::default();
        let own = |wrong| refused(file, wrong);
        let read = script::read(&arena, &text, SourceType::mjs()).map_err(own)?;
        let alone = self.kind == Kind::Classic || self.open.len() > 1;
        refuse_odd(&text, &read, alone).map_err(own)?;
        let (imports, exports) = ports(file, &text, &read.program).map_err(own)?;
        for import in &imports {
            self.add(&import.from, (file, import.line))?;
            let from = &self.modules[&import.from];
            if let Some((missing, _)) = import.names.iter().find(|(name, _)| !from.exports.contains(*name)) {
                return Err(own(Wrong { line: import.line, why: format!("{} does not export {missing}", import.from) }));
            }
        }
        self.write(&text, read.program, &imports, &arena).map_err(own)?;
        let end = format!("${}", self.modules.len());
        self.modules.insert(file.to_owned(), Module { end, exports });
        self.open.pop();
        Ok(())
    }

    fn write<'a>(&mut self, text: &str, mut program: Program<'a>, imports: &[Import<'_>], arena: &'a Allocator) -> Result<(), Wrong> {
        let mut names = script::names(text, &program)?;
        let outer = names.root_unresolved_references().keys().map(|name| -> &str { name });
        let marked = names.symbol_names().chain(outer).find(|name| name.contains('$'));
        if let Some(name) = marked {
            let at = u32::try_from(text.find(name).unwrap_or(0)).unwrap_or(u32::MAX);
            return Err(Wrong { line: line_at(text, at), why: format!("the name {name}: those that are made here have such a sign") });
        }
        let end = format!("${}", self.modules.len());
        let there =
            imports.iter().flat_map(|import| import.names.iter().map(|(there, here)| (*here, (*there, &self.modules[&import.from].end))));
        let there: BTreeMap<&str, (&str, &String)> = there.collect();
        for symbol in names.iter_bindings_in(names.root_scope_id()).collect::<Vec<_>>() {
            let name = names.symbol_name(symbol);
            let (name, end) = there.get(name).map_or((name, &end), |(there, end)| (*there, *end));
            let unique = format!("{name}{end}");
            names.set_symbol_name(symbol, &unique);
        }
        let mut kept = oxc_allocator::Vec::new_in(arena);
        for statement in program.body {
            match statement {
                Statement::ImportDeclaration(_) => {}
                Statement::ExportNamedDeclaration(export) => kept.extend(export.unbox().declaration.map(Statement::from)),
                other => kept.push(other),
            }
        }
        program.body = kept;
        let plain = CodegenOptions { comments: CommentOptions::disabled(), ..CodegenOptions::default() };
        self.script.push_str(&Codegen::new().with_options(plain).with_scoping(Some(names)).build(&program).code);
        Ok(())
    }
}

/// What would mean something else in one script, or end it; `alone`: where a script has no address.
fn refuse_odd(text: &str, read: &ParserReturn<'_>, alone: bool) -> Result<(), Wrong> {
    let lower = text.to_ascii_lowercase();
    let wrong = |at: usize, why: &str| Err(Wrong { line: line_at(text, u32::try_from(at).unwrap_or(u32::MAX)), why: why.into() });
    if let Some(at) = lower.find("</script").or_else(|| lower.find("<!--")) {
        return wrong(at, "words that end a script element, or change how it ends");
    }
    let calls = read.module_record.dynamic_imports.first().map(|import| import.span);
    let own = read.module_record.import_metas.first().filter(|_| alone).copied();
    match calls.or(own) {
        Some(span) => wrong(span.start as usize, "import() and import.meta: one script has nothing beside it"),
        None => Ok(()),
    }
}

/// What a module imports and exports.
fn ports<'a>(file: &str, text: &str, program: &Program<'a>) -> Result<(Vec<Import<'a>>, BTreeSet<String>), Wrong> {
    let mut imports = Vec::new();
    let mut exports = BTreeSet::new();
    for statement in &program.body {
        let line = || line_at(text, statement.span().start);
        let wrong = |why: &str| Wrong { line: line(), why: why.into() };
        match statement {
            Statement::ImportDeclaration(one) => {
                let (from, names) = import(one, file).ok_or_else(|| wrong("an import that is not import { … } from './…';"))?;
                imports.push(Import { from, names, line: line() });
            }
            Statement::ExportNamedDeclaration(one) => {
                let names = one.declaration.as_ref().and_then(exported);
                exports.extend(names.ok_or_else(|| wrong("an export that is no function, class or const"))?);
            }
            other if other.is_module_declaration() => return Err(wrong("an export that is no function, class or const")),
            _ => {}
        }
    }
    Ok((imports, exports))
}

/// The file, and the names there and here.
fn import<'a>(one: &ImportDeclaration<'a>, file: &str) -> Option<(String, Vec<(&'a str, &'a str)>)> {
    if one.with_clause.is_some() || one.phase.is_some() {
        return None;
    }
    let names = one.specifiers.as_ref()?.iter().map(|one| match one {
        ImportDeclarationSpecifier::ImportSpecifier(one) => match &one.imported {
            ModuleExportName::IdentifierName(there) => Some((there.name.as_str(), one.local.name.as_str())),
            _ => None,
        },
        _ => None,
    });
    Some((beside(file, one.source.value.as_str())?, names.collect::<Option<_>>()?))
}

/// The names of what is exported and cannot be set again.
fn exported(one: &Declaration<'_>) -> Option<Vec<String>> {
    match one {
        Declaration::FunctionDeclaration(one) => Some(vec![one.id.as_ref()?.name.to_string()]),
        Declaration::ClassDeclaration(one) => Some(vec![one.id.as_ref()?.name.to_string()]),
        Declaration::VariableDeclaration(all) if all.kind.is_const() => all
            .declarations
            .iter()
            .map(|one| match &one.id {
                BindingPattern::BindingIdentifier(id) => Some(id.name.to_string()),
                _ => None,
            })
            .collect(),
        _ => None,
    }
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
