//! Trials as the text that a page holds.

use super::{TrialJsonError, Trials};

impl Trials {
    /// Of a text in JSON, for a model of `faces` faces, without a history.
    ///
    /// # Errors
    /// Where the text is no JSON; else as [`Trials::from_json`].
    pub fn from_text(text: &str, faces: usize) -> Result<Self, TrialJsonError> {
        let value = serde_json::from_str(text).map_err(|e| TrialJsonError { field: String::new(), wanted: format!("JSON: {e}") })?;
        Self::from_json(&value, faces)
    }
}
