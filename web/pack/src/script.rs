//! Read a script, and write it as short as it can be told: without comments and spaces, and with short names where none outside reads them.

use std::fmt;

use oxc_allocator::Allocator;
use oxc_ast::ast::Program;
use oxc_codegen::{Codegen, CodegenOptions};
use oxc_mangler::Mangler;
use oxc_parser::{Parser, ParserReturn};
use oxc_semantic::{Scoping, SemanticBuilder};
use oxc_span::SourceType;

/// What is wrong with a script, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    /// Line, from 1.
    pub line: usize,
    /// What it is.
    pub why: String,
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: {}", self.line, self.why)
    }
}

impl std::error::Error for Wrong {}

/// The line of a place in a text, from 1.
pub fn line_at(text: &str, at: u32) -> usize {
    1 + text.bytes().take(at as usize).filter(|byte| *byte == b'\n').count()
}

/// The statements of a text.
///
/// # Errors
/// It is no script of that kind.
pub fn read<'a>(arena: &'a Allocator, text: &'a str, kind: SourceType) -> Result<ParserReturn<'a>, Wrong> {
    let read = Parser::new(arena, text, kind).parse();
    first(text, &read.errors)?;
    Ok(read)
}

/// What the names of a script mean.
///
/// # Errors
/// A name is declared twice, or a statement stands where it means nothing.
pub fn names<'a>(text: &str, program: &'a Program<'a>) -> Result<Scoping, Wrong> {
    let built = SemanticBuilder::new().with_check_syntax_error(true).build(program);
    first(text, &built.errors)?;
    Ok(built.semantic.into_scoping())
}

fn first(text: &str, errors: &[oxc_diagnostics::OxcDiagnostic]) -> Result<(), Wrong> {
    let Some(error) = errors.first() else { return Ok(()) };
    let at = error.labels.iter().flatten().next().map_or(0, |label| label.offset());
    Err(Wrong { line: line_at(text, u32::try_from(at).unwrap_or(u32::MAX)), why: error.message.to_string() })
}

/// The same script, shorter. Names at its top stay: other scripts of a page may read them.
///
/// # Errors
/// It is no script of that kind.
pub fn shorter(text: &str, kind: SourceType) -> Result<String, Wrong> {
    let arena = Allocator::default();
    let program = read(&arena, text, kind)?.program;
    names(text, &program)?;
    let short = Mangler::new().build(&program);
    let written = Codegen::new()
        .with_options(CodegenOptions::minify())
        .with_scoping(Some(short.scoping))
        .with_private_member_mappings(Some(short.class_private_mappings))
        .build(&program);
    Ok(written.code)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn short(script: &str) -> Result<String, Wrong> {
        shorter(script, SourceType::cjs())
    }

    #[test]
    fn inner_names_are_short_and_outer_ones_and_texts_stay() {
        for (script, wanted) in [
            ("// a\nlet answer = 1; // b\n", "let answer=1;"),
            (
                "function twice(number) {\n  const { value: own, other } = number;\n  return { own, other };\n}",
                "function twice(e){const{value:t,other:n}=e;return{own:t,other:n}}",
            ),
            ("f(`a\n  // b ${(word) => word + outer}`);", "f(`a\n  // b ${e=>e+outer}`);"),
            ("class A { #secret = 1; get() { return this.#secret; } }", "class A{#e=1;get(){return this.#e}}"),
            ("f(/[/'`]\\/\"/.test(z), '// a');", "f(/[/'`]\\/\"/.test(z),`// a`);"),
        ] {
            assert_eq!(short(script).as_deref(), Ok(wanted), "{script}");
        }
    }

    #[test]
    fn what_is_no_script_is_told_by_its_line() {
        for (script, line) in [("a\n'b\nc", 2), ("a;\nb /* c", 2), ("\n\n`a", 3), ("let a;\nlet a;", 1), ("a;\nawait b;", 2)] {
            assert_eq!(short(script).map_err(|wrong| wrong.line), Err(line), "{script}");
        }
        assert_eq!(shorter("await b;\n", SourceType::mjs()).as_deref(), Ok("await b;"));
    }
}
