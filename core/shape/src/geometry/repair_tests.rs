//! Loops with one fault each, made of lines and arcs with known areas.

use super::domain_spline_tests::tube;
use super::domain_tests::{bounded, frame, ring};
use super::*;
use crate::math::{Frame, Point2, Point3, Vec3, real};
use crate::nurbs::{self, KnotVector};
use real::{PI, TAU};

type Use = (Curve, f64, f64, bool);

fn plane() -> Surface {
    Surface::Plane(Plane { frame: frame() })
}

/// A flat 20 × 10 mm patch of degree 3 by 2 with uneven speed, so that borders are not straight in disguise.
fn patch() -> Surface {
    let f = frame();
    let (xs, ys) = ([0.0, 4.0, 13.0, 20.0], [0.0, 3.0, 10.0]);
    let points = xs.iter().flat_map(|&x| ys.iter().map(move |&y| f.point(x, y, 0.0))).collect();
    Surface::Nurbs(nurbs::Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(2).unwrap(), points, None).unwrap())
}

/// A line between two points of the frame's plane.
fn side(a: (f64, f64), b: (f64, f64)) -> Use {
    let (p, q) = (frame().point(a.0, a.1, 0.0), frame().point(b.0, b.1, 0.0));
    (Curve::Line(Line { origin: p, direction: q - p }), 0.0, 1.0, true)
}

fn polygon(points: &[(f64, f64)]) -> Vec<Use> {
    (0..points.len()).map(|i| side(points[i], points[(i + 1) % points.len()])).collect()
}

fn rectangle(x: (f64, f64), y: (f64, f64), forward: bool) -> Vec<Use> {
    let mut all = polygon(&[(x.0, y.0), (x.1, y.0), (x.1, y.1), (x.0, y.1)]);
    if !forward {
        all.reverse();
        all.iter_mut().for_each(|u| u.3 = false);
    }
    all
}

fn circle(x: f64, y: f64, radius: f64, forward: bool) -> Vec<Use> {
    vec![(Curve::Circle(Circle { frame: Frame { origin: frame().point(x, y, 0.0), ..frame() }, radius }), 0.0, TAU, forward)]
}

/// The area comes out as wanted, and exactly the wanted repairs are listed.
fn mended(name: &str, surface: &Surface, loops: &[Vec<Use>], area: f64, wanted: &[&dyn Fn(&DomainRepair) -> bool]) {
    let domain = bounded(surface, loops).unwrap_or_else(|e| panic!("{name}: {e}"));
    let got = domain.area(surface);
    assert!((got - area).abs() < 1e-7 * area, "{name}: area {got} where {area} is right, {:?}", domain.repairs);
    assert_eq!(domain.repairs.len(), wanted.len(), "{name}: {:?}", domain.repairs);
    for w in wanted {
        assert!(domain.repairs.iter().any(w), "{name}: {:?}", domain.repairs);
    }
    assert!(domain.repairs.iter().all(|r| !r.to_string().is_empty()));
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * b.abs()
}

use DomainRepair as R;

#[test]
fn holes_without_a_loop_around_them_take_the_patches_own_border() {
    let holes = [circle(5.0, 4.0, 2.0, false), circle(14.0, 6.0, 1.5, false)];
    mended("holes", &patch(), &holes, 200.0 - PI * (4.0 + 2.25), &[&|r| *r == R::OuterMissing]);
    // One alone is an outer loop the wrong way round, and a plane has no border.
    mended("one", &patch(), &holes[..1], PI * 4.0, &[&|r| *r == R::Reversed { loop_index: 0 }]);
    let two = [circle(5.0, 4.0, 2.0, true), circle(14.0, 6.0, 1.5, true)];
    mended("two outer", &plane(), &two, PI * (4.0 + 2.25), &[&|r| *r == R::SeveralOuter { count: 2 }]);
}

#[test]
fn a_missing_side_on_the_border_is_run_along_the_border() {
    let s = patch();
    let mut all = rectangle((0.0, 20.0), (0.0, 10.0), true);
    all.remove(1);
    mended("one side", &s, &[all.clone()], 200.0, &[&|r| matches!(*r, R::BorderTaken { use_index: 1, gap, .. } if near(gap, 10.0))]);
    // Two sides and the corner between them: straight would cut the patch in half.
    all.remove(1);
    let diagonal = real::hypot(20.0, 10.0);
    mended("two sides", &s, &[all], 200.0, &[&|r| matches!(*r, R::BorderTaken { gap, .. } if near(gap, diagonal))]);
    // One cut across: the region on its left.
    mended("a cut", &s, &[vec![side((8.0, 10.0), (8.0, 0.0))]], 120.0, &[&|r| matches!(*r, R::BorderTaken { gap, .. } if near(gap, 10.0))]);
    mended("the other", &s, &[vec![side((8.0, 0.0), (8.0, 10.0))]], 80.0, &[&|r| matches!(*r, R::BorderTaken { .. })]);
}

#[test]
fn a_loop_that_touches_itself_becomes_two() {
    // Round one square and, from the common corner, round the next.
    let eight = polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (9.0, 4.0), (9.0, 7.0), (4.0, 7.0), (4.0, 4.0), (0.0, 4.0)]);
    let untied = |r: &R| *r == R::Untied { loop_index: 0, count: 2 };
    let several = |r: &R| *r == R::SeveralOuter { count: 2 };
    mended("corner", &plane(), &[eight], 16.0 + 15.0, &[&untied, &several]);
    // A hole that hangs on the outer loop by one corner, written as one loop.
    let hung = polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0), (0.0, 0.0), (2.0, 5.0), (5.0, 2.0)]);
    mended("hung hole", &plane(), &[hung], 81.0 - 0.5 * 21.0, &[&untied]);
    // Its corner inside a side of the outer loop.
    let tee = polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0), (0.0, 4.0), (4.0, 6.0), (4.0, 2.0), (0.0, 4.0)]);
    mended("hung on a side", &plane(), &[tee], 81.0 - 8.0, &[&untied]);
    // A slit out to a hole and back.
    let keyhole =
        polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0), (0.0, 0.0), (3.0, 3.0), (3.0, 6.0), (6.0, 6.0), (6.0, 3.0), (3.0, 3.0)]);
    let domain = bounded(&plane(), &[keyhole]).unwrap();
    assert!((domain.area(&plane()) - (81.0 - 9.0)).abs() < 1e-9, "{:?}", domain.repairs);
    assert_eq!(domain.loops.len(), 2);
}

#[test]
fn crossing_edges_are_cut_at_the_crossing() {
    for d in [0.05, 0.4] {
        // Both edges at one corner run on.
        let mut all = rectangle((0.0, 10.0), (0.0, 5.0), true);
        all[0] = side((0.0, 0.0), (10.0 + d, 0.0));
        all[1] = side((10.0, -0.7 * d), (10.0, 5.0));
        mended("both", &plane(), &[all], 50.0, &[&|r| matches!(*r, R::Cut { loop_index: 0, size, .. } if near(size, d))]);
        // One runs on.
        let mut all = rectangle((0.0, 10.0), (0.0, 5.0), true);
        all[2] = side((10.0, 5.0), (-d, 5.0));
        mended("one", &plane(), &[all], 50.0, &[&|r| matches!(*r, R::Cut { use_index: 2, size, .. } if near(size, d))]);
        // A hole that stands out of its face by d.
        let loops = [rectangle((0.0, 10.0), (0.0, 5.0), true), rectangle((2.0, 4.0), (-d, 2.0), false)];
        mended("hole", &plane(), &loops, 46.0, &[&|r| matches!(*r, R::Cut { size, .. } if near(size, d))]);
    }
    // A bow: both halves are kept, whichever way they run.
    let bow = polygon(&[(0.0, 0.0), (6.0, 6.0), (6.0, 0.0), (0.0, 6.0)]);
    let domain = bounded(&plane(), &[bow]).unwrap();
    assert!(
        (domain.area(&plane()) - 18.0).abs() < 1e-9 && domain.repairs.contains(&R::Untied { loop_index: 0, count: 2 }),
        "{:?}",
        domain.repairs
    );
}

#[test]
fn two_loops_written_as_one_are_parted() {
    let mut all = rectangle((0.0, 10.0), (0.0, 5.0), true);
    all.extend(rectangle((2.0, 4.0), (1.0, 2.0), false));
    mended("parted", &plane(), &[all], 48.0, &[&|r| *r == R::Parted { loop_index: 0, count: 2 }]);
}

#[test]
fn a_tubes_seam_may_be_there_once_or_not_at_all() {
    let r = 7.0;
    // As a spline the tube has a seam of its own, at turn 0, where two of its borders meet; elsewhere the cut lies inside.
    let tubes = [("cylinder", Surface::Cylinder(Cylinder { frame: frame(), radius: r })), ("spline", tube(r))];
    for ((kind, s), turn) in tubes.iter().flat_map(|t| [0.0, 1.3, 4.0].map(|turn| (t, turn))) {
        let mended = |name: &str, loops: &[Vec<Use>], area: f64, wanted: &[&dyn Fn(&R) -> bool]| {
            mended(&format!("{kind} cut at {turn}, {name}"), s, loops, area, wanted);
        };
        let at = |z: f64| frame().point(r * real::cos(turn), r * real::sin(turn), z);
        let rail = Curve::Line(Line { origin: at(-2.0), direction: at(9.0) - at(-2.0) });
        let (bottom, top) = ((ring(-2.0, r, turn), 0.0, TAU, true), (ring(9.0, r, turn), 0.0, TAU, false));
        let area = TAU * r * 11.0;
        let once = vec![bottom.clone(), (rail.clone(), 0.0, 1.0, true), top.clone()];
        mended("seam once", &[once], area, &[&|r| matches!(*r, R::SeamAdded { gap, .. } if near(gap, 11.0))]);
        let twice_up = vec![bottom.clone(), (rail.clone(), 0.0, 1.0, true), top.clone(), (rail.clone(), 0.0, 1.0, true)];
        mended("seam the same way twice", &[twice_up], area, &[&|r| matches!(*r, R::EdgeTurned { use_index: 3, .. })]);
        mended("no seam", &[vec![bottom.clone(), top.clone()]], area, &[&|r| *r == R::Parted { loop_index: 0, count: 2 }]);
        let alone = vec![(rail.clone(), 0.0, 1.0, true), (rail.clone(), 0.0, 1.0, false)];
        mended(
            "seam by itself",
            &[vec![bottom], vec![top], alone],
            area,
            &[&|r| matches!(*r, R::Spur { length, .. } if near(length, 11.0))],
        );
    }
}

/// The way back along a cut that bends is the cut itself, not the chord between its ends.
#[test]
fn a_bent_cut_run_along_once_is_run_back_along() {
    let (r, f) = (7.0, frame());
    // An ellipse on the tube: z = 3.5 + 5.5 cos t at turn t.
    let z = |t: f64| 3.5 + 5.5 * real::cos(t);
    let x = f.x * r + f.z * 5.5;
    let tilted = Frame { origin: f.point(0.0, 0.0, 3.5), x: x.normalize(), y: f.y, z: x.normalize().cross(f.y) };
    let cut = Curve::Ellipse(Ellipse { frame: tilted, semi_x: x.length(), semi_y: r });
    for (kind, s) in [("cylinder", Surface::Cylinder(Cylinder { frame: f, radius: r })), ("spline", tube(r))] {
        for (low, high) in [(2.0, 0.3), (2.9, 1.1)] {
            let (bottom, top) = ((ring(z(low), r, low), 0.0, TAU, true), (ring(z(high), r, high), 0.0, TAU, false));
            let gap = cut.point(low).distance(cut.point(high));
            let all = vec![bottom, (cut.clone(), low, high, true), top];
            let area = TAU * r * (z(high) - z(low));
            mended(kind, &s, &[all], area, &[&|m| matches!(*m, R::SeamAdded { gap: g, .. } if near(g, gap))]);
        }
    }
}

/// What cannot be meant is refused, and no loop, however tangled, takes long.
#[test]
fn tangles_are_refused_in_bounded_time() {
    let count = if cfg!(debug_assertions) { 20_000 } else { 100_000 };
    let star: Vec<(f64, f64)> = (0..count)
        .map(|i| {
            let turn = PI * (1.0 - 1.0 / f64::from(count)) * f64::from(i);
            (50.0 * real::cos(turn), 50.0 * real::sin(turn))
        })
        .collect();
    assert_eq!(bounded(&plane(), &[polygon(&star)]).unwrap_err(), DomainFault::Tangled);
    let many: Vec<Vec<Use>> = (0..12_000).map(|i| circle(f64::from(i), 0.0, 0.4, true)).collect();
    assert_eq!(bounded(&plane(), &many).unwrap_err(), DomainFault::Tangled);
    let half = vec![(Curve::Circle(Circle { frame: frame(), radius: 3.0 }), 0.0, PI, true)];
    assert!(matches!(bounded(&plane(), &[half]), Err(DomainFault::Open { gap, .. }) if near(gap, 6.0)));
}

#[test]
fn an_untrimmed_face_shows_what_there_is() {
    let fault = DomainFault::Empty;
    let search = |s: &Surface| SurfaceSearch::new(s);
    let whole = untrimmed::untrimmed(&patch(), &search(&patch()), &[], fault).unwrap();
    assert!(whole.untrimmed == Some(fault) && (whole.area(&patch()) - 200.0).abs() < 1e-6);
    let seen = [(1.0, 2.0), (7.0, 3.0), (4.0, 9.0)].map(|(x, y)| frame().point(x, y, 1.0));
    let boxed = untrimmed::untrimmed(&plane(), &search(&plane()), &seen, fault).unwrap();
    assert!((boxed.area(&plane()) - 42.0).abs() < 1e-9 && boxed.contains(Point2::new(6.9, 8.9)));
    let nowhere = [Point3::new(f64::NAN, 0.0, 0.0), frame().origin + Vec3::ZERO];
    assert_eq!(untrimmed::untrimmed(&plane(), &search(&plane()), &nowhere, fault).unwrap_err(), fault);
    let tube = Surface::Cylinder(Cylinder { frame: frame(), radius: 3.0 });
    let round: Vec<Point3> = (0..9).map(|i| tube.point(f64::from(i) * TAU / 8.0, f64::from(i % 2))).collect();
    let boxed = untrimmed::untrimmed(&tube, &search(&tube), &round, fault).unwrap();
    assert!((boxed.area(&tube) - TAU * 3.0).abs() < 1e-9);
}
