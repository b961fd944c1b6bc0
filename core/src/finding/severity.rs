//! How much a finding matters.

/// Severity, the worst first in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Visible on the painted part, or blocks downstream work.
    Serious,
    /// To be mended.
    Fix,
    /// Only a picky eye sees it.
    Polish,
    /// Done well.
    Good,
}

impl Severity {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Severity::Serious => "serious",
            Severity::Fix => "fix",
            Severity::Polish => "polish",
            Severity::Good => "good",
        }
    }

    /// The severity of a name; None for an unknown one.
    pub fn from_text(text: &str) -> Option<Severity> {
        [Severity::Serious, Severity::Fix, Severity::Polish, Severity::Good].into_iter().find(|s| s.text() == text)
    }
}
