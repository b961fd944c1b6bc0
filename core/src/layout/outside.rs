//! Which way a closed skin's normals point.

use super::field::Field;
use crate::model::FaceId;

/// Rays sent through a skin. Larger: slower; smaller: one that slips through a crack between trims has more weight.
const RAYS: usize = 9;
/// Least share of the normal along a ray for its first hit to tell sides apart: below, the skin is met edge-on.
const EDGE_ON: f64 = 0.1;

/// +1 when the normals `signs` · (Su × Sv) of a closed skin point out of what it encloses, −1 when into it; None when
/// rays do not agree by two thirds. `faces` with one sign each. Each ray goes through a place of the skin along its
/// normal there; whatever it meets first from far away it meets from outside.
pub fn outward(field: &Field<'_>, faces: &[FaceId], signs: &[f64]) -> Option<f64> {
    let sign_of = |f: FaceId| faces.binary_search(&f).ok().and_then(|i| signs.get(i)).copied();
    let (mut votes, mut sum) = (0.0, 0.0);
    let step = (faces.len() / RAYS).max(1);
    let tries = faces.iter().step_by(step).flat_map(|&f| {
        let all = field.samples(f);
        // Small skins get several rays a face.
        let each = RAYS.div_ceil(faces.len().max(1)).min(all.len());
        (1..=each).filter_map(move |k| all.get(k * all.len() / (each + 1)))
    });
    for s in tries.take(2 * RAYS) {
        let hits = field.on_line(s.point, s.normal, |f| sign_of(f).is_some());
        let Some((face, _, normal)) = hits.into_iter().min_by(|a, b| a.1.along.total_cmp(&b.1.along)) else { continue };
        let along = normal.dot(s.normal);
        if along.abs() > EDGE_ON
            && let Some(sign) = sign_of(face)
        {
            votes += 1.0;
            sum -= along.signum() * sign;
        }
    }
    (votes > 0.0 && sum.abs() * 3.0 >= votes).then(|| sum.signum())
}
