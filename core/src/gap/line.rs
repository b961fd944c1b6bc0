//! The offset between two edges chosen, such as the lines of a lamp and of the panel beside it.

use crate::joins::{JoinGraph, Sheets};
use crate::math::Point3;

/// Two edges at a place along the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineOffset {
    /// Arc length along the first, mm.
    pub along: f64,
    /// On the first edge, mm.
    pub point: Point3,
    /// Nearest place on the second, mm.
    pub other: Point3,
    /// Distance between them, mm.
    pub offset: f64,
    /// Change of the distance, mm per 100 mm along the first edge.
    pub change: f64,
}

/// Distance of join `second` from each station of join `first` (outlines are joins, too), left out where the nearest place is an end of
/// the second, past which nothing is beside. The change is that between the neighbouring stations.
pub fn line_offset(sheets: &Sheets<'_>, graph: &JoinGraph, first: usize, second: usize) -> Vec<LineOffset> {
    let (Some(a), Some(b)) = (graph.joins.get(first), graph.joins.get(second)) else { return Vec::new() };
    let closed = b.start().distance(b.end()) <= graph.search;
    let beside = |s: &crate::joins::Station| {
        let (meeting, offset) = graph.meeting_at(sheets, second, s.p)?;
        let other = meeting.p();
        // Past an end the way over is not square to the second edge.
        let way = (other - s.p).dot(meeting.a.along.try_normalize()?);
        let square = closed || way.abs() <= 1e-6 * (1.0 + offset);
        square.then_some(LineOffset { along: s.along, point: s.p, other, offset, change: 0.0 })
    };
    let mut all: Vec<LineOffset> = a.stations.iter().filter_map(beside).collect();
    let rates: Vec<f64> = (0..all.len())
        .map(|i| {
            let (low, high) = (all.get(i.saturating_sub(1)), all.get(i + 1).or(all.get(i)));
            low.zip(high).map_or(0.0, |(l, h)| 100.0 * (h.offset - l.offset) / (h.along - l.along).max(1e-9))
        })
        .collect();
    all.iter_mut().zip(rates).for_each(|(x, rate)| x.change = rate);
    all
}
