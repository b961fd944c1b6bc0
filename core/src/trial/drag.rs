//! Moving control points.

use super::bench::{Bench, Outcome, Sheet};
use super::lock::restrain;
use super::net::shifted;
use super::{Lock, Moved, TrialError};
use crate::layout::MirrorPlane;
use crate::math::Vec3;
use crate::model::FaceId;
use crate::nurbs::Surface;

/// A control point pulled, those around it following.
#[derive(Debug, Clone, PartialEq)]
pub struct Drag {
    /// The face.
    pub face: FaceId,
    /// Row (along u) and column (along v) of the control point.
    pub point: (usize, usize),
    /// How far, mm.
    pub by: Vec3,
    /// How many rows and columns beside it follow, each less than the one before; 0 and 0: none but the point itself.
    pub reach: (usize, usize),
    /// What the sides keep: least u, greatest u, least v, greatest v.
    pub locks: [Lock; 4],
    /// Moves the mirror image's points by the mirror image of the move.
    pub twin: Option<Twin>,
}

/// The other side of a symmetric pair.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twin {
    /// The face that is the mirror image; the same face where it runs through the plane.
    pub face: FaceId,
    /// The centre plane.
    pub plane: MirrorPlane,
}

/// Part of the net's size by which a twin's control points may lie off the mirror image. Larger: a net that only looks alike is
/// moved; smaller: halves mirrored by other programs, whose places are rounded, are refused. Common practice, no source.
const ALIKE: f64 = 1e-5;

impl Drag {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        let sheet = bench.sheet(self.face)?;
        let mut by = self.pull(&sheet.patch)?;
        let mut outcome = Outcome::default();
        match self.twin {
            Some(twin) if twin.face == self.face => {
                by = both_sides(&sheet.patch, twin.plane, &by)?;
                restrain(&sheet.patch, &self.locks, &mut by)?;
            }
            Some(twin) => {
                restrain(&sheet.patch, &self.locks, &mut by)?;
                let other = bench.sheet(twin.face)?;
                let mut image = vec![Vec3::ZERO; other.patch.points().len()];
                for (k, at) in matched(&sheet.patch, &other.patch, twin.plane)?.into_iter().enumerate() {
                    image[at] = twin.plane.turned(by[k]);
                }
                outcome.set.push((twin.face, Sheet { patch: shifted(&other.patch, &image)?, whole: other.whole }));
            }
            None => restrain(&sheet.patch, &self.locks, &mut by)?,
        }
        let moved = by.iter().filter(|d| **d != Vec3::ZERO).count();
        if moved == 0 && self.by != Vec3::ZERO {
            return Err(TrialError::Held);
        }
        let columns = sheet.patch.size().1;
        let rows = by.chunks(columns.max(1)).filter(|row| row.iter().any(|d| *d != Vec3::ZERO)).count();
        let largest = by.iter().map(|d| d.length()).fold(0.0, f64::max);
        outcome.moved = Moved { points: Some(moved), rows, largest: Some(largest), ..Moved::default() };
        outcome.set.insert(0, (self.face, Sheet { patch: shifted(&sheet.patch, &by)?, whole: sheet.whole }));
        Ok(outcome)
    }

    /// Moves of all control points before any lock.
    fn pull(&self, patch: &Surface) -> Result<Vec<Vec3>, TrialError> {
        let (nu, nv) = patch.size();
        if !self.by.is_finite() {
            return Err(TrialError::Number);
        }
        if self.point.0 >= nu || self.point.1 >= nv {
            return Err(TrialError::NoPoint(self.point.0, self.point.1));
        }
        // (1 − x²)² has no corner where it starts nor where it ends.
        let share = |at: usize, centre: usize, reach: usize| {
            let x = at.abs_diff(centre) as f64 / (reach as f64 + 1.0);
            let rest = (1.0 - x * x).max(0.0);
            rest * rest
        };
        let one = |k: usize| self.by * (share(k / nv, self.point.0, self.reach.0) * share(k % nv, self.point.1, self.reach.1));
        Ok((0..nu * nv).map(one).collect())
    }
}

/// For each control point of one net the point of the other that is its mirror image.
fn matched(one: &Surface, other: &Surface, plane: MirrorPlane) -> Result<Vec<usize>, TrialError> {
    let (points, images) = (other.points(), one.points().iter().map(|&p| plane.image(p)));
    if points.len() != one.points().len() {
        return Err(TrialError::NotMirrored(f64::INFINITY));
    }
    let size = points.iter().map(|p| p.distance(points[0])).fold(0.0, f64::max);
    let mut taken = vec![false; points.len()];
    let mut all = Vec::with_capacity(points.len());
    for image in images {
        let free = (0..points.len()).filter(|&i| !taken[i]);
        let nearest = free.min_by(|&a, &b| points[a].distance(image).total_cmp(&points[b].distance(image)));
        let Some(at) = nearest else { return Err(TrialError::NotMirrored(f64::INFINITY)) };
        let off = points[at].distance(image);
        if off.is_nan() || off > ALIKE * size {
            return Err(TrialError::NotMirrored(off));
        }
        taken[at] = true;
        all.push(at);
    }
    Ok(all)
}

/// Moves and their images on one patch that runs through the plane; a point on the plane stays on it.
fn both_sides(patch: &Surface, plane: MirrorPlane, by: &[Vec3]) -> Result<Vec<Vec3>, TrialError> {
    let image = matched(patch, patch, plane)?;
    let n = plane.normal();
    let mut all = by.to_vec();
    for (k, &at) in image.iter().enumerate() {
        all[at] = if at == k { by[k] - n * by[k].dot(n) } else { by[at] + plane.turned(by[k]) };
    }
    Ok(all)
}
