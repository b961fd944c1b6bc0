//! The flow of edges on sheets whose chains and corners are known.

use super::arrangements::{flat, graph_of, model_of, tilted};
use super::edge_flow::{ChainStop, EdgeFlow, edge_flow};
use super::{JoinGraph, Sheets};
use crate::math::{Point3, real};
use crate::nurbs::{KnotVector, Surface};
use proptest::prelude::*;

fn flow_of(patches: Vec<Surface>) -> (EdgeFlow, JoinGraph) {
    let model = model_of(patches);
    let graph = graph_of(&model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    (edge_flow(&Sheets { model: &model, domains: &domains }, &graph), graph)
}

/// A bilinear patch over four points in the plane of the tilted frame.
fn quad(corners: [(f64, f64); 4]) -> Surface {
    let f = tilted();
    let line = || KnotVector::bezier(1).unwrap();
    Surface::new(line(), line(), corners.iter().map(|&(x, y)| f.point(x, y, 0.0)).collect(), None).unwrap()
}

fn at(x: f64, y: f64) -> Point3 {
    tilted().point(x, y, 0.0)
}

fn stops(flow: &EdgeFlow) -> Vec<[ChainStop; 2]> {
    flow.chains.iter().map(|c| c.ends.unwrap().map(|e| e.stop)).collect()
}

#[test]
fn edges_of_a_grid_run_through() {
    let f = tilted();
    for (n, m) in [(2usize, 2usize), (3, 2), (4, 3)] {
        let cell = |k: usize| {
            let (x, y) = (30.0 * (k % n) as f64, 20.0 * (k / n) as f64);
            flat(&f, (x, y), (x + 30.0, y + 20.0))
        };
        let (flow, _) = flow_of((0..n * m).map(cell).collect());
        // n − 1 lines of m joins and m − 1 lines of n joins.
        let mut lengths: Vec<f64> = (1..n).map(|_| 20.0 * m as f64).chain((1..m).map(|_| 30.0 * n as f64)).collect();
        lengths.sort_by(|a, b| b.total_cmp(a));
        assert_eq!(flow.chains.len(), lengths.len());
        for (chain, want) in flow.chains.iter().zip(lengths) {
            assert!((chain.length - want).abs() < 1e-6, "{chain:?}");
        }
        assert!(stops(&flow).into_iter().flatten().all(|s| s == ChainStop::Outline), "{flow:#?}");
        assert_eq!(flow.crossings.len(), (n - 1) * (m - 1));
        assert!(flow.crossings.iter().all(|c| c.off[0] < 1e-5 && c.joins.len() == 4));
        assert!(flow.breaks.is_empty());
    }
}

#[test]
fn a_shifted_column_breaks_the_rows() {
    let f = tilted();
    for shift in [6.0, 9.0] {
        let column = |x: f64, cut: f64| [flat(&f, (x, -25.0), (x + 40.0, cut)), flat(&f, (x, cut), (x + 40.0, 25.0))];
        let (flow, graph) = flow_of([column(-40.0, 0.0), column(0.0, shift)].concat());
        // Up the middle over three joins; a row on either side that ends there.
        assert_eq!(flow.chains.iter().map(|c| c.joins.len()).collect::<Vec<_>>(), [3, 1, 1]);
        assert!((flow.chains[0].length - 50.0).abs() < 1e-3);
        assert_eq!(stops(&flow)[0], [ChainStop::Outline; 2]);
        for (y, faces, against) in [(0.0, [0, 1], 2), (shift, [2, 3], 1)] {
            let row = flow.chains.iter().find(|c| graph.joins[c.joins[0].0].faces.iter().map(|f| f.index()).eq(faces)).unwrap();
            let ends = row.ends.unwrap();
            let end = ends.iter().find(|e| e.stop == ChainStop::Three).unwrap();
            assert!(end.point.distance(at(0.0, y)) < 1e-3 && (end.off.unwrap() - 90.0).abs() < 1e-3, "{row:?}");
            assert!(ends.iter().any(|e| e.stop == ChainStop::Outline));
            let through = flow.breaks.iter().find(|b| b.join == row.joins[0].0).unwrap();
            assert_eq!((through.against.unwrap().index(), through.inside), (against, true));
            assert!(through.point.distance(at(0.0, y)) < 1e-3);
        }
        assert!(flow.crossings.is_empty() && flow.breaks.len() == 2);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Four patches round a point whose edges leave it in given directions: each opposite pair misses straight by the angle built
    /// in, and a chain stops where that is too much.
    #[test]
    fn a_kink_of_the_edges_comes_out(up in -38.0f64..38.0, side in -38.0f64..38.0) {
        let way = |degrees: f64, l: f64| (l * real::cos(degrees.to_radians()), l * real::sin(degrees.to_radians()));
        let [e, n, w, s] = [way(side, 50.0), way(90.0 + up, 40.0), way(180.0, 50.0), way(270.0, 40.0)];
        let corner = |a: (f64, f64), b: (f64, f64)| (a.0 + b.0, a.1 + b.1);
        let patch = |a, b| quad([(0.0, 0.0), b, a, corner(a, b)]);
        let (flow, _) = flow_of(vec![patch(e, n), patch(n, w), patch(w, s), patch(s, e)]);
        prop_assert_eq!(flow.crossings.len(), 1);
        let one = &flow.crossings[0];
        let (most, least) = (up.abs().max(side.abs()), up.abs().min(side.abs()));
        prop_assert!((one.off[0] - most).abs() < 1e-5 && (one.off[1] - least).abs() < 1e-5, "{:?}", one);
        let broken = [up, side].iter().filter(|a| a.abs() > 20.0).count();
        prop_assert_eq!(flow.chains.len(), 2 + broken);
        let turns: Vec<f64> = flow.chains.iter().flat_map(|c| c.ends.unwrap()).filter(|e| e.stop == ChainStop::Turn).map(|e| e.off.unwrap()).collect();
        prop_assert_eq!(turns.len(), 2 * broken);
    }
}

/// Three patches round a point, 120° each: nothing goes on; five patches are a star.
#[test]
fn corners_of_three_and_five_patches_stop_all_chains() {
    for (n, stop) in [(3usize, ChainStop::Turn), (5, ChainStop::Star)] {
        let way = |i: usize| {
            let turn = real::PI * 2.0 * i as f64 / n as f64;
            (40.0 * real::cos(turn), 40.0 * real::sin(turn))
        };
        let patch = |i: usize| {
            let (a, b) = (way(i), way(i + 1));
            quad([(0.0, 0.0), b, a, (a.0 + b.0, a.1 + b.1)])
        };
        let (flow, _) = flow_of((0..n).map(patch).collect());
        assert_eq!((flow.chains.len(), flow.crossings.len(), flow.breaks.len()), (n, 0, 0));
        let straight = if n == 3 { 60.0 } else { 36.0 };
        for ends in flow.chains.iter().map(|c| c.ends.unwrap()) {
            let inner = ends.iter().find(|e| e.point.distance(at(0.0, 0.0)) < 1e-3).unwrap();
            assert!(inner.stop == stop && (inner.off.unwrap() - straight).abs() < 1e-6, "{inner:?}");
        }
    }
}

/// A tube of patches: the rings close, and run back and forth through whichever way each join was found.
#[test]
fn rings_round_a_tube_are_closed() {
    let f = tilted();
    let n = 16usize;
    let ring = |i: usize| {
        let turn = real::PI * 2.0 * i as f64 / n as f64;
        (30.0 * real::cos(turn), 30.0 * real::sin(turn))
    };
    let line = || KnotVector::bezier(1).unwrap();
    let patch = |i: usize, z: f64| {
        let (a, b) = (ring(i), ring(i + 1));
        let net = vec![f.point(a.0, a.1, z), f.point(a.0, a.1, z + 15.0), f.point(b.0, b.1, z), f.point(b.0, b.1, z + 15.0)];
        Surface::new(line(), line(), net, None).unwrap()
    };
    let all: Vec<Surface> = (0..n).flat_map(|i| [0.0, 15.0, 30.0].map(|z| patch(i, z))).collect();
    let (flow, _) = flow_of(all);
    // Sides of the polygon turn by 22.5°, too far to go on; 32 sides turn by half of that.
    assert!(flow.chains.iter().all(|c| c.ends.is_some()));
    let fine: Vec<Surface> = (0..n).flat_map(|i| [0.0, 15.0, 30.0].map(|z| round(i, n, z))).collect();
    let (flow, _) = flow_of(fine);
    let closed: Vec<_> = flow.chains.iter().filter(|c| c.ends.is_none()).collect();
    assert_eq!((closed.len(), flow.chains.len()), (2, 2 + n));
    let circle = real::PI * 60.0;
    assert!(closed.iter().all(|c| c.joins.len() == n && (c.length - circle).abs() < 1e-4 * circle), "{closed:?}");
}

/// A piece of a cylinder of 30 mm, one of `n`, 15 mm high.
fn round(i: usize, n: usize, z: f64) -> Surface {
    let f = tilted();
    let half = real::PI / n as f64;
    let w = real::cos(half);
    let place = |turn: f64, r: f64| (r * real::cos(turn), r * real::sin(turn));
    let start = 2.0 * half * i as f64;
    let arc = [(place(start, 30.0), 1.0), (place(start + half, 30.0 / w), w), (place(start + 2.0 * half, 30.0), 1.0)];
    let net = arc.iter().flat_map(|&((x, y), _)| [f.point(x, y, z), f.point(x, y, z + 15.0)]).collect();
    let weights = arc.iter().flat_map(|a| [a.1; 2]).collect();
    Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), net, Some(weights)).unwrap()
}

/// Half a roof on the plane y = 0 of two patches, whose edge leaves the plane skew: with its mirror image it is off straight by twice
/// that, and ends at the plane unless that is too much. Along the plane the border runs on.
#[test]
fn a_row_runs_into_the_centre_plane_of_a_half_model() {
    for (skew, stop) in [(0.0f64, ChainStop::Centre), (5.0, ChainStop::Centre), (15.0, ChainStop::Turn)] {
        let k = real::tan(skew.to_radians());
        // Bézier ordinates of s² from the plane on: (0, 0, width²).
        let point = |(s, square): (f64, f64), t: f64| Point3::new(170.0 + t + k * s, s, 20.0 + 0.02 * t - 0.01 * square);
        let patch = |from: f64, to: f64| {
            let rows = [(0.0, 0.0), (20.0, 0.0), (40.0, 1600.0)];
            let net = rows.iter().flat_map(|&row| [from, to].map(|t| point(row, t))).collect();
            Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), net, None).unwrap()
        };
        let (flow, graph) = flow_of(vec![patch(0.0, 40.0), patch(40.0, 100.0)]);
        let (along, row) = match flow.chains.as_slice() {
            [a, b] if graph.joins[a.joins[0].0].mirrored => (a, b),
            [a, b] => (b, a),
            other => panic!("{other:#?}"),
        };
        assert_eq!((along.joins.len(), row.joins.len()), (2, 1), "{flow:#?}");
        assert!(
            (along.length - 100.0 * (1.0f64 + 0.02 * 0.02).sqrt()).abs() < 1e-6
                && along.ends.unwrap().iter().all(|e| e.stop == ChainStop::Outline)
        );
        let end = row.ends.unwrap().into_iter().find(|e| e.point.y.abs() < 1e-3).unwrap();
        // The edge leaves the plane within the roof, which is level across it: its image turns by twice the skew.
        assert!(end.stop == stop && (end.off.unwrap() - 2.0 * skew).abs() < 1e-3, "{end:?} for {skew}");
    }
}

/// Three patches with a side each shrunk to one point: their edges end at a pole.
#[test]
fn edges_end_at_a_pole() {
    let way = |i: usize| {
        let turn = real::PI * 2.0 * i as f64 / 3.0;
        (40.0 * real::cos(turn), 40.0 * real::sin(turn))
    };
    let patch = |i: usize| quad([(0.0, 0.0), (0.0, 0.0), way(i), way(i + 1)]);
    let (flow, _) = flow_of((0..3).map(patch).collect());
    assert_eq!(flow.chains.len(), 3);
    for ends in flow.chains.iter().map(|c| c.ends.unwrap()) {
        let inner = ends.iter().find(|e| e.point.distance(at(0.0, 0.0)) < 1e-3).unwrap();
        assert_eq!(inner.stop, ChainStop::Pole, "{flow:#?}");
    }
}
