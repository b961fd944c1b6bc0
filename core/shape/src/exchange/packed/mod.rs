//! Files packed in a zip container or with gzip: unpacked within limits, then read as what they are.
//!
//! ISO 10303-21:2016 lets an exchange structure lie in a zip container under the name `ISO-10303.p21`; in practice any name
//! is met, and meshes are packed as well. Deliberately absent: containers inside containers, encrypted entries, and
//! methods other than stored and deflate.

mod checksum;
mod gzip;
mod inflate;
#[cfg(test)]
mod tests;
mod zip;

pub use checksum::crc32;

use super::format::{Content, describe, detect_start};
use super::report::{Format, Import, ReadError, Remark};
use super::{Limits, read_as};
use crate::math::Arrange;
use crate::progress::Progress;
use zip::Entry;

/// The name of the exchange structure that a container is of. ISO 10303-21:2016.
const ROOT: &str = "ISO-10303.p21";

/// Entries looked into. Larger: a container of thousands of entries that share their bytes takes long; smaller: a model
/// behind that many pictures is not found.
const MOST_LOOKED_INTO: usize = 1000;

/// Reads the first model in a zip container; what else is in it is remarked.
pub(super) fn read_zip(bytes: &[u8], limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let mut entries = zip::directory(bytes)?;
    entries.retain(Entry::is_file);
    // Stable: what is not the root stays in the order of the container.
    entries.arrange_by_key(|entry| !entry.name.eq_ignore_ascii_case(ROOT));
    let mut chosen: Option<(&Entry, Format)> = None;
    let mut others = Vec::new();
    let mut blocked = None;
    for entry in entries.iter().take(MOST_LOOKED_INTO) {
        if let Some(why) = entry.blocked() {
            others.push(format!("\"{}\" is {why}", entry.name));
            blocked = blocked.or(Some((entry, why)));
            continue;
        }
        let start = entry.start(bytes)?;
        match (detect_start(&start, entry.size), &chosen) {
            (Ok(Content::Model(format)), None) => chosen = Some((entry, format)),
            (Ok(Content::Model(format)), Some(_)) => others.push(format!("\"{}\" is another model ({})", entry.name, format.name())),
            (Ok(Content::Zip | Content::Gzip), _) => others.push(format!("\"{}\" is packed once more", entry.name)),
            (Err(_), _) => others.push(format!("\"{}\" {}", entry.name, describe(&start))),
        }
    }
    let Some((entry, format)) = chosen else {
        if let Some((entry, why)) = blocked {
            return Err(ReadError::format(format!("the model in this zip container cannot be unpacked: \"{}\" is {why}", entry.name)));
        }
        let found = others.first().map_or_else(|| "it is empty".into(), |first| format!("of {} files the first, {first}", entries.len()));
        return Err(ReadError::format(format!("this zip container holds no model: {found}")));
    };
    let unpacked = entry.unpack(bytes, limits)?;
    let mut import = inside(&entry.name, read_as(format, &unpacked, entry.base_name(), limits, progress))?;
    let skipped = entries.len().saturating_sub(MOST_LOOKED_INTO);
    if skipped > 0 {
        others.push(format!("{skipped} more files were not looked into"));
    }
    let remarks = others.into_iter().map(|other| format!("left out of the zip container: {other}"));
    let first = format!("read from \"{}\" in a zip container", entry.name);
    remark_first(&mut import, core::iter::once(first).chain(remarks), limits);
    Ok(import)
}

/// Reads the one file that gzip packed.
pub(super) fn read_gzip(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let member = gzip::member(bytes)?;
    let unpacked = member.unpack(limits)?;
    let own_name = member.name.as_deref().unwrap_or(name);
    let content = inside(own_name, super::detect(&unpacked))?;
    let Content::Model(format) = content else {
        return Err(ReadError::format("what this gzip data holds is packed once more: unpack it first".into()));
    };
    let mut import = inside(own_name, read_as(format, &unpacked, own_name, limits, progress))?;
    remark_first(&mut import, core::iter::once("unpacked from gzip data".to_string()), limits);
    Ok(import)
}

/// What is said of a file inside says so; its lines are those of the unpacked file.
fn inside<T>(name: &str, result: Result<T, ReadError>) -> Result<T, ReadError> {
    result.map_err(|error| ReadError { message: format!("in \"{name}\", unpacked: {}", error.message), ..error })
}

/// Puts remarks on the container before those on the file in it.
fn remark_first(import: &mut Import, texts: impl Iterator<Item = String>, limits: &Limits) {
    let report = &mut import.report;
    report.remarks.splice(0..0, texts.map(|text| Remark { entity: None, line: None, text }));
    report.remarks_dropped += report.remarks.len().saturating_sub(limits.remarks);
    report.remarks.truncate(limits.remarks);
}
