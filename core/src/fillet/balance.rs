//! Which round between the same faces would be balanced.

use super::blend::FaceOf;
use super::cut::Cut;
use super::sides::sides;
use super::station::{FilletStation, supports};
use super::supports::{Support, round};
use crate::joins::{JoinGraph, Sheets};
use crate::section::Plane;

/// Rounds of halving: to a thousandth of a millimetre of any fillet.
const HALVINGS: usize = 40;

/// The largest radius, mm, up to that of equal setbacks, of a round between the faces beside a fillet at a station whose smaller
/// setback is at least `wanted` of the larger one. None where the theoretical edge means nothing, or no round has it.
pub fn balanced_radius(sheets: &Sheets<'_>, graph: &JoinGraph, at: &FilletStation, wanted: f64) -> Option<f64> {
    let setting = at.setting?;
    let all = sides(graph, sheets.model.faces.len());
    let face = FaceOf::new(sheets, at.face, all.get(at.face.index())?)?;
    let first = face.sides.iter().position(|s| Some(&s.join) == at.rails.first())?;
    let plane = Plane::through(at.spine, at.direction)?;
    let cut = Cut::through(sheets, graph, &face, &[first], &plane, at.middle)?;
    let pair = supports(sheets, &face, &plane, &cut)?;
    let balanced = |r: f64| balance(&plane, &pair, r).is_some_and(|b| b >= wanted);
    if balanced(setting.equal) {
        return Some(setting.equal);
    }
    let (mut low, mut high) = (0.0, setting.equal);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if balanced(middle) { low = middle } else { high = middle }
    }
    (low > 0.0).then_some(low)
}

/// Smaller over larger setback of a round.
fn balance(plane: &Plane, [a, b]: &[Support<'_>; 2], radius: f64) -> Option<f64> {
    let edge = round(plane, [a, b], 0.0)?;
    let [p, q] = round(plane, [a, b], radius)?;
    let (x, y) = (p.point.distance(edge[0].point), q.point.distance(edge[1].point));
    Some(x.min(y) / x.max(y))
}
