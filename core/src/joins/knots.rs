//! Lines inside a surface at which smoothness breaks: knot lines of a patch, and the lines that a corner of a swept
//! curve draws.

use super::judge::{Floors, Reach};
use super::sheets::Sheets;
use super::track::Track;
use crate::geometry::{Curve, Surface};
use crate::math::{Interval, Point2};
use crate::model::FaceId;
use crate::nurbs::KnotVector;

/// Places looked at along a knot line. Smaller: short breaks are missed; larger: slower.
const LOOKS: usize = 24;

/// Tracks along the lines of a surface that break tangency or curvature, cut to the face. Multiplicity alone is never a
/// reason: many files carry full-multiplicity knots that are smooth. A knot whose multiplicity leaves second
/// derivatives continuous cannot break curvature and is not looked at.
pub fn broken_lines(sheets: &Sheets<'_>, face: FaceId, floors: &Floors, reach: &Reach) -> Vec<Track> {
    let (Some(f), Some(domain)) = (sheets.face(face), sheets.domain(face)) else { return Vec::new() };
    let (lines_u, lines_v) = lines(&f.surface);
    let (bu, bv) = domain.bounds();
    let mut found = Vec::new();
    for of_u in [true, false] {
        let (knots, within, over) = if of_u { (&lines_u, bu, bv) } else { (&lines_v, bv, bu) };
        for knot in knots.iter().copied().filter(|&k| k > within.low && k < within.high) {
            let track = Track::Knot { face, of_u, knot, over: (over.low, over.high) };
            if !(0..LOOKS).any(|i| breaks(sheets, &track, (i as f64 + 0.5) / LOOKS as f64, floors, reach)) {
                continue;
            }
            let inside = |t: f64| domain.contains(if of_u { Point2::new(knot, t) } else { Point2::new(t, knot) });
            found.extend(runs(over, inside).into_iter().map(|over| Track::Knot { face, of_u, knot, over }));
        }
    }
    found.retain(|t| (0..LOOKS).any(|i| breaks(sheets, t, (i as f64 + 0.5) / LOOKS as f64, floors, reach)));
    found
}

/// True of a surface swept by curves put end to end. Its pieces are drawn one by one, as faces side by side are, and a
/// fillet among them is meant to meet its neighbours in tangency only.
pub fn pieced(surface: &Surface) -> bool {
    match surface {
        Surface::Revolution(s) => of_chain(&s.profile),
        Surface::Extrusion(s) => of_chain(&s.directrix),
        Surface::Ruled(s) => of_chain(&s.first) || of_chain(&s.second),
        Surface::Offset(s) => pieced(&s.basis),
        _ => false,
    }
}

fn of_chain(curve: &Curve) -> bool {
    match curve {
        Curve::Chain(_) => true,
        Curve::Offset(c) => of_chain(&c.basis),
        _ => false,
    }
}

/// Parameters in u and in v at which second derivatives may jump.
fn lines(surface: &Surface) -> (Vec<f64>, Vec<f64>) {
    match surface {
        Surface::Nurbs(patch) => (reduced(patch.knots_u()).collect(), reduced(patch.knots_v()).collect()),
        // The normal of an offset is that of its basis, and so are the places where its curvature may jump.
        Surface::Offset(s) => lines(&s.basis),
        swept => swept.breaks(),
    }
}

/// Inner knots at which second derivatives may jump.
fn reduced(knots: &KnotVector) -> impl Iterator<Item = f64> {
    let degree = knots.degree();
    knots.interior().into_iter().filter(move |&(_, m)| m + 1 >= degree).map(|(k, _)| k)
}

fn breaks(sheets: &Sheets<'_>, track: &Track, x: f64, floors: &Floors, reach: &Reach) -> bool {
    let Some(m) = track.at(sheets, x).map(|m| m.measures()) else { return false };
    let kinked = m.angle.is_some_and(|a| a > reach.angle);
    let bent = m.curvature_jump().is_some_and(|k| k > floors.curvature) && m.curvature_share().is_some_and(|s| s > reach.curvature);
    kinked || bent
}

/// Maximal intervals of `over` on which `inside` holds, found at [`LOOKS`] places and refined by halving.
fn runs(over: Interval, inside: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
    let at = |i: usize| over.at((i as f64 + 0.5) / LOOKS as f64);
    let edge = |mut yes: f64, mut no: f64| {
        for _ in 0..24 {
            let middle = 0.5 * (yes + no);
            if inside(middle) { yes = middle } else { no = middle }
        }
        yes
    };
    let mut all = Vec::new();
    let mut start: Option<f64> = None;
    for i in 0..LOOKS {
        let here = inside(at(i));
        if here && start.is_none() {
            let before = if i == 0 { over.low } else { at(i - 1) };
            start = Some(if i == 0 && inside(over.low) { over.low } else { edge(at(i), before) });
        }
        if let (false, Some(s)) = (here, start) {
            all.push((s, edge(at(i - 1), at(i))));
            start = None;
        }
    }
    if let Some(s) = start {
        all.push((s, if inside(over.high) { over.high } else { edge(at(LOOKS - 1), over.high) }));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::arrangements::tilted;
    use super::super::{Class, Join, JoinGraph, Options, Order};
    use super::*;
    use crate::geometry::fair_forms::whole as domain;
    use crate::geometry::{Chain, ChainPiece, Circle, Domain, Extrusion, Line, Offset, Revolution, Ruled};
    use crate::math::{Frame, Similarity, Vec3, real};
    use crate::model::{Face, Model};
    use crate::nurbs;
    use crate::progress::Silent;

    const LEGS: (f64, f64) = (40.0, 70.0);

    /// Two straight legs in the plane of a frame's x and z, with a corner of `turn` radians, as one spline of degree
    /// `p` with a knot of full multiplicity.
    fn bent(f: &Frame, p: usize, turn: f64) -> Curve {
        let inner = core::iter::repeat_n(0.3, p);
        let knots = core::iter::repeat_n(0.0, p + 1).chain(inner).chain(core::iter::repeat_n(1.0, p + 1)).collect();
        let at = |i: usize| {
            let (first, second) = (i.min(p) as f64 / p as f64, i.saturating_sub(p) as f64 / p as f64);
            let (sin, cos) = real::sin_cos(turn);
            f.point(50.0 + LEGS.0 * first + LEGS.1 * second * cos, 0.0, LEGS.1 * second * sin).to_array()
        };
        Curve::Nurbs(nurbs::Curve::new(KnotVector::new(p, knots).unwrap(), (0..=2 * p).map(at).collect(), None).unwrap())
    }

    /// The lines found inside a surface, over its whole domain.
    fn inside(surface: &Surface, domain: Domain) -> Vec<Join> {
        let area = domain.area(surface);
        let model = Model { faces: vec![Face::whole(surface.clone())], parts: vec!["one".into()], ..Model::default() };
        let domains = [Some(domain)];
        let graph = JoinGraph::find(&Sheets { model: &model, domains: &domains }, &[area], &Options::default(), &mut Silent).unwrap();
        graph.joins.into_iter().filter(|j| j.interior).collect()
    }

    fn whole(surface: &Surface) -> Vec<Join> {
        inside(surface, domain(surface))
    }

    /// An extrusion has no end: the domain of the ruled surface over the same parameters, u from 0 to 1 and v from 0 to 1.
    fn extruded(c: &Curve, by: Vec3) -> (Surface, Domain) {
        let twin = ruled(c, by);
        let surface = Surface::Extrusion(Extrusion { directrix: Box::new(c.clone()), direction: by, range: c.domain() });
        (surface, domain(&twin))
    }

    fn ruled(c: &Curve, by: Vec3) -> Surface {
        let other = c.transformed(&Similarity { shift: by, ..Similarity::IDENTITY });
        let over = (c.domain().low, c.domain().high);
        Surface::Ruled(Ruled { first: Box::new(c.clone()), first_range: over, second: Box::new(other), second_range: over })
    }

    #[test]
    fn a_corner_of_a_swept_curve_is_a_crease_of_its_angle() {
        let f = tilted();
        for p in 1..=4 {
            for degrees in [0.0, 0.005, 0.4, 20.0, 90.0, 150.0f64] {
                let c = bent(&f, p, degrees.to_radians());
                let legs = [0.2, 0.7].map(|t| c.tangent(t).normalize());
                let oblique = f.y * 33.0 + f.x * 9.0 + f.z * 4.0;
                for by in [f.y * 25.0, oblique] {
                    // The sides are flat: the crease is the angle between their planes.
                    let normals = legs.map(|t| t.cross(by));
                    let want = real::angle_between(normals[0], normals[1]).to_degrees();
                    let (surface, domain) = extruded(&c, by);
                    let offset = Surface::Offset(Offset { basis: Box::new(surface.clone()), distance: -0.04 });
                    let all = [inside(&surface, domain.clone()), whole(&ruled(&c, by)), inside(&offset, domain)];
                    for (n, found) in all.iter().enumerate() {
                        assert_eq!(found.len(), usize::from(degrees > 0.1), "kind {n}, degree {p}, {degrees} degrees: {found:?}");
                        let Some(j) = found.first() else { continue };
                        let s = &j.summaries;
                        assert!((s.angle.unwrap().max.value - want).abs() < 1e-6, "{:?} against {want}", s.angle);
                        assert!((j.length - by.length()).abs() < 1e-6);
                        // An offset tears where its basis is creased, by the chord between the two normals.
                        let gap = if n == 2 { 2.0 * 0.04 * real::sin(0.5 * want.to_radians()) } else { 0.0 };
                        assert!((s.gap.unwrap().max.value - gap).abs() < 1e-8, "{:?} against {gap}", s.gap);
                        assert_eq!(j.class, if degrees > 2.0 { Class::Crease } else { Class::G0 });
                    }
                }
                let turned = Surface::Revolution(Revolution { frame: f, range: c.domain(), profile: Box::new(c.clone()) });
                let found = whole(&turned);
                assert_eq!(found.len(), usize::from(degrees > 0.1), "degree {p}, {degrees} degrees");
                if let [j] = found.as_slice() {
                    assert!((j.summaries.angle.unwrap().mid.unwrap() - degrees).abs() < 1e-6);
                    // The corner stands 50 + 40 mm off the axis.
                    assert!((j.length - real::TAU * 90.0).abs() < 1e-3 * j.length, "{}", j.length);
                }
            }
        }
    }

    #[test]
    fn smooth_knots_of_swept_curves_are_no_lines() {
        let f = tilted();
        for p in 3..=5 {
            let points = (0..p + 6).map(|i| f.point(30.0 + 9.0 * i as f64, 0.0, 6.0 * real::sin(1.3 * i as f64)).to_array()).collect();
            let c = Curve::Nurbs(nurbs::Curve::new(KnotVector::uniform(p, 6).unwrap(), points, None).unwrap());
            let (surface, domain) = extruded(&c, f.y * 25.0);
            let offset = Surface::Offset(Offset { basis: Box::new(surface.clone()), distance: 0.5 });
            let turned = Surface::Revolution(Revolution { frame: f, range: c.domain(), profile: Box::new(c.clone()) });
            for found in [inside(&surface, domain.clone()), inside(&offset, domain), whole(&turned), whole(&ruled(&c, f.y * 9.0))] {
                assert!(found.is_empty(), "degree {p}: {found:?}");
            }
        }
    }

    /// Line and arc of a chain in tangency: the jump 1/r is told, and tangency is all that is asked.
    #[test]
    fn a_fillet_in_a_chain_is_asked_for_tangency_only() {
        let f = tilted();
        for r in [2.0, 30.0] {
            let line = Curve::Line(Line { origin: f.point(20.0, 0.0, 0.0), direction: f.x });
            // From (60, 0) round the centre (60, r), towards z.
            let frame = Frame { origin: f.point(60.0, 0.0, r), x: -f.z, y: f.x, z: -f.y };
            let arc = Curve::Circle(Circle { frame, radius: r });
            let pieces = vec![
                ChainPiece { curve: Box::new(line), start: 0.0, end: 40.0 },
                ChainPiece { curve: Box::new(arc), start: 0.0, end: real::FRAC_PI_2 },
            ];
            let found = whole(&ruled(&Curve::Chain(Chain { pieces }), f.y * 25.0));
            let [j] = found.as_slice() else { panic!("{found:?}") };
            assert_eq!((j.class, j.required), (Class::G1, Order::G1));
            assert!((j.summaries.curvature.unwrap().max.value - 1.0 / r).abs() < 1e-9, "{:?}", j.summaries.curvature);
            assert!((j.length - 25.0).abs() < 1e-6);
        }
    }

    #[test]
    fn lines_end_at_the_trims() {
        let over = Interval::new(2.0, 6.0);
        let found = runs(over, |t: f64| (t > 2.5 && t < 3.25) || t > 5.0);
        let want = [(2.5, 3.25), (5.0, 6.0)];
        assert!(found.len() == 2 && found.iter().zip(want).all(|(a, b)| (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6), "{found:?}");
    }
}
