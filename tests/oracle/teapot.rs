//! The joins of the Newell teapot's 32 bicubic patches (M. Newell, 1975), against the facts that SOURCES.md states of the
//! table, found there by a small independent script: 52 edges with the same control rows on both sides, smooth in
//! tangent; 32 of them in curvature too, 20 not, by jumps it lists; 8 edges are points, 16 have no partner.
//! The table's unit counts as 1 mm.

use rakelight_core::geometry::Surface as Shape;
use rakelight_core::joins::{Class, JoinGraph, Options, Sheets};
use rakelight_core::math::Point3;
use rakelight_core::model::{Face, Model};
use rakelight_core::nurbs::{KnotVector, Surface};
use rakelight_core::progress::Silent;
use rakelight_tests::data;

type Net = [[[f64; 3]; 4]; 4];
type Row = [[f64; 3]; 4];

/// Patches of a ring, patches of the next, numbered from 1, and the largest curvature jump over 19 inner samples of
/// each edge between them, 1/unit.
const JUMPS: [([usize; 2], [usize; 2], f64); 6] = [
    ([1, 4], [5, 8], 2.853),
    ([5, 8], [9, 12], 0.826),
    ([9, 12], [29, 32], 68.4),
    ([13, 14], [15, 16], 2.577),
    ([17, 18], [19, 20], 9.37),
    ([21, 24], [25, 28], 1.92),
];

/// Sides of a net: rows of u0, u1, then columns of v0, v1.
fn sides(net: &Net) -> [Row; 4] {
    let column = |j: usize| std::array::from_fn(|i| net[i][j]);
    [net[0], net[3], column(0), column(3)]
}

fn reversed(row: &Row) -> Row {
    std::array::from_fn(|i| row[3 - i])
}

/// The 19 inner samples of an edge.
fn samples(row: &Row) -> Vec<Point3> {
    let at = |t: f64| {
        let s = 1.0 - t;
        let c: [f64; 3] = std::array::from_fn(|k| {
            s * s * s * row[0][k] + 3.0 * s * s * t * row[1][k] + 3.0 * s * t * t * row[2][k] + t * t * t * row[3][k]
        });
        Point3::new(c[0], c[1], c[2])
    };
    (1..20).map(|i| at(f64::from(i) / 20.0)).collect()
}

fn model(nets: &[Net]) -> Model {
    let face = |net: &Net| {
        let points = net.iter().flatten().map(|p| Point3::new(p[0], p[1], p[2])).collect();
        let cubic = || KnotVector::bezier(3).expect("cubic");
        Face::whole(Shape::Nurbs(Surface::new(cubic(), cubic(), points, None).expect("a patch")))
    };
    Model { faces: nets.iter().map(face).collect(), parts: vec!["teapot".into()], ..Model::default() }
}

#[test]
fn the_teapot_joins_as_its_table_says() {
    let Some(nets) = data::teapot("joins of the teapot") else { return };
    let model = model(&nets);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let area = |(domain, (_, face)): (&Option<_>, (_, &Face))| {
        let domain: &rakelight_core::geometry::Domain = domain.as_ref().expect("an untrimmed patch");
        domain.area(&face.surface)
    };
    let areas: Vec<f64> = domains.iter().zip(model.faces()).map(area).collect();
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).expect("not cancelled");

    let all: Vec<(usize, usize, Row)> =
        nets.iter().enumerate().flat_map(|(n, net)| sides(net).into_iter().enumerate().map(move |(k, row)| (n, k, row))).collect();
    let point = |row: &Row| row.iter().all(|p| *p == row[0]);
    assert_eq!(all.iter().filter(|(.., row)| point(row)).count(), 8, "edges that are points");
    let edges: Vec<&(usize, usize, Row)> = all.iter().filter(|(.., row)| !point(row)).collect();
    let twins = |a: &Row, b: &Row| a == b || *a == reversed(b);
    let mut pairs = Vec::new();
    for (i, a) in edges.iter().enumerate() {
        pairs.extend(edges[i + 1..].iter().filter(|b| twins(&a.2, &b.2)).map(|b| (*a, *b)));
    }
    assert_eq!(pairs.len(), 52);
    let alone: Vec<_> = edges.iter().filter(|e| !pairs.iter().any(|(a, b)| std::ptr::eq(*a, **e) || std::ptr::eq(*b, **e))).collect();
    assert_eq!(alone.len(), 16);

    let nearest = |p: Point3, faces: &[usize]| {
        let of = |j: &rakelight_core::joins::Join| j.faces.iter().map(|f| f.index()).eq(faces.iter().copied());
        let known = graph.joins.iter().enumerate().filter(|(_, j)| of(j));
        let found = known.filter_map(|(i, _)| graph.measure_at(&sheets, i, p).map(|(m, d)| (i, m, d)));
        found.min_by(|a, b| a.2.total_cmp(&b.2))
    };
    let (mut smooth, mut listed) = (0, vec![Vec::new(); JUMPS.len()]);
    for (a, b) in &pairs {
        let faces = [a.0.min(b.0), a.0.max(b.0)];
        let (mut angle, mut jump, mut used) = (0.0f64, 0.0f64, Vec::new());
        for p in samples(&a.2) {
            let (join, m, distance) = nearest(p, &faces).unwrap_or_else(|| panic!("no join of {faces:?}"));
            assert!(distance < 1e-9, "{faces:?}: {distance} off its join");
            assert!(m.gap < 1e-12, "{faces:?}: gap {}", m.gap);
            angle = angle.max(m.angle.expect("tangent planes"));
            jump = jump.max(m.curvature_jump().expect("curvatures"));
            used.push(join);
        }
        used.dedup();
        assert_eq!(used.len(), 1, "{faces:?}: one join for one edge");
        assert!(angle < 0.01, "{faces:?}: angle {angle}");
        let ring = |n: usize, [from, to]: [usize; 2]| (from..=to).contains(&(n + 1));
        match JUMPS.iter().position(|(x, y, _)| ring(faces[0], *x) && ring(faces[1], *y)) {
            Some(k) => listed[k].push(jump),
            None => {
                assert!(jump < 1e-9, "{faces:?}: curvature jumps by {jump}");
                assert!(graph.joins[used[0]].class >= Class::G3 && graph.joins[used[0]].class <= Class::G2, "{faces:?}");
                smooth += 1;
            }
        }
    }
    assert_eq!(smooth, 32);
    for ((from, to, want), jumps) in JUMPS.iter().zip(&listed) {
        println!("{from:?} to {to:?}: {jumps:?}");
        assert_eq!(jumps.len(), from[1] - from[0] + 1, "{from:?} to {to:?}");
        // The largest of the ring's edges, to the digits printed.
        let largest = jumps.iter().copied().fold(0.0, f64::max);
        assert!((largest / want - 1.0).abs() < 1e-3, "{from:?} to {to:?}: {largest} against {want}");
    }
    for (n, side, row) in alone {
        // The handle's upper end comes within the distance of an open join of the rim, on which stations are enough to know.
        let open = graph.joins.iter().filter(|j| j.class == Class::Open && j.faces.last().map(|f| f.index()) == Some(*n));
        let faced: Vec<Point3> = open.flat_map(|j| j.stations.iter().map(|s| s.q)).collect();
        for p in samples(row) {
            let outline = nearest(p, &[*n]).is_some_and(|(i, _, d)| d < 1e-9 && graph.joins[i].class == Class::Outline);
            let open = faced.iter().any(|q| q.distance(p) < 0.01);
            assert!(outline || open, "side {side} of patch {} is no outline at {p:?}", n + 1);
        }
    }
}
