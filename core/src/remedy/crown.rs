//! The remedy of a panel with too little crown.

use super::ground::Ground;
use super::refit::face_of;
use super::{NoRemedy, Remedy};
use crate::finding::{Finding, MeasureId};
use crate::joins::FLAT_RADIUS;
use crate::measure::Subject;
use crate::nurbs::{Direction, Surface};
use crate::trial::{Crown, Edit};

/// What a parabola over the whole length has in the middles of the outer thirds, as a share of its height.
const OUTER: f64 = 5.0 / 9.0;

/// How much more than a curvature of 1/10 m is given, so that it passes.
const MORE: f64 = 1.25;

/// Crown by thirds, the most in the middle: as much as is missing, or as bends the panel beyond low crown.
pub(super) fn raised(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let ground = Ground::new(subject, face_of(finding)?)?;
    let patch = &ground.patch;
    let (u, v) = patch.domain();
    let middle = patch.derivs(u.at(0.5), v.at(0.5), 1);
    let up = middle.su.cross(middle.sv) * subject.graph.orientation.sign(ground.face);
    let mut ways: Vec<(f64, Direction)> = [Direction::U, Direction::V].map(|d| (length(patch, d), d)).to_vec();
    if ways[1].0 > ways[0].0 {
        ways.reverse();
    }
    if finding.measure == MeasureId::FormLowCrown {
        // Bent along the shorter way, a panel rises less.
        ways.reverse();
    }
    let one = |(length, along): (f64, Direction)| {
        let missing = match finding.measure {
            MeasureId::FormCrown => finding.limit - finding.value,
            _ => MORE * length * length / (8.0 * FLAT_RADIUS),
        };
        let name = format!("{missing:.2} mm of crown along {}", if along == Direction::U { "u" } else { "v" });
        let by = [OUTER * missing, missing, OUTER * missing];
        Remedy::one(name, Edit::Crown(Crown { face: ground.face, along, by, up: Some(up), locks: ground.locks(None) }))
    };
    Ok(ways.into_iter().map(one).collect())
}

/// Length of a patch half way across, mm.
fn length(patch: &Surface, along: Direction) -> f64 {
    const STEPS: usize = 24;
    let (u, v) = patch.domain();
    let at = |i: usize| {
        let share = i as f64 / STEPS as f64;
        let (a, b) = if along == Direction::U { (u.at(share), v.at(0.5)) } else { (u.at(0.5), v.at(share)) };
        patch.derivs(a, b, 0).s
    };
    (0..STEPS).map(|i| at(i).distance(at(i + 1))).sum()
}
