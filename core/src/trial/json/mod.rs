//! Trials as JSON: what a review file and a link carry. Whatever comes from outside is read here, and nothing is taken that is out of
//! bounds.
//!
//! An edit is an object with its name as `edit` and its fields by their names here; faces are indices from 0, sides `u_low`, `u_high`,
//! `v_low`, `v_high`, orders `g0` to `g3`, lengths mm, angles degrees.

mod at;
mod read;
#[cfg(test)]
mod tests;
mod write;

use super::{Edit, Trial, Trials};
use at::At;
use core::fmt;
use serde_json::{Value, json};

/// Why JSON is no trial.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrialJsonError {
    /// The entry that is wrong, as "2.edit.by.0": the second of the list is 1.
    pub field: String,
    /// What it should be.
    pub wanted: String,
}

impl fmt::Display for TrialJsonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.field.is_empty() { write!(f, "not {}", self.wanted) } else { write!(f, "{} is not {}", self.field, self.wanted) }
    }
}

impl std::error::Error for TrialJsonError {}

/// Trials in a list. Larger: a file that was not made by hand takes minutes; smaller: long work is cut off.
const TRIALS: usize = 200;

/// Characters of a name.
const NAME: usize = 200;

impl Edit {
    /// As JSON.
    pub fn to_json(&self) -> Value {
        write::edit(self)
    }

    /// Of JSON, for a model of `faces` faces.
    ///
    /// # Errors
    /// Names the first entry that is missing, of another kind, or out of bounds.
    pub fn from_json(value: &Value, faces: usize) -> Result<Self, TrialJsonError> {
        read::edit(&At::new(value, faces))
    }
}

impl Trials {
    /// As JSON, without its history: a list of `{name, on, edit}`.
    pub fn to_json(&self) -> Value {
        self.list().iter().map(|t| json!({ "name": t.name, "on": t.on, "edit": t.edit.to_json() })).collect()
    }

    /// Of JSON, for a model of `faces` faces, without a history.
    ///
    /// # Errors
    /// As [`Edit::from_json`].
    pub fn from_json(value: &Value, faces: usize) -> Result<Self, TrialJsonError> {
        let at = At::new(value, faces);
        let one = |t: &At<'_>| {
            let name = t.field("name")?.text(NAME)?.to_owned();
            Ok(Trial { name, on: t.field("on")?.flag()?, edit: read::edit(&t.field("edit")?)? })
        };
        Ok(Self::of(at.list(TRIALS)?.iter().map(one).collect::<Result<_, _>>()?))
    }
}
