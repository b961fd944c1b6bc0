//! Splines as Bézier segments, one a span. NB §5.3.

use super::{Curve, Direction, NurbsError, Surface};
use crate::math::Interval;

/// One span of a surface as a Bézier patch over its own piece of the parameter domain.
#[derive(Debug, Clone, PartialEq)]
pub struct BezierPatch {
    /// The span in u.
    pub u: Interval,
    /// The span in v.
    pub v: Interval,
    /// The patch: a surface of one span in each direction, parameters unchanged.
    pub surface: Surface,
}

impl<const D: usize> Curve<D> {
    /// One Bézier segment a span, in order, each over its own piece of the domain.
    ///
    /// # Errors
    /// None in practice: a checked curve gives sound segments.
    pub fn bezier_segments(&self) -> Result<Vec<Self>, NurbsError> {
        self.knots().breaks().windows(2).map(|w| self.between(w[0], w[1])).collect()
    }
}

impl Surface {
    /// One Bézier patch a span, u-major.
    ///
    /// # Errors
    /// None in practice: a checked surface gives sound patches.
    pub fn bezier_patches(&self) -> Result<Vec<BezierPatch>, NurbsError> {
        let mut patches = Vec::new();
        for a in self.knots_u().breaks().windows(2) {
            let strip = self.between(Direction::U, a[0], a[1])?;
            for b in self.knots_v().breaks().windows(2) {
                let surface = strip.between(Direction::V, b[0], b[1])?;
                patches.push(BezierPatch { u: Interval::new(a[0], a[1]), v: Interval::new(b[0], b[1]), surface });
            }
        }
        Ok(patches)
    }
}
