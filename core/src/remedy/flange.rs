//! The remedy of a narrow flange.

use super::ground::Ground;
use super::{NoRemedy, Remedy};
use crate::finding::Finding;
use crate::measure::Subject;
use crate::trial::{Edit, Extend, side as box_side};

/// The flange's outer face carried on by what is missing.
pub(super) fn widened(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let length = finding.limit - finding.value;
    let mut all = Vec::new();
    for &face in finding.faces.iter().skip(1).rev() {
        let Ok(ground) = Ground::new(subject, face) else { continue };
        // Its free border lies across from the side that hangs on.
        let outer = (0..4).find(|&i| ground.whole && ground.sides[i].open && !ground.sides[i ^ 1].open);
        if let Some(side) = outer.filter(|_| length > 0.0) {
            let edit = Extend { face, side: box_side(side), length };
            all.push(Remedy::one(format!("Widen the flange by {length:.2} mm"), Edit::Extend(edit)));
        }
    }
    if all.is_empty() { Err(NoRemedy::new("the flange is trimmed at its free border")) } else { Ok(all) }
}
