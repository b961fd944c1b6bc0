//! `check` at the command line.

use std::fs;
use std::path::Path;
use std::time::{Instant, SystemTime};

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::exchange;
use rakelight_core::finding::Zone;
use rakelight_core::progress::Silent;
use rakelight_core::reference::Reference;
use rakelight_core::review::report::Report;
use rakelight_core::review::{self, Beside, Check, Opened, Options, ZonePlan, ZoneRule};

use crate::cli::{Against, Column, Others, Print, Reading};
use crate::said::{self, Heard};
use crate::{PackError, date, digits, site};

/// What a check has to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reviewed {
    /// What was asked for, with a line break at its end.
    pub text: String,
    /// What it comes to.
    pub outcome: Outcome,
    /// Entities with shape that are in the file and not in the review.
    pub unread: usize,
    /// What is odd about the review that was given.
    pub warnings: Vec<String>,
}

/// What a check comes to, for a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing serious was found.
    Clean,
    /// Something serious was found.
    Serious,
    /// The file was understood, but none of its faces could be read: there is nothing to judge.
    Nothing,
}

/// Reviews a file, or the demo model, by the core that the page runs too.
///
/// # Errors
/// A file cannot be read from disk, or no model can be read from it, or nothing to hold another against; the message is meant for
/// the user.
pub fn check(
    file: Option<&Path>,
    print: Print,
    (yardstick, rules): (Column, Vec<ZoneRule>),
    reading: Reading,
    others: &Others,
) -> Result<Reviewed, String> {
    let (name, bytes) = match file {
        Some(path) => read(path)?,
        None => {
            let name = site::DEMO.rsplit('/').next().unwrap_or(site::DEMO);
            (name.to_owned(), bramble::step(Revision::A).into_bytes())
        }
    };
    let usual = match yardstick {
        Column::Visible => Zone::Visible,
        Column::Secondary => Zone::Secondary,
        Column::Hidden => Zone::Hidden,
    };
    let zones = ZonePlan { usual, rules, picked: Vec::new() };
    let mut options = Options { zones, ..Options::default() };
    (options.limits.unit, options.limits.hidden) = (reading.unit, reading.hidden);
    let reference = others.against.as_ref().map(|against| held(against, &options)).transpose()?;
    let earlier = others.earlier.as_deref().map(read).transpose()?;
    let hash = digits::sha256(&bytes);
    let heard = others.review.as_deref().map(|path| Heard::read(path, &hash, usual)).transpose()?.unwrap_or_default();
    let earlier = earlier.as_ref().map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
    let began = Instant::now();
    let mut clock = || began.elapsed().as_secs_f64() * 1e3;
    let beside = Beside { reference: reference.as_ref(), earlier };
    let (opened, check) =
        review::run_kept(&bytes, &name, beside, &options, &mut Silent, &mut clock).map_err(|error| unread(&name, &error))?;
    let text = told(print, &opened, &check, &heard, &hash, &options, others.review.is_some())?;
    let outcome = match check.has_serious() {
        true => Outcome::Serious,
        false if check.faces.is_empty() => Outcome::Nothing,
        false => Outcome::Clean,
    };
    Ok(Reviewed { text, outcome, unread: check.unread.len(), warnings: heard.warnings })
}

/// What is printed.
fn told(print: Print, opened: &Opened, check: &Check, heard: &Heard, hash: &str, options: &Options, said: bool) -> Result<String, String> {
    let zones = opened.zones(options);
    let zone = |faces: &[usize]| zones.of_numbers(faces);
    match print {
        Print::Text if said => Ok(check.to_text() + &said::verdict(&review::verdict(check, &heard.said, &zone))),
        Print::Text => Ok(check.to_text()),
        Print::Json => Ok(check.to_json().map_err(|error| error.to_string())? + "\n"),
        Print::Report(form) => {
            let report = Report {
                check,
                graph: &opened.graph,
                floors: &options.joins.floors,
                hash,
                made: &date::in_words(SystemTime::now()),
                said: &heard.said,
                yardstick: &options.yardstick,
                zone: &zone,
                pictures: &[],
            };
            report.write(form).map_err(|error| error.to_string())
        }
    }
}

/// Name and bytes of a file.
pub(crate) fn read(path: &Path) -> Result<(String, Vec<u8>), String> {
    let bytes = fs::read(path).map_err(|error| PackError::file("read", path)(error).to_string())?;
    // A path without a last part ("..") names a folder, which has just failed to be read.
    Ok((path.file_name().unwrap_or_default().to_string_lossy().into_owned(), bytes))
}

/// The reference of a file, in the unit that file states.
fn held(against: &Against, options: &Options) -> Result<Reference, String> {
    let (name, bytes) = read(&against.file)?;
    let limits = exchange::Limits { unit: None, ..options.limits };
    let import = exchange::read(&bytes, &name, &limits, &mut Silent).map_err(|error| unread(&name, &error))?;
    Reference::new(&name, import.model, against.near, &mut Silent).map_err(|error| unread(&name, &error))
}

pub(crate) fn unread(name: &str, error: &dyn std::error::Error) -> String {
    format!("{name} could not be read: {error}")
}
