//! The edits that a trial can be.

use super::bench::{Bench, Outcome};
use super::{Conform, Crown, Drag, EdgeRefit, Extend, Merge, Refillet, Refit, Resweep, RidgeSign, TrialError};

/// What a trial does.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Edit {
    /// Control points moved.
    Drag(Drag),
    /// A patch of other degrees and spans in place of one.
    Refit(Refit),
    /// A side carried on from another patch.
    Conform(Conform),
    /// Crown added or taken by thirds.
    Crown(Crown),
    /// A crease made to bend one way along its whole length.
    RidgeSign(RidgeSign),
    /// Two neighbours made one patch.
    Merge(Merge),
    /// A border of lower degree, and the patch made anew on it.
    EdgeRefit(EdgeRefit),
    /// A patch carried on beyond a side.
    Extend(Extend),
    /// A two-rail sweep in place of a patch.
    Resweep(Resweep),
    /// A fillet with balanced setbacks in place of one.
    Refillet(Refillet),
}

impl Edit {
    /// What comes of it on faces as earlier trials have left them.
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        match self {
            Self::Drag(edit) => edit.made(bench),
            Self::Refit(edit) => edit.made(bench),
            Self::Conform(edit) => edit.made(bench),
            Self::Crown(edit) => edit.made(bench),
            Self::RidgeSign(edit) => edit.made(bench),
            Self::Merge(edit) => edit.made(bench),
            Self::EdgeRefit(edit) => edit.made(bench),
            Self::Extend(edit) => edit.made(bench),
            Self::Resweep(edit) => edit.made(bench),
            Self::Refillet(edit) => edit.made(bench),
        }
    }
}
