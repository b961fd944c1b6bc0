//! Numbers one after the other, from text or from binary data of either byte order.

use super::header::{Encoding, Header, Number};
use crate::exchange::ReadError;
use crate::exchange::mesh::place::Place;
use crate::exchange::mesh::words::Words;

/// Where in the data reading is.
#[derive(Debug, Clone)]
pub(super) enum Cursor<'a> {
    Text(Words<'a>),
    Binary { bytes: &'a [u8], at: usize, big: bool },
}

impl<'a> Cursor<'a> {
    /// At the first byte behind the header.
    pub(super) fn new(bytes: &'a [u8], header: &Header) -> Self {
        match header.encoding {
            Encoding::Text => Self::Text(Words::new(bytes, header.data, header.line)),
            encoding => Self::Binary { bytes, at: header.data, big: encoding == Encoding::BigEndian },
        }
    }

    /// Where the next number stands, or in text the last one.
    pub(super) fn place(&self) -> Place {
        match self {
            Self::Text(words) => words.place(),
            Self::Binary { at, .. } => Place::Byte(*at),
        }
    }

    /// Bytes read so far, from the start of the file.
    pub(super) fn offset(&self) -> usize {
        match self {
            Self::Text(words) => words.offset(),
            Self::Binary { at, .. } => *at,
        }
    }

    /// True when nothing but blanks follows.
    pub(super) fn is_done(&self) -> bool {
        match self {
            Self::Text(words) => words.peek().is_none(),
            Self::Binary { bytes, at, .. } => bytes.get(*at..).is_none_or(|rest| rest.trim_ascii().is_empty()),
        }
    }

    /// The next number. Every kind fits a double.
    pub(super) fn number(&mut self, kind: Number) -> Result<f64, ReadError> {
        match self {
            Self::Text(words) => words.number(),
            Self::Binary { big, .. } => {
                let big = *big;
                let mut raw = [0; 8];
                let size = kind.size();
                let given = self.take(size)?;
                // Little endian from here on.
                for (slot, index) in raw.iter_mut().zip(0..size) {
                    *slot = given.get(if big { size - 1 - index } else { index }).copied().unwrap_or(0);
                }
                let [a, b, c, d, ..] = raw;
                Ok(match kind {
                    Number::I8 => f64::from(a as i8),
                    Number::U8 => f64::from(a),
                    Number::I16 => f64::from(i16::from_le_bytes([a, b])),
                    Number::U16 => f64::from(u16::from_le_bytes([a, b])),
                    Number::I32 => f64::from(i32::from_le_bytes([a, b, c, d])),
                    Number::U32 => f64::from(u32::from_le_bytes([a, b, c, d])),
                    Number::F32 => f64::from(f32::from_le_bytes([a, b, c, d])),
                    Number::F64 => f64::from_le_bytes(raw),
                })
            }
        }
    }

    /// The next number as the length of a list.
    pub(super) fn length(&mut self, kind: Number) -> Result<usize, ReadError> {
        let place = self.place();
        let value = self.number(kind)?;
        // Text counts its place behind the number, binary before it.
        let place = if matches!(self, Self::Text(_)) { self.place() } else { place };
        whole(value).map(|n| n as usize).ok_or_else(|| place.wrong(format!("a list cannot have {value} items")))
    }

    /// Steps over `n` numbers.
    pub(super) fn skip(&mut self, kind: Number, n: usize) -> Result<(), ReadError> {
        match self {
            Self::Text(words) => {
                for _ in 0..n {
                    let word = words.next();
                    if word.is_none() {
                        return Err(words.unexpected(word, "a number"));
                    }
                }
            }
            Self::Binary { .. } => {
                self.take(n.saturating_mul(kind.size()))?;
            }
        }
        Ok(())
    }

    fn take(&mut self, n: usize) -> Result<&'a [u8], ReadError> {
        let Self::Binary { bytes, at, .. } = self else { return Ok(&[]) };
        let Some(taken) = at.checked_add(n).and_then(|end| bytes.get(*at..end)) else {
            let message = "the file ends inside what starts here: it is cut off or a count is damaged";
            return Err(Place::Byte(*at).wrong(message.into()));
        };
        *at += n;
        Ok(taken)
    }
}

/// A number as a count or an index; None when it is no whole number from 0 to 2³² − 1.
pub(super) fn whole(value: f64) -> Option<u32> {
    let n = value as u32; // saturates, so that what does not fit is not equal below
    (f64::from(n) == value).then_some(n)
}
