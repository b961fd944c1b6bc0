use super::*;
use crate::geometry::{Circle, Curve, Cylinder, Line, Offset, Plane, Revolution, Ruled, Sphere, Surface, Torus};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{Edge, EdgeId, EdgeUse, Face, Loop, Source, Vertex, VertexId};
use crate::nurbs::{KnotVector, Surface as Nurbs};
use crate::progress::Silent;
use proptest::prelude::*;

fn frame() -> Frame {
    Frame::from_axis(Point3::new(400.0, -120.0, 70.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::Y))
}

fn raised(frame: &Frame, z: f64) -> Frame {
    Frame { origin: frame.point(0.0, 0.0, z), ..*frame }
}

fn face(surface: Surface, same_sense: bool, loops: Vec<Loop>) -> Face {
    Face { same_sense, loops, ..Face::whole(surface) }
}

#[derive(Default)]
struct Build(Model);

impl Build {
    fn vertex(&mut self, point: Point3) -> VertexId {
        self.0.vertices.push(Vertex { point, source: Source::default() });
        VertexId::new(self.0.vertices.len() - 1)
    }

    fn edge(&mut self, curve: Curve, t0: f64, t1: f64, start: VertexId, end: VertexId) -> EdgeId {
        self.0.edges.push(Edge { curve, t0, t1, start, end, source: Source::default() });
        EdgeId::new(self.0.edges.len() - 1)
    }

    fn line(&mut self, start: VertexId, end: VertexId) -> EdgeId {
        let [a, b] = [start, end].map(|v| self.0.vertices[v.index()].point);
        let line = Line { origin: a, direction: (b - a).normalize() };
        self.edge(Curve::Line(line), 0.0, (b - a).length(), start, end)
    }

    fn circle(&mut self, frame: Frame, radius: f64) -> (EdgeId, VertexId) {
        let at = self.vertex(frame.point(radius, 0.0, 0.0));
        (self.edge(Curve::Circle(Circle { frame, radius }), 0.0, real::TAU, at, at), at)
    }
}

fn uses(list: &[(EdgeId, bool)]) -> Loop {
    Loop::Edges(list.iter().map(|&(edge, forward)| EdgeUse { edge, forward, pcurve: None }).collect())
}

/// Meshes a model, checks every invariant, with areas from the exact domains, and gives the meshes.
fn check(model: &Model, tolerance: &Tolerance, relative: f64, excess: f64) -> Tessellation {
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).map_err(|e| e.to_string()).unwrap()).map(Some).collect();
    let areas: Vec<_> = domains.iter().zip(&model.faces).map(|(d, f)| d.as_ref().map(|d| d.area(&f.surface))).collect();
    let t = tessellate(model, &domains, tolerance, &mut Silent);
    assert!(t.failures.is_empty(), "{:?}", t.failures);
    assert_eq!(t.check_invariants(model, &areas, relative, tolerance.chord), Vec::new());
    for mesh in t.faces.iter().flatten() {
        assert!(mesh.deviation <= excess * tolerance.chord && !mesh.capped && !mesh.crossed, "{}", mesh.deviation);
    }
    assert_eq!(tessellate(model, &domains, tolerance, &mut Silent), t, "the same input gives the same meshes");
    t
}

fn tolerance(chord: f64) -> Tolerance {
    Tolerance { chord, angle: 0.2, max_triangles: 100_000 }
}

/// A drum: one cylinder with a seam edge, two flat lids, all watertight.
fn drum(radius: f64, height: f64, inward: bool) -> Model {
    let mut b = Build::default();
    let (low, a) = b.circle(frame(), radius);
    let (high, c) = b.circle(raised(&frame(), height), radius);
    let seam = b.line(a, c);
    let side = Surface::Cylinder(Cylinder { frame: frame(), radius });
    // Outward the loop runs along the lower rim, up the seam, back along the upper rim and down.
    let turn = |mut list: Vec<(EdgeId, bool)>| {
        if inward {
            list.reverse();
            list.iter_mut().for_each(|u| u.1 = !u.1);
        }
        uses(&list)
    };
    b.0.faces.push(face(side, !inward, vec![turn(vec![(low, true), (seam, true), (high, false), (seam, false)])]));
    b.0.faces.push(face(Surface::Plane(Plane { frame: frame() }), inward, vec![turn(vec![(low, false)])]));
    b.0.faces.push(face(Surface::Plane(Plane { frame: raised(&frame(), height) }), !inward, vec![turn(vec![(high, true)])]));
    b.0
}

#[test]
fn a_drum_is_watertight_and_turned_outward_or_inward() {
    for (radius, height) in [(5.0, 8.0), (0.4, 300.0), (900.0, 2.0)] {
        for inward in [false, true] {
            let model = drum(radius, height, inward);
            let t = check(&model, &tolerance(1e-3 * radius), 8e-3, 1.5);
            // Signed volume by the divergence theorem: +πr²h outward, −πr²h inward.
            let volume: f64 = t
                .faces
                .iter()
                .flatten()
                .flat_map(|m| m.corners().collect::<Vec<_>>())
                .map(|[a, b, c]| (a - frame().origin).dot((b - frame().origin).cross(c - frame().origin)) / 6.0)
                .sum();
            let want = real::PI * radius * radius * height * if inward { -1.0 } else { 1.0 };
            assert!((volume - want).abs() < 0.01 * want.abs(), "{volume} against {want}");
        }
    }
}

#[test]
fn untrimmed_surfaces_close_on_themselves() {
    for size in [0.02, 70.0] {
        let mut b = Build::default();
        b.0.faces.push(face(Surface::Sphere(Sphere { frame: frame(), radius: size }), true, Vec::new()));
        b.0.faces.push(face(Surface::Torus(Torus { frame: frame(), major: 3.0 * size, minor: size }), false, Vec::new()));
        let t = check(&b.0, &tolerance(1e-3 * size), 8e-3, 1.5);
        for mesh in t.faces.iter().flatten() {
            assert_eq!(open_edges(mesh), 0);
        }
    }
}

/// A ring with a corner at its seam, a dome from pole to equator, a ruled and an offset surface, none trimmed.
#[test]
fn swept_and_offset_surfaces_keep_every_invariant() {
    let f = frame();
    let at = |x: f64, z: f64| f.point(x, 0.0, z).to_array();
    let net = vec![at(8.0, 0.0), at(12.0, 1.0), at(12.0, 6.0), at(6.0, 6.0), at(5.0, 1.0), at(8.0, 0.0)];
    let drop = Curve::Nurbs(crate::nurbs::Curve::new(KnotVector::uniform(3, 3).unwrap(), net, None).unwrap());
    let arc = Curve::Circle(Circle { frame: Frame { origin: f.origin, x: f.x, y: f.z, z: -f.y }, radius: 9.0 });
    let turned = |profile: &Curve, low: f64, high: f64| {
        Surface::Revolution(Revolution { frame: f, profile: Box::new(profile.clone()), range: Interval::new(low, high) })
    };
    let (ring, dome) = (turned(&drop, 0.0, 1.0), turned(&arc, 0.0, real::FRAC_PI_2));
    let ruled = Surface::Ruled(Ruled {
        first: Box::new(arc.clone()),
        first_range: (0.0, 2.5),
        second: Box::new(Curve::Line(Line { origin: f.point(9.0, 6.0, -2.0), direction: f.z })),
        second_range: (0.0, 12.0),
    });
    let ball = turned(&arc, -real::FRAC_PI_2, real::FRAC_PI_2);
    let thick = |basis: &Surface| Surface::Offset(Offset { basis: Box::new(basis.clone()), distance: 0.7 });
    for chord in [0.1, 0.004] {
        let mut b = Build::default();
        for (s, sense) in [(ring.clone(), true), (dome.clone(), false), (ruled.clone(), true), (thick(&ball), true), (thick(&dome), false)]
        {
            b.0.faces.push(face(s, sense, Vec::new()));
        }
        // Facets beside a border may exceed the chord limit, see `Tolerance`; the worst seen is 2.07 of it.
        let t = check(&b.0, &tolerance(chord), 2e-2, 2.5);
        for (mesh, closed) in t.faces.iter().flatten().zip([true, false, false, true, false]) {
            assert_eq!(open_edges(mesh) == 0, closed);
        }
    }
}

/// Sides with one triangle only, vertices at one place (to the bit) counted as one.
fn open_edges(mesh: &FaceMesh) -> usize {
    let key = |n: u32| mesh.positions[n as usize].to_array().map(f64::to_bits);
    let mut sides = std::collections::BTreeMap::new();
    for &[a, b, c] in &mesh.triangles {
        for (p, q) in [(a, b), (b, c), (c, a)] {
            let (p, q) = (key(p), key(q));
            *sides.entry((p.min(q), p.max(q))).or_insert(0) += if p < q { 1 } else { -1 };
        }
    }
    sides.values().filter(|n| **n != 0).count()
}

#[test]
fn a_cap_over_its_pole_and_a_closed_patch() {
    let radius = 12.0;
    let mut b = Build::default();
    let (rim, _) = b.circle(raised(&frame(), radius * 0.6), 0.8 * radius);
    b.0.faces.push(face(Surface::Sphere(Sphere { frame: frame(), radius }), true, vec![uses(&[(rim, true)])]));
    b.0.faces.push(face(Surface::Plane(Plane { frame: raised(&frame(), radius * 0.6) }), false, vec![uses(&[(rim, false)])]));
    let t = check(&b.0, &tolerance(0.01), 5e-3, 1.5);
    let want = real::TAU * radius * radius * 0.4;
    let got = t.faces[0].as_ref().unwrap().area();
    assert!((got - want).abs() < 5e-3 * want, "{got} against {want}");
    // A closed, uneven tube of degree 3 without loops.
    let kv = KnotVector::new(2, vec![0.0, 0.0, 0.0, 0.3, 1.0, 1.0, 1.0]).unwrap();
    let ku = KnotVector::uniform(3, 6).unwrap();
    let mut points = Vec::new();
    for i in 0..9 {
        for j in 0..4 {
            let (sin, cos) = real::sin_cos(real::TAU * f64::from(i % 8) / 8.0);
            let r = 10.0 + f64::from(j * j) + f64::from(i % 3);
            let r = if i % 8 == 0 { 10.0 + f64::from(j * j) } else { r };
            points.push(frame().point(r * cos, r * sin, 9.0 * f64::from(j)));
        }
    }
    let mut b = Build::default();
    b.0.faces.push(face(Surface::Nurbs(Nurbs::new(ku, kv, points, None).unwrap()), true, Vec::new()));
    check(&b.0, &tolerance(0.02), 5e-3, 1.5);
}

#[test]
fn a_lens_thinner_than_the_tolerance_keeps_its_two_sides() {
    for sag in [1.0, 0.05, 0.004] {
        // Two arcs over a chord of 20 mm, on the same side of it, with sags of 2 and 2 + sag.
        let arc = |b: &mut Build, sag: f64, ends: [VertexId; 2]| {
            let radius = (100.0 + sag * sag) / (2.0 * sag);
            let circle = Circle { frame: Frame { origin: frame().point(0.0, sag - radius, 0.0), ..frame() }, radius };
            let half = real::atan2(10.0, radius - sag);
            b.edge(Curve::Circle(circle), real::FRAC_PI_2 - half, real::FRAC_PI_2 + half, ends[0], ends[1])
        };
        let mut b = Build::default();
        let ends = [b.vertex(frame().point(10.0, 0.0, 0.0)), b.vertex(frame().point(-10.0, 0.0, 0.0))];
        let (inner, outer) = (arc(&mut b, 2.0, ends), arc(&mut b, 2.0 + sag, ends));
        b.0.faces.push(face(Surface::Plane(Plane { frame: frame() }), true, vec![uses(&[(outer, true), (inner, false)])]));
        let tolerance = tolerance(0.3);
        let domains = [Some(b.0.domain(FaceId::new(0)).unwrap())];
        let t = tessellate(&b.0, &domains, &tolerance, &mut Silent);
        let mesh = t.faces[0].as_ref().unwrap_or_else(|| panic!("sag {sag}: {:?}", t.failures));
        assert_eq!(mesh.check_invariants(true), Vec::new());
        assert!(mesh.area() > 0.0 && !mesh.crossed);
    }
}

#[test]
fn cancelling_and_missing_domains_are_told() {
    struct Stop(usize);
    impl Progress for Stop {
        fn report(&mut self, _: Stage, done: usize, total: usize) {
            assert!(done <= total);
            self.0 = done;
        }
        fn cancelled(&self) -> bool {
            self.0 >= 1
        }
    }
    let model = drum(3.0, 4.0, false);
    let mut domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let t = tessellate(&model, &domains, &tolerance(0.01), &mut Stop(0));
    assert_eq!((t.faces.len(), t.faces.iter().flatten().count(), t.failures.len()), (3, 1, 0));
    domains[1] = None;
    let t = tessellate(&model, &domains, &tolerance(0.01), &mut Silent);
    assert_eq!(t.failures, vec![(FaceId::new(1), MeshError::NoDomain)]);
    assert_eq!(Tessellator::new(&model, &domains, &tolerance(0.01)).face(FaceId::new(9)), Err(MeshError::UnknownFace));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]
    /// Two freeform patches that share their whole common side: no leak, whatever their form and however uneven.
    #[test]
    fn neighbours_share_their_points(heights in prop::collection::vec(-6.0..6.0f64, 28), knot in 0.1..0.9f64, sense in any::<bool>()) {
        let kv = KnotVector::new(3, vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0]).unwrap();
        let ku = KnotVector::new(2, vec![0.0, 0.0, 0.0, knot, 1.0, 1.0, 1.0]).unwrap();
        let at = |i: usize, j: usize| frame().point(13.0 * i as f64, 11.0 * j as f64, heights[(i * 4 + j) % heights.len()]);
        let net = |from: usize| (from..from + 4).flat_map(|i| (0..4).map(move |j| (i, j))).map(|(i, j)| at(i, j)).collect::<Vec<_>>();
        let left = Nurbs::new(ku.clone(), kv.clone(), net(0), None).unwrap();
        let right = Nurbs::new(ku, kv.clone(), net(3), None).unwrap();
        let mut b = Build::default();
        let corner = |b: &mut Build, s: &Nurbs, u: f64, v: f64| { let p = s.derivs(u, v, 0).s; b.vertex(p) };
        let (a0, a1) = (corner(&mut b, &left, 0.0, 0.0), corner(&mut b, &left, 0.0, 1.0));
        let (m0, m1) = (corner(&mut b, &left, 1.0, 0.0), corner(&mut b, &left, 1.0, 1.0));
        let (z0, z1) = (corner(&mut b, &right, 1.0, 0.0), corner(&mut b, &right, 1.0, 1.0));
        let column = |s: &Nurbs, i: usize| Curve::Nurbs(crate::nurbs::Curve::new(kv.clone(), (0..4).map(|j| s.points()[i * 4 + j].to_array()).collect(), None).unwrap());
        let row = |s: &Nurbs, j: usize| Curve::Nurbs(crate::nurbs::Curve::new(s.knots_u().clone(), (0..4).map(|i| s.points()[i * 4 + j].to_array()).collect(), None).unwrap());
        let common = b.edge(column(&left, 3), 0.0, 1.0, m0, m1);
        let (first, last) = (b.edge(column(&left, 0), 0.0, 1.0, a0, a1), b.edge(column(&right, 3), 0.0, 1.0, z0, z1));
        let (l0, l1) = (b.edge(row(&left, 0), 0.0, 1.0, a0, m0), b.edge(row(&left, 3), 0.0, 1.0, a1, m1));
        let (r0, r1) = (b.edge(row(&right, 0), 0.0, 1.0, m0, z0), b.edge(row(&right, 3), 0.0, 1.0, m1, z1));
        b.0.faces.push(face(Surface::Nurbs(left), true, vec![uses(&[(l0, true), (common, true), (l1, false), (first, false)])]));
        let mut ring = vec![(r0, true), (last, true), (r1, false), (common, false)];
        if !sense {
            ring.reverse();
            ring.iter_mut().for_each(|u| u.1 = !u.1);
        }
        b.0.faces.push(face(Surface::Nurbs(right), sense, vec![uses(&ring)]));
        let t = check(&b.0, &tolerance(0.05), 3e-3, 3.0);
        prop_assert!(t.faces.iter().flatten().all(|m| m.borders.len() == 4));
    }
}
