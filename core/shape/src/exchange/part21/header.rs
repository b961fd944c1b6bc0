//! What the header of a Part 21 file says. ISO 10303-21:2016, 8.2.

use super::lexer::{Lexer, Token};
use super::text::decode;
use super::value::{Room, Value, values};

/// What is kept of the header; empty where the file says nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(in crate::exchange) struct Header {
    /// First name in FILE_SCHEMA, without the numbers behind it.
    pub schema: String,
    /// FILE_NAME, originating_system: the program the data comes from.
    pub system: String,
    /// FILE_NAME, preprocessor_version: what has written the file.
    pub preprocessor: String,
}

impl Header {
    /// Takes in the statement `name`, whose values follow in the lexer. Others than the two kept are passed over, as
    /// are damaged ones.
    pub(super) fn see(&mut self, name: &str, lexer: &mut Lexer<'_>, mut room: Room) {
        if !matches!(name, "FILE_SCHEMA" | "FILE_NAME") || lexer.next() != Ok(Token::Open) {
            return;
        }
        let found = values(lexer, &mut room).unwrap_or_default();
        if name == "FILE_SCHEMA" {
            self.schema = text(found.first()).split([' ', '{']).next().unwrap_or_default().into();
        } else {
            self.preprocessor = text(found.get(4)).trim().into();
            self.system = text(found.get(5)).trim().into();
        }
    }
}

/// A text, or the first of a list of texts.
fn text(value: Option<&Value<'_>>) -> String {
    let value = match value {
        Some(Value::List(inner)) => inner.first(),
        other => other,
    };
    match value {
        Some(Value::Text(raw)) => decode(raw),
        _ => String::new(),
    }
}
