//! The directory of a zip container and its entries. PKWARE APPNOTE 6.3.10, sections in brackets.

use super::checksum::crc32;
use super::inflate;
use crate::exchange::{Limits, ReadError};
use crate::model::Source;

/// One file in the container.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// Path in the container.
    pub name: String,
    method: u16,
    flags: u16,
    checksum: u32,
    packed: u64,
    /// Bytes once unpacked, as the directory says.
    pub size: u64,
    /// Of its local header.
    offset: u64,
}

/// Bytes unpacked to see what an entry is. Smaller: a long comment hides the mark of a model; larger: a container of
/// many entries takes long.
const START: usize = 1 << 14;

/// All entries, in the order of the directory at the end.
pub(super) fn directory(bytes: &[u8]) -> Result<Vec<Entry>, ReadError> {
    let end = end_record(bytes).ok_or_else(|| damaged(bytes.len(), "the zip container is cut off: it has no directory at its end"))?;
    let total = Fields(bytes).u16(end + 10).unwrap_or(0);
    let mut at = Fields(bytes).u32(end + 16).map_or(usize::MAX, |n| n as usize);
    let mut entries = Vec::new();
    while at < end && bytes.get(at..).is_some_and(|rest| rest.starts_with(b"PK\x01\x02")) {
        let (entry, next) = entry(bytes, at).ok_or_else(|| damaged(at, "the zip container's directory is damaged"))?;
        entries.push(entry);
        at = next;
    }
    // The count has 16 bits; a container with more entries counts on from 0 [4.4.22].
    if entries.len() as u64 & 0xffff != u64::from(total) {
        let message = format!("the zip container's directory is damaged: {} entries are promised, {} found", total, entries.len());
        return Err(damaged(at.min(end), &message));
    }
    Ok(entries)
}

impl Entry {
    /// True for a file with bytes; folders and the side files of one system's archiver are none.
    pub(super) fn is_file(&self) -> bool {
        !self.name.ends_with('/') && !self.name.starts_with("__MACOSX/") && self.size > 0
    }

    /// The name without folders.
    pub(super) fn base_name(&self) -> &str {
        self.name.rsplit(['/', '\\']).next().unwrap_or_default()
    }

    /// Why it cannot be unpacked; None when it can.
    pub(super) fn blocked(&self) -> Option<&'static str> {
        // Bit 0: encrypted [4.4.4].
        if self.flags & 1 != 0 {
            return Some("encrypted");
        }
        // [4.4.5]
        Some(match self.method {
            0 | 8 => return None,
            9 => "packed with Deflate64, which is not read",
            12 => "packed with bzip2, which is not read",
            14 => "packed with LZMA, which is not read",
            93 => "packed with Zstandard, which is not read",
            95 => "packed with xz, which is not read",
            _ => "packed with a method that is not known",
        })
    }

    /// The first bytes, unpacked.
    pub(super) fn start(&self, bytes: &[u8]) -> Result<Vec<u8>, ReadError> {
        let packed = self.packed_bytes(bytes)?;
        let most = usize::try_from(self.size).map_or(START, |size| size.min(START));
        let start = match self.method {
            0 => packed.get(..most).map(<[u8]>::to_vec),
            _ => inflate::start(packed, most),
        };
        start.ok_or_else(|| self.wrong("is damaged: it cannot be unpacked"))
    }

    /// The whole file, its checksum compared.
    pub(super) fn unpack(&self, bytes: &[u8], limits: &Limits) -> Result<Vec<u8>, ReadError> {
        let packed = self.packed_bytes(bytes)?;
        inflate::allow(&format!("\"{}\" in the zip container", self.name), packed.len(), self.size, limits)?;
        let size = usize::try_from(self.size).map_err(|_| self.wrong("is larger than this machine can address"))?;
        let file = match self.method {
            0 => (packed.len() == size).then(|| packed.to_vec()),
            _ => inflate::whole(packed, size),
        };
        let file = file.ok_or_else(|| self.wrong("is damaged: it does not unpack to the size that is promised"))?;
        if crc32(&file) != self.checksum {
            return Err(self.wrong("is damaged: its checksum is not the one that is written with it"));
        }
        Ok(file)
    }

    fn packed_bytes<'a>(&self, bytes: &'a [u8]) -> Result<&'a [u8], ReadError> {
        let find = || {
            let at = usize::try_from(self.offset).ok()?;
            bytes.get(at..)?.starts_with(b"PK\x03\x04").then_some(())?;
            // Local header [4.3.7]: the lengths of name and extra may differ from the directory's.
            let fields = Fields(bytes);
            let skip = 30 + usize::from(fields.u16(at.checked_add(26)?)?) + usize::from(fields.u16(at.checked_add(28)?)?);
            let start = at.checked_add(skip)?;
            bytes.get(start..start.checked_add(usize::try_from(self.packed).ok()?)?)
        };
        find().ok_or_else(|| self.wrong("is damaged: it does not lie where the directory says"))
    }

    fn wrong(&self, what: &str) -> ReadError {
        damaged(usize::try_from(self.offset).unwrap_or(usize::MAX), &format!("\"{}\" in the zip container {what}", self.name))
    }
}

fn damaged(at: usize, message: &str) -> ReadError {
    ReadError::file(Source::default(), format!("at byte {at}: {message}"))
}

/// Offset of the end record [4.3.16]: the last one whose comment ends with the file.
fn end_record(bytes: &[u8]) -> Option<usize> {
    const LEAST: usize = 22;
    let first = bytes.len().saturating_sub(LEAST + usize::from(u16::MAX));
    let tail = bytes.get(first..)?;
    memchr::memmem::rfind_iter(tail, b"PK\x05\x06").map(|n| first + n).find(|&at| {
        let comment = Fields(bytes).u16(at + 20).map(usize::from);
        comment.is_some_and(|length| at + LEAST + length <= bytes.len())
    })
}

/// The entry at `at` in the directory [4.3.12], and where the next one is.
fn entry(bytes: &[u8], at: usize) -> Option<(Entry, usize)> {
    let fields = Fields(bytes);
    let [name, extra, comment] = [28, 30, 32].map(|n| fields.u16(at + n).map(usize::from));
    let (name, extra, comment) = (name?, extra?, comment?);
    let start = at + 46;
    let text = bytes.get(start..start + name)?;
    let more = bytes.get(start + name..start + name + extra)?;
    let mut wide = wide_numbers(more);
    // A number that does not fit stands in the extra field, in this order [4.5.3].
    let mut number = |n: u32| if n == u32::MAX { wide.next() } else { Some(u64::from(n)) };
    let size = number(fields.u32(at + 24)?)?;
    let packed = number(fields.u32(at + 20)?)?;
    let offset = number(fields.u32(at + 42)?)?;
    let entry = Entry {
        name: String::from_utf8_lossy(text).into(),
        method: fields.u16(at + 10)?,
        flags: fields.u16(at + 8)?,
        checksum: fields.u32(at + 16)?,
        packed,
        size,
        offset,
    };
    Some((entry, start + name + extra + comment))
}

/// The 64-bit numbers of the extra field 1; none without it.
fn wide_numbers(mut extra: &[u8]) -> impl Iterator<Item = u64> + '_ {
    let mut found: &[u8] = &[];
    while let (Some(kind), Some(length)) = (Fields(extra).u16(0), Fields(extra).u16(2)) {
        let Some(body) = extra.get(4..4 + usize::from(length)) else { break };
        if kind == 1 {
            found = body;
            break;
        }
        extra = extra.get(4 + usize::from(length)..).unwrap_or_default();
    }
    found.chunks_exact(8).filter_map(|b| b.try_into().ok().map(u64::from_le_bytes))
}

/// Little-endian numbers at offsets that may lie outside.
struct Fields<'a>(&'a [u8]);

impl Fields<'_> {
    fn u16(&self, at: usize) -> Option<u16> {
        self.0.get(at..at.checked_add(2)?)?.try_into().ok().map(u16::from_le_bytes)
    }

    fn u32(&self, at: usize) -> Option<u32> {
        self.0.get(at..at.checked_add(4)?)?.try_into().ok().map(u32::from_le_bytes)
    }
}
