//! The joins of a model as one packet of coloured lines, and one join's trace.

use super::entries::Entries;
use crate::joins_packet::{JoinLine, JoinsPacket};
use rakelight_core::joins::{Class, Floors, Join, JoinGraph, Measures, Sides};
use rakelight_core::math::Vec3;
use serde::Serialize;
use std::ops::Range;

/// Lines and values of a range of joins; outlines are left out, they join nothing.
pub fn pack(graph: &JoinGraph, range: Range<usize>, floors: &Floors) -> JoinsPacket {
    let mut packet = JoinsPacket::default();
    for (id, join) in graph.joins.iter().enumerate().skip(range.start).take(range.len()).filter(|(_, j)| j.class != Class::Outline) {
        if packet.joins.is_empty() {
            packet.origin = join.mid.to_array();
        }
        let origin = Vec3::from_array(packet.origin);
        let points = join.stations.iter().map(|s| (s.p.to_vec() - origin).as_vec3().to_array()).collect();
        let values = join
            .stations
            .iter()
            .map(|s| {
                let [g0, g1, g2_rel, g3] = orders(&s.measures, floors);
                [g0, g1, s.measures.curvature_jump(), g2_rel, g3].map(|x| x.map_or(f32::NAN, |x| x as f32))
            })
            .collect();
        packet.joins.push(JoinLine { id: u32::try_from(id).unwrap_or(u32::MAX), points, values });
    }
    packet
}

/// A measure along a join.
#[derive(Debug, Serialize)]
pub struct Curve {
    /// `mm`, `deg` or `share`.
    pub unit: &'static str,
    /// One a station; null where the measure does not apply.
    pub values: Vec<Option<f64>>,
    /// Arc length of the largest value, mm.
    pub max_at: Option<f64>,
}

/// Curvature, or its slope, on both sides of a join, convex as positive; null where the measure does not apply.
#[derive(Debug, Serialize)]
pub struct BothSides {
    /// `1/mm` or `1/mm2`.
    pub unit: &'static str,
    /// On the first face, one a station.
    pub a: Vec<Option<f64>>,
    /// On the second.
    pub b: Vec<Option<f64>>,
}

/// The measures along one join.
#[derive(Debug, Serialize)]
pub struct Trace {
    /// Index of the join.
    pub join: usize,
    /// Arc length, mm.
    pub length: f64,
    /// Arc length of each station, mm.
    pub s: Vec<f64>,
    /// g0 to g3.
    pub measures: Entries<&'static str, Curve>,
    /// g2 and g3.
    pub sides: Entries<&'static str, BothSides>,
    /// Three numbers a station, mm.
    pub points: Vec<f64>,
}

/// The trace of a join; `None` for an unknown one.
pub fn trace(graph: &JoinGraph, index: usize, floors: &Floors) -> Option<Trace> {
    let join = graph.joins.get(index)?;
    let sums = &join.summaries;
    let peaks = [sums.gap.map(|s| s.max), sums.angle.map(|s| s.max), sums.curvature_share, sums.slope_share];
    let measures = ORDERS
        .iter()
        .zip(peaks)
        .enumerate()
        .map(|(k, ((name, unit), peak))| {
            let values = join.stations.iter().map(|s| orders(&s.measures, floors)[k].filter(|x| x.is_finite())).collect();
            (*name, Curve { unit, values, max_at: peak.map(|p| p.along) })
        })
        .collect();
    Some(Trace {
        join: index,
        length: join.length,
        s: join.stations.iter().map(|s| s.along).collect(),
        measures,
        sides: Entries(vec![("g2", both(join, "1/mm", |m| m.curvature)), ("g3", both(join, "1/mm2", |m| m.slope))]),
        points: join.stations.iter().flat_map(|s| s.p.to_array()).collect(),
    })
}

/// Both sides along a join. The measures sign by the outward normal, towards which hollow sections bend: here convex is positive.
fn both(join: &Join, unit: &'static str, of: impl Fn(&Measures) -> Option<Sides>) -> BothSides {
    let read =
        |side: fn(Sides) -> f64| join.stations.iter().map(|s| of(&s.measures).map(|x| 0.0 - side(x)).filter(|x| x.is_finite())).collect();
    BothSides { unit, a: read(|s| s.a), b: read(|s| s.b) }
}

/// Name of an order and the unit of its values.
const ORDERS: [(&str, &str); 4] = [("g0", "mm"), ("g1", "deg"), ("g2", "share"), ("g3", "share")];

/// Gap, angle, and the relative jumps of curvature and of its slope: 0 where the absolute jump is below its floor.
fn orders(m: &Measures, floors: &Floors) -> [Option<f64>; 4] {
    let counted = |absolute: Option<f64>, floor: f64, share: Option<f64>| match (absolute, share) {
        (Some(a), Some(s)) => Some(if a > floor { s } else { 0.0 }),
        _ => None,
    };
    [
        Some(m.gap),
        m.angle,
        counted(m.curvature_jump(), floors.curvature, m.curvature_share()),
        counted(m.slope_jump(), floors.slope, m.slope_share()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use rakelight_core::demo::bramble::{Revision, model};
    use rakelight_core::exchange::Import;
    use rakelight_core::joins::Options;
    use rakelight_core::progress::Silent;
    use rakelight_core::review::Prepared;

    #[test]
    fn the_demo_packs_its_joins_and_traces_them() {
        let prepared = Prepared::new(Import { model: model(Revision::A), report: Default::default() });
        let options = Options::default();
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options, &mut Silent).expect("not cancelled");
        let all = 0..graph.joins.len();
        let packet = JoinsPacket::read(&pack(&graph, all.clone(), &options.floors).write()).expect("sound");
        assert!(packet.joins.len() > 10);
        let parts = [0..7, 7..all.end].map(|range| pack(&graph, range, &options.floors).joins.len());
        assert_eq!(parts.iter().sum::<usize>(), packet.joins.len());
        for line in &packet.joins {
            let join = &graph.joins[line.id as usize];
            assert_eq!(line.points.len(), join.stations.len());
            let t = trace(&graph, line.id as usize, &options.floors).expect("known");
            assert_eq!((t.s.len(), t.points.len()), (join.stations.len(), 3 * join.stations.len()));
            for (name, curve) in &t.measures.0 {
                assert_eq!(curve.values.len(), t.s.len());
                // The refined maximum is at least the largest station's value.
                if let (Some(at), "g0" | "g1") = (curve.max_at, *name) {
                    assert!((-1e-9..=t.length + 1e-9).contains(&at), "{name} {at}");
                }
            }
        }
        assert!(trace(&graph, graph.joins.len(), &options.floors).is_none());
    }
}
