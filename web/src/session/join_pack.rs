//! The joins of a model as one packet of coloured lines.

use crate::joins_packet::{JoinLine, JoinsPacket};
use rakelight_core::joins::{Class, Floors, JoinGraph};
use rakelight_core::math::Vec3;
use rakelight_core::review::orders;
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

#[cfg(test)]
mod tests {
    use super::*;
    use rakelight_core::demo::bramble::{Revision, model};
    use rakelight_core::exchange::Import;
    use rakelight_core::joins::Options;
    use rakelight_core::progress::Silent;
    use rakelight_core::review::{JoinTrace, Prepared};

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
            let t = JoinTrace::new(&graph, line.id as usize, &options.floors).expect("known");
            assert_eq!((t.s.len(), t.points.len()), (join.stations.len(), 3 * join.stations.len()));
            let m = &t.measures;
            for curve in [&m.g0, &m.g1, &m.g2, &m.g3] {
                assert_eq!(curve.values.len(), t.s.len());
            }
            for at in [m.g0.max_at, m.g1.max_at].into_iter().flatten() {
                assert!((-1e-9..=t.length + 1e-9).contains(&at), "{at}");
            }
        }
        assert!(JoinTrace::new(&graph, graph.joins.len(), &options.floors).is_none());
    }
}
