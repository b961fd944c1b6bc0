//! A smooth sheet cut into patches that share their edges, as large as is asked for, by our own writer.

use rakelight_core::exchange::write::{self, StepOptions};
use rakelight_core::geometry::{Curve, Line2, Pcurve, Surface};
use rakelight_core::math::{Interval, Point2, Point3, Vec2};
use rakelight_core::model::{Edge, EdgeId, EdgeUse, Face, Loop, Model, Source, TrimCurve, Vertex, VertexId};
use rakelight_core::nurbs::{self, Direction, KnotVector};

const DEGREE: usize = 5;

/// Times that each inner knot is there: the sheet is smooth to curvature over every join, and no further.
const MULTIPLICITY: usize = 3;

/// Length and breadth, mm.
const SIZE: [f64; 2] = [3200.0, 2400.0];

/// A sheet of `across` × `across` patches.
#[derive(Debug, Clone, Copy)]
pub struct Sheet {
    across: usize,
}

impl Sheet {
    /// So many patches each way.
    pub fn new(across: usize) -> Self {
        Self { across }
    }

    fn whole(self) -> nurbs::Surface {
        let inner: Vec<(f64, usize)> = (1..self.across).map(|k| (k as f64, MULTIPLICITY)).collect();
        let knots = KnotVector::clamped(DEGREE, Interval::new(0.0, self.across as f64), &inner).expect("knots");
        let n = knots.point_count();
        // A little noise, less the finer the net is, so that bends stay what they are.
        let noise = (16.0 / self.across.max(16) as f64).powi(2);
        let shaken = |k: usize, by: f64| by * noise * (2.0 * (1e4 * (12.9898 * k as f64).sin()).fract() - 1.0);
        let place = |k: usize| {
            let (a, b) = ((k / n) as f64 / (n - 1) as f64, (k % n) as f64 / (n - 1) as f64);
            let z = 420.0 * (1.9 * a + 0.3).sin() + 260.0 * (2.2 * b - 0.4).cos() + 35.0 * (4.0 * a * b + 1.0).sin();
            Point3::new(SIZE[0] * a + shaken(3 * k, 2.0), SIZE[1] * b + shaken(3 * k + 1, 2.0), z + shaken(3 * k + 2, 1.2))
        };
        nurbs::Surface::new(knots.clone(), knots, (0..n * n).map(place).collect(), None).expect("a sheet")
    }

    /// u-major.
    fn patches(self) -> Vec<nurbs::Surface> {
        let whole = self.whole();
        let span = |k: usize| (k as f64, (k + 1) as f64);
        let strip = |i: usize| whole.between(Direction::U, span(i).0, span(i).1).expect("a strip");
        let cut = |strip: &nurbs::Surface, j: usize| strip.between(Direction::V, span(j).0, span(j).1).expect("a patch");
        (0..self.across).map(strip).flat_map(|strip| (0..self.across).map(move |j| cut(&strip, j)).collect::<Vec<_>>()).collect()
    }

    fn vertex(self, i: usize, j: usize) -> usize {
        i * (self.across + 1) + j
    }

    /// The edge along u from vertex (i, j), and the one along v.
    fn edge(self, along: Direction, i: usize, j: usize) -> usize {
        match along {
            Direction::U => i * (self.across + 1) + j,
            Direction::V => self.across * (self.across + 1) + i * self.across + j,
        }
    }

    /// As a model.
    fn model(self) -> Model {
        let (n, patches) = (self.across, self.patches());
        let patch = |i: usize, j: usize| &patches[i.min(n - 1) * n + j.min(n - 1)];
        let source = Source::default();
        let mut vertices = Vec::new();
        for i in 0..=n {
            for j in 0..=n {
                vertices.push(Vertex { point: patch(i, j).derivs(i as f64, j as f64, 0).s, source });
            }
        }
        let edge = |along: Direction, i: usize, j: usize| {
            let to = if along == Direction::U { (i + 1, j) } else { (i, j + 1) };
            let t0 = if along == Direction::U { i } else { j } as f64;
            let curve = Curve::Nurbs(border(patch(i, j), along, i == n || j == n));
            let (start, end) = (VertexId::new(self.vertex(i, j)), VertexId::new(self.vertex(to.0, to.1)));
            Edge { curve, t0, t1: t0 + 1.0, start, end, source }
        };
        let along_u = (0..n).flat_map(|i| (0..=n).map(move |j| (Direction::U, i, j)));
        let along_v = (0..=n).flat_map(|i| (0..n).map(move |j| (Direction::V, i, j)));
        let edges = along_u.chain(along_v).map(|(along, i, j)| edge(along, i, j)).collect();
        let face = |k: usize| Face { loops: vec![self.around(k / n, k % n)], ..Face::whole(Surface::Nurbs(patches[k].clone())) };
        let faces = (0..n * n).map(face).collect();
        Model { name: "sheet".into(), faces, edges, vertices, parts: vec!["sheet".into()], ..Model::default() }
    }

    /// The border of a patch, the patch on its left.
    fn around(self, i: usize, j: usize) -> Loop {
        let side = |along: Direction, i: usize, j: usize, forward: bool| {
            let (u, v) = (i as f64, j as f64);
            let (origin, direction, t0) = match along {
                Direction::U => (Point2::new(0.0, v), Vec2::new(1.0, 0.0), u),
                Direction::V => (Point2::new(u, 0.0), Vec2::new(0.0, 1.0), v),
            };
            let curve = Pcurve::Line(Line2 { origin, direction });
            EdgeUse { edge: EdgeId::new(self.edge(along, i, j)), forward, pcurve: Some(TrimCurve { curve, t0, t1: t0 + 1.0 }) }
        };
        Loop::Edges(vec![
            side(Direction::U, i, j, true),
            side(Direction::V, i + 1, j, true),
            side(Direction::U, i, j + 1, false),
            side(Direction::V, i, j, false),
        ])
    }
}

/// The first or last row of a patch's net along a direction.
fn border(patch: &nurbs::Surface, along: Direction, last: bool) -> nurbs::Curve<3> {
    let (rows, columns) = patch.size();
    let (knots, points): (_, Vec<Point3>) = match along {
        Direction::U => {
            let column = if last { columns - 1 } else { 0 };
            (patch.knots_u(), (0..rows).map(|i| patch.points()[i * columns + column]).collect())
        }
        Direction::V => {
            let row = if last { rows - 1 } else { 0 };
            (patch.knots_v(), (0..columns).map(|j| patch.points()[row * columns + j]).collect())
        }
    };
    nurbs::Curve::new(knots.clone(), points.iter().map(|p| p.to_array()).collect(), None).expect("a border")
}

/// The sheet as a file.
pub fn step(sheet: &Sheet) -> String {
    write::step(&sheet.model(), &StepOptions::default()).text
}
