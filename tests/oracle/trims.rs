//! Trims broken on purpose, by a known amount, are mended: the repair says that amount and the face's area comes back.
//!
//! There is no outside figure for a repair. What is asked is that breaking a sound face and mending it leads back to
//! the sound face: of the demo, whose faces are splines, and of models nobody here made, whose faces are of every kind.

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::exchange::{self, Import, Limits, Repair, Report};
use rakelight_core::geometry::{Curve, DomainFault, DomainRepair, Line, Pcurve, SurfaceKind, SurfaceSearch, closest_on_curve, poles};
use rakelight_core::math::{Similarity, Vec3};
use rakelight_core::model::{Edge, EdgeId, EdgeUse, FaceId, Loop, Model, Source, Vertex, VertexId};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_core::tessellate::{Tolerance, tessellate};
use rakelight_tests::data;
use std::collections::BTreeMap;

/// Faces of one model that each kind of damage is tried on; the others add time, not cases.
const FACES: usize = 40;

/// Damage by length, mm: none a power of the others, all wider than what exchange leaves at every corner.
const SIZES: [f64; 3] = [0.013, 0.07, 0.31];

#[test]
fn what_is_broken_by_a_known_amount_is_mended_and_says_so() {
    let mut done = Tally::default();
    sweep("Bramble A", &bramble::model(Revision::A), &mut done);
    let mut files = 0;
    for file in data::step_models("broken trims") {
        let Ok(import) = exchange::read(&file.bytes(), file.name, &Limits::default(), &mut Silent) else { continue };
        sweep(file.name, &import.model, &mut done);
        files += 1;
    }
    let Tally { done, failed } = done;
    println!("faces broken and mended, by damage: {done:?}");
    assert!(failed.is_empty(), "{} failed:\n{}", failed.len(), failed.join("\n"));
    for name in
        ["shortened", "turned", "shuffled", "reversed", "doubled", "spur", "lacks an edge", "no length", "lifted edge", "wrong pcurve"]
    {
        assert!(done.get(name).is_some_and(|n| *n >= 10), "{name} was hardly tried: {done:?}");
    }
    for name in ["overrun", "wrong edge"] {
        assert!(files < 10 || done.get(name).is_some_and(|n| *n >= 3), "{name} was hardly tried: {done:?}");
    }
}

#[test]
fn a_face_without_sense_is_kept_untrimmed_and_measured_nowhere() {
    let mut model = bramble::model(Revision::A);
    let prepared = |model| Prepared::new(Import { model, report: Report::default() });
    let whole = prepared(model.clone());
    assert!(whole.untrimmed.is_empty() && whole.repairs.is_empty() && whole.faults.is_empty());
    let trimmed: Vec<usize> = (0..model.faces.len()).filter(|&i| !model.faces[i].loops.is_empty()).collect();
    let (lost, broken) = (trimmed[1], trimmed[4]);
    model.faces[lost].boundary_lost = Some("edge #7 is missing".into());
    model.faces[lost].loops.clear();
    if let Some(Loop::Edges(uses)) = model.faces[broken].loops.first_mut() {
        uses[0].edge = EdgeId::new(9_999_999);
    }
    let got = prepared(model);
    let named: Vec<usize> = got.untrimmed.iter().map(|u| u.face.index()).collect();
    assert_eq!(named, [lost, broken]);
    assert!(got.untrimmed[0].reason.ends_with("edge #7 is missing"), "{}", got.untrimmed[0].reason);
    assert!(got.faults.is_empty() && got.domains.iter().all(Option::is_some), "a face vanished");
    let sheets = got.sheets();
    for i in [lost, broken] {
        assert_eq!(got.areas[i], 0.0);
        assert!(sheets.domain(FaceId::new(i)).is_none());
        assert!(sheets.sides().iter().all(|s| s.face.index() != i), "it has no borders");
        assert!(got.domains[i].as_ref().is_some_and(|d| !d.loops.is_empty()));
    }
}

#[test]
fn what_reading_mended_is_listed_with_its_face() {
    let mut model = bramble::model(Revision::B);
    (model.faces[3].source.entity, model.faces[3].source.line) = (42, 7);
    let repair = |entity| Repair { entity, line: 7, text: "mended".into(), size: Some(0.5) };
    let report = Report { repairs: vec![repair(42), repair(43)], ..Report::default() };
    let got = Prepared::new(Import { model, report });
    assert_eq!(got.repairs.iter().map(|r| r.face).collect::<Vec<_>>(), [Some(FaceId::new(3)), None]);
}

/// How many faces each damage was mended on, and what went wrong.
#[derive(Default)]
struct Tally {
    done: BTreeMap<&'static str, usize>,
    failed: Vec<String>,
}

/// A sound face, by itself: its edges belong to no other face.
struct Subject {
    name: String,
    model: Model,
    area: f64,
    /// Length of the boundary, mm.
    length: f64,
    /// Largest distance of an edge from the surface, mm.
    off: f64,
}

fn sweep(name: &str, model: &Model, done: &mut Tally) {
    let mut taken: BTreeMap<(SurfaceKind, usize), usize> = BTreeMap::new();
    for (id, face) in model.faces() {
        let [Loop::Edges(uses), ..] = face.loops.as_slice() else { continue };
        let seen = taken.entry((face.surface.kind(), uses.len().min(6))).or_default();
        *seen += 1;
        if *seen > FACES / 5 {
            continue;
        }
        if let Some(subject) = Subject::new(name, model, id) {
            subject.run(done);
        }
    }
}

impl Subject {
    /// None for a face that is not sound as it is.
    fn new(name: &str, model: &Model, id: FaceId) -> Option<Subject> {
        let mut face = model.face(id)?.clone();
        let mut own = Model::default();
        for l in &mut face.loops {
            let Loop::Edges(uses) = l else { return None };
            let mut map: BTreeMap<EdgeId, EdgeId> = BTreeMap::new();
            for u in uses {
                let edge = model.edge(u.edge)?;
                u.edge = *map.entry(u.edge).or_insert_with(|| {
                    let ends = [edge.start, edge.end].map(|v| model.vertices.get(v.index()).copied());
                    let first = own.vertices.len();
                    own.vertices.extend(ends.into_iter().flatten());
                    let end = if edge.start == edge.end { first } else { first + 1 };
                    own.edges.push(Edge { start: VertexId::new(first), end: VertexId::new(end), ..edge.clone() });
                    EdgeId::new(own.edges.len() - 1)
                });
            }
        }
        let search = SurfaceSearch::new(&face.surface);
        let at = |e: &Edge, i: u32| e.point(f64::from(i) / 4.0);
        let off = |e: &Edge| (0..=4).map(|i| search.closest(&face.surface, at(e, i)).distance).fold(0.0, f64::max);
        let off = own.edges.iter().map(off).fold(0.0, f64::max);
        let length = own.edges.iter().map(|e| (0..4).map(|i| at(e, i).distance(at(e, i + 1))).sum::<f64>()).sum();
        let name = format!("{name} face {} #{}", id.index(), face.source.entity);
        own.faces.push(face);
        let subject = Subject { name, area: 0.0, length, off, model: own };
        let (area, repairs) = subject.measured(&subject.model).ok()?;
        // A face narrower than the damage is another face when damaged.
        (repairs.is_empty() && area > 0.02 * length * length && length > 20.0).then_some(Subject { area, ..subject })
    }

    fn measured(&self, model: &Model) -> Result<(f64, Vec<DomainRepair>), DomainFault> {
        let domain = model.domain(FaceId::new(0)).map_err(|e| e.fault)?;
        match domain.untrimmed {
            Some(fault) => Err(fault),
            None => Ok((domain.area(&model.faces[0].surface), domain.repairs)),
        }
    }

    fn uses<'a>(&self, model: &'a mut Model) -> &'a mut Vec<EdgeUse> {
        match &mut model.faces[0].loops[0] {
            Loop::Edges(uses) => uses,
            Loop::Vertex(_) => unreachable!("the first loop has edges"),
        }
    }

    /// Breaks a copy, asks for the repair and the area back, and counts.
    fn case(
        &self,
        done: &mut Tally,
        kind: &'static str,
        slack: f64,
        damage: impl FnOnce(&Self, &mut Model) -> Option<()>,
        wanted: impl Fn(&DomainRepair) -> bool,
    ) {
        let mut broken = self.model.clone();
        if damage(self, &mut broken).is_none() {
            return;
        }
        let (area, repairs) = match self.measured(&broken) {
            Ok(measured) => measured,
            Err(e) => return done.failed.push(format!("{}, {kind}: {e}", self.name)),
        };
        if !repairs.iter().any(&wanted) {
            done.failed.push(format!("{}, {kind}: repairs {repairs:?}", self.name));
        }
        let allowed = slack + 1e-7 * self.area + 4.0 * self.off * self.length;
        if (area - self.area).abs() > allowed {
            done.failed.push(format!("{}, {kind}: area {area}, sound {}, allowed {allowed}, {repairs:?}", self.name, self.area));
        }
        *done.done.entry(kind).or_default() += 1;
        if kind == "lifted edge" {
            // Drawn to the edge, which is off.
            return;
        }
        let tolerance = Tolerance::for_model(&broken);
        let meshes = tessellate(&broken, &[broken.domain(FaceId::new(0)).ok()], &tolerance, &mut Silent);
        let faults = meshes.check_invariants(&broken, &[Some(area)], 5e-3, tolerance.chord);
        if !meshes.failures.is_empty() || !faults.is_empty() || meshes.faces.iter().flatten().any(|m| m.crossed) {
            done.failed.push(format!("{}, {kind}: drawn with {:?} {faults:?}", self.name, meshes.failures));
        }
    }

    fn run(&self, done: &mut Tally) {
        let uses = self.model.faces[0].loops[0].uses().to_vec();
        let ends = |u: &EdgeUse| {
            let e = self.model.edge(u.edge).expect("its own edge");
            if u.forward { (e.point(0.0), e.point(1.0)) } else { (e.point(1.0), e.point(0.0)) }
        };
        let n = uses.len();
        let seamed = (1..n).any(|i| uses[..i].iter().any(|u| u.edge == uses[i].edge));
        let closed = uses.iter().any(|u| ends(u).0.distance(ends(u).1) < 1e-6);
        let distinct = n >= 3 && !seamed && !closed;
        let exact = |got: f64, want: f64| (got - want).abs() <= 1e-6 * want + 2.0 * self.off;
        let surface = self.model.faces[0].surface.clone();
        let plane = surface.kind() == SurfaceKind::Plane;
        // Which edge: another one from face to face.
        let k = self.model.edges.len() % n.max(1);

        if distinct {
            for d in SIZES {
                let length = self.edge_length(&uses[k]);
                if d > 0.05 * length {
                    continue;
                }
                self.case(
                    done,
                    "shortened",
                    d * self.length,
                    |s, m| s.shorten(m, k, d),
                    |r| matches!(*r, DomainRepair::Bridged { gap, .. } | DomainRepair::BorderTaken { gap, .. } if exact(gap, d)),
                );
                if plane && let Curve::Line(_) = self.model.edge(uses[k].edge).expect("its own").curve {
                    self.case(
                        done,
                        "overrun",
                        0.0,
                        |s, m| s.overrun(m, k, d),
                        |r| matches!(*r, DomainRepair::Cut { size, .. } if exact(size, d)),
                    );
                }
                // Less is what exporters leave, and passes.
                let seen = d > 1.1 * (0.01 + 1e-4 * length);
                if plane {
                    self.case(
                        done,
                        "spur",
                        0.0,
                        |s, m| s.spur(m, k, d),
                        |r| matches!(*r, DomainRepair::Spur { length, .. } if exact(length, d)),
                    );
                }
                if plane && seen {
                    self.case(
                        done,
                        "lifted edge",
                        0.0,
                        |s, m| s.lift(m, k, d, false),
                        |r| matches!(*r, DomainRepair::OffSurface { distance, .. } if exact(distance, d)),
                    );
                }
                if seen {
                    self.case(
                        done,
                        "wrong edge",
                        0.0,
                        |s, m| s.lift(m, k, d, true),
                        |r| matches!(*r, DomainRepair::EdgeRefused { distance, .. } if distance > 0.5 * d && distance < 1.5 * d),
                    );
                }
            }
            self.case(
                done,
                "turned",
                0.0,
                |s, m| {
                    s.uses(m)[k].forward ^= true;
                    Some(())
                },
                |r| matches!(*r, DomainRepair::EdgeTurned { use_index, .. } if use_index == k),
            );
            self.case(done, "shuffled", 0.0, |s, m| s.shuffle(m, k), |r| matches!(r, DomainRepair::Reordered { .. }));
            self.case(
                done,
                "doubled",
                0.0,
                |s, m| {
                    let u = uses[k].clone();
                    s.uses(m).insert(k, u);
                    Some(())
                },
                |r| matches!(*r, DomainRepair::Doubled { use_index, .. } if use_index == k || use_index == k + 1),
            );
            let (a, b) = ends(&uses[k]);
            let gap = a.distance(b);
            if n >= 4 && gap < 0.3 * self.length && straight(&self.model, &uses[k]) && plane {
                self.case(
                    done,
                    "lacks an edge",
                    0.0,
                    |s, m| {
                        s.uses(m).remove(k);
                        Some(())
                    },
                    |r| matches!(*r, DomainRepair::Bridged { gap: g, .. } if exact(g, gap)),
                );
            }
            if self.model.faces[0].loops.len() == 1 && (plane || surface.kind() == SurfaceKind::Nurbs) {
                self.case(done, "reversed", 0.0, |s, m| s.reverse(m), |r| matches!(r, DomainRepair::Reversed { loop_index: 0 }));
            }
            self.case(
                done,
                "no length",
                0.0,
                |s, m| s.no_length(m, k),
                |r| matches!(*r, DomainRepair::NoLength { use_index, .. } if use_index == k),
            );
            if uses[k].pcurve.is_some() {
                self.case(
                    done,
                    "wrong pcurve",
                    1e-5 * self.area,
                    |s, m| s.shift_pcurve(m, k),
                    |r| matches!(*r, DomainRepair::PcurveRefused { use_index, distance, .. } if use_index == k && distance > 0.0),
                );
            }
        }
    }

    fn edge_length(&self, u: &EdgeUse) -> f64 {
        let e = self.model.edge(u.edge).expect("its own edge");
        (0..64).map(|i| e.point(f64::from(i) / 64.0).distance(e.point(f64::from(i + 1) / 64.0))).sum()
    }

    /// The edge ends `d` before its vertex.
    fn shorten(&self, m: &mut Model, k: usize, d: f64) -> Option<()> {
        self.uses(m).iter_mut().for_each(|u| u.pcurve = None);
        let id = self.uses(m)[k].edge;
        let e = &mut m.edges[id.index()];
        let end = e.point(1.0);
        let (mut low, mut high) = (0.5, 1.0);
        for _ in 0..80 {
            let s = 0.5 * (low + high);
            if e.point(s).distance(end) > d { low = s } else { high = s }
        }
        e.t1 = e.parameter(0.5 * (low + high));
        Some(())
    }

    /// A straight edge runs on `d` beyond its vertex, over the next one.
    fn overrun(&self, m: &mut Model, k: usize, d: f64) -> Option<()> {
        self.uses(m).iter_mut().for_each(|u| u.pcurve = None);
        let u = self.uses(m)[k].clone();
        let e = &mut m.edges[u.edge.index()];
        let speed = e.curve.tangent(e.t1).length();
        let step = d / speed * (e.t1 - e.t0).signum();
        if u.forward {
            e.t1 += step
        } else {
            e.t0 -= step
        }
        Some(())
    }

    /// A line from a vertex into the plane, and back.
    fn spur(&self, m: &mut Model, k: usize, d: f64) -> Option<()> {
        let u = self.uses(m)[k].clone();
        let e = m.edges[u.edge.index()].clone();
        let start = e.point(if u.forward { 0.0 } else { 1.0 });
        let along = e.tangent(0.5).try_normalize()?;
        let n = m.faces[0].surface.normal(0.0, 0.0)?;
        let direction = (n.cross(along) + along * 0.4).normalize();
        let first = m.vertices.len();
        m.vertices.push(Vertex { point: start, source: Source::default() });
        m.vertices.push(Vertex { point: start + direction * d, source: Source::default() });
        let curve = Curve::Line(Line { origin: start, direction: direction * d });
        m.edges.push(Edge {
            curve,
            t0: 0.0,
            t1: 1.0,
            start: VertexId::new(first),
            end: VertexId::new(first + 1),
            source: Source::default(),
        });
        let edge = EdgeId::new(m.edges.len() - 1);
        let uses = self.uses(m);
        uses.insert(k, EdgeUse { edge, forward: false, pcurve: None });
        uses.insert(k, EdgeUse { edge, forward: true, pcurve: None });
        Some(())
    }

    /// The edge's curve is moved `d` along the normal; `keep` its parameter-plane curve.
    fn lift(&self, m: &mut Model, k: usize, d: f64, keep: bool) -> Option<()> {
        let u = self.uses(m)[k].clone();
        if keep && u.pcurve.is_none() {
            return None;
        }
        if !keep {
            self.uses(m)[k].pcurve = None;
        }
        let e = &mut m.edges[u.edge.index()];
        let foot = SurfaceSearch::new(&m.faces[0].surface).closest(&m.faces[0].surface, e.point(0.5));
        let n = m.faces[0].surface.normal(foot.uv.u, foot.uv.v)?;
        e.curve = moved(&e.curve, n * d)?;
        Some(())
    }

    fn shuffle(&self, m: &mut Model, k: usize) -> Option<()> {
        let uses = self.uses(m);
        if uses.len() < 4 {
            return None;
        }
        let other = (k + 2) % uses.len();
        uses.swap(k, other);
        Some(())
    }

    fn reverse(&self, m: &mut Model) -> Option<()> {
        let uses = self.uses(m);
        uses.reverse();
        uses.iter_mut().for_each(|u| u.forward ^= true);
        Some(())
    }

    fn no_length(&self, m: &mut Model, k: usize) -> Option<()> {
        let u = self.uses(m)[k].clone();
        let mut e = m.edges[u.edge.index()].clone();
        let point = e.point(if u.forward { 0.0 } else { 1.0 });
        if poles(&m.faces[0].surface).iter().any(|p| p.point.distance(point) < 1e-3) {
            return None;
        }
        let at = if u.forward { e.t0 } else { e.t1 };
        (e.t0, e.t1) = (at, at);
        (e.start, e.end) = if u.forward { (e.start, e.start) } else { (e.end, e.end) };
        m.edges.push(e);
        let edge = EdgeId::new(m.edges.len() - 1);
        self.uses(m).insert(k, EdgeUse { edge, forward: true, pcurve: None });
        Some(())
    }

    /// The parameter-plane curve moved by a twentieth of its face's range.
    fn shift_pcurve(&self, m: &mut Model, k: usize) -> Option<()> {
        let (bu, bv) = m.domain(FaceId::new(0)).ok()?.bounds();
        let c = self.uses(m)[k].pcurve.as_mut()?;
        c.curve = shifted(&c.curve, 0.05 * bu.length(), 0.05 * bv.length())?;
        Some(())
    }
}

fn straight(model: &Model, u: &EdgeUse) -> bool {
    let e = model.edge(u.edge).expect("its own edge");
    let line = Curve::Line(Line { origin: e.point(0.0), direction: e.point(1.0) - e.point(0.0) });
    (1..8).all(|i| closest_on_curve(&line, 0.0, 1.0, e.point(f64::from(i) / 8.0), None).distance < 1e-9)
}

fn moved(curve: &Curve, by: Vec3) -> Option<Curve> {
    Some(curve.transformed(&Similarity { shift: by, ..Similarity::IDENTITY }))
}

fn shifted(curve: &Pcurve, u: f64, v: f64) -> Option<Pcurve> {
    let by = rakelight_core::math::Vec2::new(u, v);
    Some(match curve {
        Pcurve::Line(c) => Pcurve::Line(rakelight_core::geometry::Line2 { origin: c.origin + by, ..*c }),
        Pcurve::Conic(c) => Pcurve::Conic(rakelight_core::geometry::Conic2 { centre: c.centre + by, ..*c }),
        Pcurve::Nurbs(c) => Pcurve::Nurbs(c.map(|[x, y]| [x + u, y + v])),
        #[allow(unreachable_patterns)] // kinds of later readers
        _ => return None,
    })
}
