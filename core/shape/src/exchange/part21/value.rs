//! The values of a record.

use super::lexer::{Lexer, Token, Unexpected};

/// One value; text points into the file.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::exchange) enum Value<'a> {
    /// A reference to an entity.
    Reference(u64),
    /// A whole number.
    Integer(i64),
    /// A real number.
    Real(f64),
    /// Text, still encoded.
    Text(&'a [u8]),
    /// A name from a fixed list; .T. and .F. are these too.
    Enumeration(&'a str),
    /// A value with its type said, as LENGTH_MEASURE(25.4).
    Typed(&'a str, Vec<Value<'a>>),
    /// A list.
    List(Vec<Value<'a>>),
    /// A value that stands in another file, or a constant of the schema: there, but not known here.
    Elsewhere,
    /// No value, a derived one, or binary data (which no shape needs).
    Unset,
}

/// What parsing one entity may still take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    pub values: usize,
    pub depth: usize,
}

/// Reads the values after an opening bracket up to its closing one.
pub(super) fn values<'a>(lexer: &mut Lexer<'a>, room: &mut Room) -> Result<Vec<Value<'a>>, Unexpected> {
    let full = |lexer: &Lexer<'_>, expected| Unexpected { offset: lexer.offset(), expected };
    if room.depth == 0 {
        return Err(full(lexer, "fewer brackets inside brackets"));
    }
    room.depth -= 1;
    let mut found = Vec::new();
    let mut first = true;
    loop {
        let mut token = lexer.next()?;
        if first && token == Token::Close {
            break;
        }
        if !first {
            match token {
                Token::Comma => token = lexer.next()?,
                Token::Close => break,
                _ => return Err(full(lexer, "a comma or a closing bracket")),
            }
        }
        first = false;
        room.values = room.values.checked_sub(1).ok_or_else(|| full(lexer, "fewer values in one entity"))?;
        found.push(match token {
            Token::Reference(id) => Value::Reference(id),
            Token::Integer(n) => Value::Integer(n),
            Token::Real(x) => Value::Real(x),
            Token::Text(t) => Value::Text(t),
            Token::Enumeration(e) => Value::Enumeration(e),
            Token::Elsewhere => Value::Elsewhere,
            Token::Unset | Token::Derived | Token::Binary => Value::Unset,
            Token::Open => Value::List(values(lexer, room)?),
            Token::Word(name) => match lexer.next()? {
                Token::Open => Value::Typed(name, values(lexer, room)?),
                _ => return Err(full(lexer, "an opening bracket")),
            },
            _ => return Err(full(lexer, "a value")),
        });
    }
    room.depth += 1;
    Ok(found)
}
