//! Remedies of joins: one patch carried on from the other, or one in place of both.

use super::ground::{Ground, order_number};
use super::refit::{few_spans, smallest};
use super::{NoRemedy, Remedy};
use crate::finding::{Finding, MeasureId};
use crate::joins::{Join, Order};
use crate::math::Arrange;
use crate::measure::{HOLD, Subject};
use crate::model::FaceId;
use crate::trial::{Conform, Edit, Merge, side as box_side};

/// Distance within which one patch in place of two is tried first, mm: so near, no join beside it shows.
const EXACT: f64 = 1e-4;

/// Largest gap that is left where nothing exact is known, mm: half the strictest limit.
const GAP: f64 = 1e-3;

fn join_of<'a>(subject: &'a Subject<'_>, finding: &Finding) -> Result<(usize, &'a Join), NoRemedy> {
    let found = finding.join.and_then(|i| Some((i, subject.graph.joins.get(i)?)));
    found.ok_or_else(|| NoRemedy::new("the finding belongs to no one join"))
}

/// The smaller patch carried on from the larger, with the order that is asked of the join, then with that alone that the finding is of;
/// then the larger from the smaller.
pub(super) fn conformed(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    if finding.measure == MeasureId::JoinOpen {
        return closed(subject, finding);
    }
    let (index, join) = join_of(subject, finding)?;
    if join.interior {
        // What breaks inside a patch is its knots': a net without such knots has no break.
        let ground = Ground::new(subject, join.faces.first().copied().ok_or_else(|| NoRemedy::new("no face"))?)?;
        return Ok(core::iter::once(smallest(&ground)).chain(few_spans(&ground)).collect());
    }
    let [a, b] = join.faces[..] else { return Err(NoRemedy::new("the join has one face only")) };
    let least = match finding.measure {
        MeasureId::JoinPosition => Order::G0,
        MeasureId::JoinTangent | MeasureId::JoinCorner => Order::G1,
        MeasureId::JoinCurvatureSlope => Order::G3,
        _ => Order::G2,
    };
    let asked = least.max(join.required);
    let smaller_first = if join.larger == Some(b) { [(a, b), (b, a)] } else { [(b, a), (a, b)] };
    let gap = join.summaries.gap.map_or(0.0, |g| g.max.value);
    let mut orders = vec![asked, least];
    orders.dedup();
    let mut all = Vec::new();
    let mut whys = Vec::new();
    for (face, to) in smaller_first {
        match follower(subject, index, face) {
            Ok((ground, side)) => {
                all.extend(orders.iter().map(|&order| carried(&ground, side, to, order, gap + subject.graph.search)));
            }
            Err(why) => whys.push(why),
        }
    }
    match whys.into_iter().next() {
        Some(why) if all.is_empty() => Err(why),
        _ => Ok(all),
    }
}

/// Two outlines that do not meet, brought together.
fn closed(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let [a, b] = finding.faces[..] else { return Err(NoRemedy::new("the outline has no one face beside it")) };
    let search = 1.5 * finding.value + subject.graph.search;
    let mut all = Vec::new();
    for (face, to) in [(a, b), (b, a)] {
        let ground = Ground::new(subject, face)?;
        let side = finding.join.and_then(|j| ground.side_on(j)).filter(|_| ground.whole);
        all.extend(side.map(|side| carried(&ground, side, to, Order::G0, search)));
    }
    if all.is_empty() { Err(NoRemedy::new("the border that would have to move is a trim, not a side of its patch")) } else { Ok(all) }
}

/// A face that can follow along a join, and its side there.
pub(super) fn follower(subject: &Subject<'_>, join: usize, face: FaceId) -> Result<(Ground, usize), NoRemedy> {
    let ground = Ground::new(subject, face)?;
    let side = ground.side_on(join).filter(|_| ground.whole);
    let side = side.ok_or_else(|| NoRemedy::new("the faces are trimmed at the join, so that no side of a patch can follow"))?;
    Ok((ground, side))
}

pub(super) fn carried(ground: &Ground, side: usize, to: FaceId, order: Order, search: f64) -> Remedy {
    let opposite = side ^ 1;
    let edit = Conform {
        face: ground.face,
        side: box_side(side),
        to,
        order,
        keep: ground.sides[opposite].order.unwrap_or(Order::G0),
        search,
        tolerance: GAP,
    };
    let name = format!("Carry face {} on from face {} with G{}", ground.face.index() + 1, to.index() + 1, order_number(order));
    Remedy::one(name, Edit::Conform(edit))
}

/// One patch in place of two: of a needless cut those that it parts, of a strip the strip and the face it runs on into most.
pub(super) fn merged(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let mut pairs: Vec<(f64, [FaceId; 2])> = Vec::new();
    match (finding.join, &finding.faces[..]) {
        (Some(_), &[a, b]) => pairs.push((0.0, [a, b])),
        (_, &[strip, ..]) => {
            for join in subject.graph.joins.iter().filter(|j| j.class.runs_on() && j.faces.contains(&strip)) {
                let other = join.faces.iter().copied().find(|&f| f != strip);
                pairs.extend(other.map(|other| (join.length, [other, strip])));
            }
        }
        _ => {}
    }
    pairs.arrange_by(|a, b| b.0.total_cmp(&a.0));
    if pairs.is_empty() {
        return Err(NoRemedy::new("the strip runs on into no other face"));
    }
    let one = |faces: [FaceId; 2], tolerance: f64| {
        let name = format!("One patch in place of faces {} and {}, within {tolerance} mm", faces[0].index() + 1, faces[1].index() + 1);
        Remedy::one(name, Edit::Merge(Merge { faces, tolerance, search: subject.graph.search }))
    };
    Ok(pairs.iter().flat_map(|p| [EXACT, HOLD].map(|tolerance| one(p.1, tolerance))).collect())
}
