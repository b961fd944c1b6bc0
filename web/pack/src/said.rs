//! What a review that was saved in the page says, for a check at the command line.

use std::fmt::Write;
use std::path::Path;

use rakelight_core::finding::Zone;
use rakelight_core::review::Verdict;
use rakelight_core::review::said::{ReviewFile, Said};
use serde_json::Value;

use crate::digits;
use crate::review::read;

/// What was said, and what is odd about it.
#[derive(Debug, Default)]
pub struct Heard {
    /// Marks, pins, checklist, words.
    pub said: Said,
    /// A line each.
    pub warnings: Vec<String>,
}

impl Heard {
    /// Reads the review of a model with this hash that is judged by this zone.
    ///
    /// # Errors
    /// The file cannot be read or is no review; the message names the entry and line.
    pub fn read(path: &Path, hash: &str, zone: Zone) -> Result<Self, String> {
        let File { name, plain, file, .. } = File::read(path)?;
        let mut warnings = Vec::new();
        if file.model.hash != hash {
            warnings.push(format!("{}; what it says of findings may not fit", made_on_others(&name, &file)));
        }
        let made = plain["review"]["yardstick"].as_str().unwrap_or(zone.text());
        if made != zone.text() {
            warnings.push(format!("{name} judges by the {made} yardstick, this check by {}: see --yardstick", zone.text()));
        }
        let limits = plain["review"]["limits"].as_object();
        if limits.is_some_and(|l| l.values().any(|z| z.as_object().is_some_and(|z| !z.is_empty()))) {
            warnings.push(format!("{name} has limits of its own; this check judges by the usual ones"));
        }
        Ok(Self { said: file.review, warnings })
    }
}

/// A review file that has been read.
struct File {
    name: String,
    text: String,
    plain: Value,
    file: ReviewFile,
}

impl File {
    fn read(path: &Path) -> Result<Self, String> {
        let (name, bytes) = read(path)?;
        let wrong = |what: String| format!("{name} is no sound review: {what}");
        // Some editors put a mark of their own before the text.
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
        let plain: Value = serde_json::from_slice(text).map_err(|e| wrong(e.to_string()))?;
        if plain["rakelight_review"] != 1 {
            return Err(wrong("rakelight_review is not 1, the form that is read here".into()));
        }
        let file: ReviewFile = serde_path_to_error::deserialize(&mut serde_json::Deserializer::from_slice(text))
            .map_err(|e| wrong(format!("{}: {}", e.path(), e.inner())))?;
        let text = String::from_utf8_lossy(text).into_owned();
        Ok(Self { name, text, plain, file })
    }
}

fn made_on_others(name: &str, file: &ReviewFile) -> String {
    let about = if file.model.name.is_empty() { "another file" } else { &file.model.name };
    format!("{name} was made on other bytes ({about})")
}

/// The text of a review to go along with a model, or without one, and a warning where it is another model's.
///
/// # Errors
/// As of [`Heard::read`].
pub fn along(path: &Path, model: Option<&[u8]>) -> Result<(String, Option<String>), String> {
    let File { name, text, file, .. } = File::read(path)?;
    let others = model.is_some_and(|bytes| file.model.hash != digits::sha256(bytes));
    Ok((text, others.then(|| format!("{}; the page asks before it uses it", made_on_others(&name, &file)))))
}

/// A verdict for a terminal.
pub fn verdict(verdict: &Verdict) -> String {
    let mut t = String::from("\nVerdict, with what the review says:\n");
    // Writing to a string cannot fail.
    for p in &verdict.summary {
        let _ = writeln!(t, "  {}", p.sentences.join(" "));
    }
    for p in &verdict.passes {
        let score = p.score.map_or_else(|| format!("–, {}", p.without), |s| format!("{s} of 100"));
        let _ = writeln!(t, "  {}: {score}", p.title);
    }
    if let Some(rating) = &verdict.rating {
        let _ = writeln!(t, "  Rating: {} of {}", rating.given.0, rating.of.0);
    }
    t
}
