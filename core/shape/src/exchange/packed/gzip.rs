//! One file packed with gzip. RFC 1952, sections in brackets.

use super::checksum::crc32;
use super::inflate;
use crate::exchange::{Limits, ReadError};
use crate::model::Source;

/// The one member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Member<'a> {
    /// The name of the file that was packed, where it is written.
    pub name: Option<String>,
    packed: &'a [u8],
    checksum: u32,
    size: u32,
}

/// Finds the member. Several one after the other, which the format allows, are not read: sizes would not be known.
pub(super) fn member(bytes: &[u8]) -> Result<Member<'_>, ReadError> {
    header(bytes).ok_or_else(|| damaged("the gzip data are cut off inside their header"))
}

impl Member<'_> {
    /// The file, its checksum compared.
    pub(super) fn unpack(&self, limits: &Limits) -> Result<Vec<u8>, ReadError> {
        inflate::allow("what gzip packed", self.packed.len(), u64::from(self.size), limits)?;
        let file = inflate::whole(self.packed, self.size as usize)
            .ok_or_else(|| damaged("the gzip data are damaged or cut off: they do not unpack to the size at their end"))?;
        if crc32(&file) != self.checksum {
            return Err(damaged("the gzip data are damaged: their checksum is not the one at their end"));
        }
        Ok(file)
    }
}

fn damaged(message: &str) -> ReadError {
    ReadError::file(Source::default(), format!("at byte 0: {message}"))
}

fn header(bytes: &[u8]) -> Option<Member<'_>> {
    let (body, end) = bytes.split_at_checked(bytes.len().checked_sub(8)?)?;
    let (checksum, size) = end.split_at_checked(4)?;
    let flags = *body.get(3)?;
    let mut rest = body.get(10..)?;
    // Extra field, name, comment and header checksum, each there when its bit is set [2.3.1].
    if flags & 4 != 0 {
        let length = u16::from_le_bytes(rest.get(..2)?.try_into().ok()?);
        rest = rest.get(2 + usize::from(length)..)?;
    }
    let mut name = None;
    for bit in [8, 16] {
        if flags & bit != 0 {
            let length = memchr::memchr(0, rest)?;
            if bit == 8 {
                name = Some(String::from_utf8_lossy(rest.get(..length)?).into_owned());
            }
            rest = rest.get(length + 1..)?;
        }
    }
    if flags & 2 != 0 {
        rest = rest.get(2..)?;
    }
    let number = |b: &[u8]| b.try_into().ok().map(u32::from_le_bytes);
    Some(Member { name, packed: rest, checksum: number(checksum)?, size: number(size)? })
}
