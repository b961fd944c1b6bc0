//! The header of a PLY file: which elements there are, how many, and what each row of them holds.

use crate::exchange::ReadError;
use crate::exchange::format::behind_mark;
use crate::exchange::mesh::place::Place;

/// What the data behind the header are.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Header {
    pub encoding: Encoding,
    /// In the order of their data.
    pub elements: Vec<Element>,
    /// Offset of the first byte behind the header, from the start of the file.
    pub data: usize,
    /// Line that byte is on, from 1.
    pub line: u32,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Text,
    LittleEndian,
    BigEndian,
}

/// A table of rows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Element {
    pub name: String,
    pub rows: usize,
    pub properties: Vec<Property>,
    /// Line it is declared on.
    pub line: u32,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Property {
    pub name: String,
    pub kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Scalar(Number),
    List { length: Number, item: Number },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Number {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Number {
    /// Both families of names are in use.
    fn named(word: &str) -> Option<Self> {
        Some(match word {
            "char" | "int8" => Self::I8,
            "uchar" | "uint8" => Self::U8,
            "short" | "int16" => Self::I16,
            "ushort" | "uint16" => Self::U16,
            "int" | "int32" => Self::I32,
            "uint" | "uint32" => Self::U32,
            "float" | "float32" => Self::F32,
            "double" | "float64" => Self::F64,
            _ => return None,
        })
    }

    /// Bytes in binary data.
    pub(super) fn size(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }

    fn is_whole(self) -> bool {
        !matches!(self, Self::F32 | Self::F64)
    }
}

impl Element {
    /// Least bytes a row takes; 0 only for an element without properties, of which no byte is written.
    pub(super) fn least_bytes(&self, encoding: Encoding) -> usize {
        let least = |property: &Property| match (encoding, property.kind) {
            // A digit, and a blank before the next.
            (Encoding::Text, _) => 2,
            (_, Kind::Scalar(number)) => number.size(),
            (_, Kind::List { length, .. }) => length.size(),
        };
        self.properties.iter().map(least).fold(0, usize::saturating_add)
    }

    /// Index of the scalar property called `name`.
    pub(super) fn scalar(&self, name: &str) -> Option<usize> {
        self.properties.iter().position(|p| p.name == name && matches!(p.kind, Kind::Scalar(_)))
    }

    /// Index of the list of corners.
    pub(super) fn corners(&self) -> Option<usize> {
        let named = |p: &Property| matches!(p.name.as_str(), "vertex_indices" | "vertex_index");
        self.properties.iter().position(|p| named(p) && matches!(p.kind, Kind::List { item, .. } if item.is_whole()))
    }
}

impl Header {
    /// Reads the header.
    ///
    /// # Errors
    /// With the line, when it is none, ends early, or says what cannot be.
    pub(super) fn read(bytes: &[u8]) -> Result<Self, ReadError> {
        let start = bytes.len() - behind_mark(bytes).len();
        let text = behind_mark(bytes);
        let wrong = |line: u32, message: &str| Place::Line(line).wrong(message.into());
        let Some(after) = text.strip_prefix(b"ply") else { return Err(wrong(1, "the file does not start with \"ply\"")) };
        // The first line end settles which kind it is: data may start with a byte that looks like another.
        let end = if after.starts_with(b"\r") && !after.starts_with(b"\r\n") { b'\r' } else { b'\n' };
        let mut encoding = None;
        let mut elements: Vec<Element> = Vec::new();
        let mut at = 0;
        let mut number = 0u32;
        loop {
            number = number.saturating_add(1);
            let rest = text.get(at..).unwrap_or_default();
            let Some(length) = memchr::memchr(end, rest) else {
                return Err(wrong(number, "the file ends inside the header: expected \"end_header\""));
            };
            let line = String::from_utf8_lossy(rest.get(..length).unwrap_or_default());
            at += length + 1;
            let words: Vec<&str> = line.split_ascii_whitespace().collect();
            match words.as_slice() {
                ["comment" | "obj_info", ..] | [] => {}
                ["ply"] if number == 1 => {}
                ["format", name, "1.0"] => {
                    encoding = Some(match *name {
                        "ascii" => Encoding::Text,
                        "binary_little_endian" => Encoding::LittleEndian,
                        "binary_big_endian" => Encoding::BigEndian,
                        _ => return Err(wrong(number, "expected \"ascii\", \"binary_little_endian\" or \"binary_big_endian\"")),
                    });
                }
                ["format", ..] => return Err(wrong(number, "expected a format and the version 1.0")),
                ["element", name, rows] => {
                    let Ok(rows) = rows.parse() else { return Err(wrong(number, "expected the number of rows")) };
                    if elements.iter().any(|e| e.name == *name) {
                        return Err(wrong(number, "an element of this name is declared already"));
                    }
                    elements.push(Element { name: (*name).into(), rows, properties: Vec::new(), line: number });
                }
                ["property", rest @ ..] => {
                    let Some(element) = elements.last_mut() else { return Err(wrong(number, "a property before any element")) };
                    let Some(property) = property(rest) else {
                        return Err(wrong(number, "expected a property as \"TYPE NAME\" or \"list TYPE TYPE NAME\""));
                    };
                    element.properties.push(property);
                }
                ["end_header"] => break,
                _ => return Err(wrong(number, "expected a line of a PLY header")),
            }
            if elements.len() > MOST_ELEMENTS {
                return Err(wrong(number, "more elements than any sound file declares"));
            }
        }
        let encoding = encoding.ok_or_else(|| wrong(number, "the header names no format"))?;
        Ok(Self { encoding, elements, data: start + at, line: number.saturating_add(1) })
    }
}

/// Larger: looking for repeated names takes time by the square of it; smaller: files with many tables of their own fall.
const MOST_ELEMENTS: usize = 256;

fn property(words: &[&str]) -> Option<Property> {
    match *words {
        ["list", length, item, name] => {
            let length = Number::named(length).filter(|n| n.is_whole())?;
            Some(Property { name: name.into(), kind: Kind::List { length, item: Number::named(item)? } })
        }
        [kind, name] => Some(Property { name: name.into(), kind: Kind::Scalar(Number::named(kind)?) }),
        _ => None,
    }
}
