//! The ends of joins, put together where they meet in a point.

use super::graph::JoinGraph;
use super::sheets::Sheets;
use super::{Border, Join, Track};
use crate::math::{Point3, Vec3, order, real, sets};

/// How far the tangent at an end may lie off the chord to the next station, degrees. Larger: a trim that ends in a hook below every
/// tolerance tells a direction that the join has not; smaller: the ends of short, strongly curved joins are told by their chord.
const HOOK: f64 = 30.0;

/// One end of a join.
#[derive(Debug, Clone, Copy)]
pub(super) struct JoinTip<'a> {
    /// Index of the join.
    pub index: usize,
    /// The join.
    pub join: &'a Join,
    /// The piece that ends here.
    pub track: &'a Track,
    /// True where the join starts, false where it ends.
    pub at_start: bool,
    /// On the first face, mm.
    pub point: Point3,
    /// The first face's border there.
    pub a: Border,
    /// The second face's; the mirror image's on the centre plane; None at an outline.
    pub b: Option<Border>,
}

/// Both ends of a join, its start first; those that its borders have none of are left out.
pub(super) fn tips<'a>(sheets: &Sheets<'_>, graph: &'a JoinGraph, index: usize) -> impl Iterator<Item = JoinTip<'a>> {
    let tip = move |at_start: bool| {
        let join = graph.joins.get(index)?;
        let tracks = graph.tracks(index);
        let track = if at_start { tracks.first()? } else { tracks.last()? };
        let m = track.at(sheets, if at_start { 0.0 } else { 1.0 })?;
        Some(JoinTip { index, join, track, at_start, point: m.p(), a: m.a, b: m.b })
    };
    [tip(true), tip(false)].into_iter().flatten()
}

impl JoinTip<'_> {
    /// Unit direction in which the join leaves its end, inwards. None for a join without length.
    pub fn inwards(&self) -> Option<Vec3> {
        let stations = &self.join.stations;
        let next = if self.at_start { stations.get(1) } else { stations.get(stations.len().checked_sub(2)?) };
        let chord = next.and_then(|s| (s.p - self.point).try_normalize());
        // A join runs with the loop of its first face.
        let tangent = self.a.along.try_normalize().map(|t| if self.at_start { t } else { -t });
        match (tangent, chord) {
            (Some(t), Some(c)) if real::angle_between(t, c).to_degrees() > HOOK => Some(c),
            (t, c) => t.or(c),
        }
    }
}

/// Points within `reach` of each other, in groups by their least index; swept along x so that far ones are never compared.
pub(super) fn meeting(points: &[Point3], reach: f64) -> Vec<Vec<usize>> {
    let x = |i: usize| points.get(i).map_or(0.0, |p| p.x);
    let order = order(points.len(), &mut |i, j| x(i).total_cmp(&x(j)));
    let mut of: Vec<usize> = (0..points.len()).collect();
    for (n, &i) in order.iter().enumerate() {
        for &j in order.iter().skip(n + 1).take_while(|&&j| x(j) - x(i) <= reach) {
            if let (Some(a), Some(b)) = (points.get(i), points.get(j))
                && a.distance(*b) <= reach
            {
                sets::unite(&mut of, i, j);
            }
        }
    }
    sets::groups(&mut of)
}
