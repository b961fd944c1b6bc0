//! Each piece, written as its file and read again, measures what it was built to be, and nothing else is found.

use super::Piece;
use super::dome::{BEND, CROWN, EASE, HALF_LENGTH, HALF_WIDTH};
use super::pair::{CURVATURE_JUMP, KINK, SLOPE_JUMP};
use super::rows::{PUSH, SLIDE, SPANS};
use crate::exchange::{Limits, read};
use crate::joins::{Class, Join, JoinGraph, Order, Station};
use crate::math::real;
use crate::progress::Silent;
use crate::review::{Check, FindingRecord, Options, Prepared, run};

fn check(piece: Piece) -> Check {
    run(piece.step().as_bytes(), &piece.file_name(), &Options::default(), &mut Silent, &mut || 0.0).expect("our own file")
}

/// Measure, severity and value of what is found, but for what is good, and for bare outlines: these sheets end in nothing else.
fn faults(check: &Check) -> Vec<(&'static str, &'static str, f64)> {
    let asked = |f: &&FindingRecord| f.severity != "good" && f.measure != "edge.exposed";
    check.findings.iter().filter(asked).map(|f| (f.measure, f.severity, f.value.0)).collect()
}

/// The one join of a pair, out of its file.
fn join(order: Order) -> Join {
    let piece = Piece::Pair(order);
    let import = read(piece.step().as_bytes(), &piece.file_name(), &Limits::default(), &mut Silent).expect("our own file");
    assert!(import.report.unread.is_empty() && import.report.remarks.is_empty(), "{:?}", import.report);
    let prepared = Prepared::new(import);
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &crate::joins::Options::default(), &mut Silent).expect("joins");
    let mut meeting: Vec<Join> = graph.joins.into_iter().filter(|j| j.class != Class::Outline).collect();
    assert_eq!(meeting.len(), 1);
    meeting.remove(0)
}

/// Angle in degrees, curvatures and their slopes on both sides at a station, by the closed forms that pair.rs states.
fn built(order: Order, y: f64) -> (f64, [f64; 2], [f64; 2]) {
    let w = (1.0 + CROWN * y * CROWN * y).sqrt();
    let kink = if order == Order::G0 { real::sin(KINK.to_radians()) / real::cos(KINK.to_radians()) } else { 0.0 };
    let bend = BEND + if order == Order::G1 { CURVATURE_JUMP } else { 0.0 };
    let ease = EASE + if order == Order::G2 { SLOPE_JUMP } else { 0.0 };
    (real::atan2(kink, w).to_degrees(), [BEND / w, bend / w], [EASE / w, ease / w])
}

#[test]
fn every_pair_meets_as_it_was_built_to() {
    for (order, class) in [(Order::G0, Class::G0), (Order::G1, Class::G1), (Order::G2, Class::G2), (Order::G3, Class::G3)] {
        let join = join(order);
        assert_eq!((join.class, join.faces.len(), join.centre), (class, 2, false), "{order:?}");
        for Station { p, measures, .. } in &join.stations {
            let (angle, curvature, slope) = built(order, p.y);
            let close =
                |is: f64, should: f64, within: f64| assert!((is - should).abs() < within, "{order:?} at y = {}: {is} for {should}", p.y);
            close(p.x, 0.0, 1e-9);
            close(measures.gap, 0.0, 1e-9);
            close(measures.angle.expect("an angle"), angle, 1e-6);
            // With a kink the two sides' normals differ, and what lies beyond is asked of each by its own.
            if order != Order::G0 {
                let sorted = |a: f64, b: f64| if a.abs() < b.abs() { [a.abs(), b.abs()] } else { [b.abs(), a.abs()] };
                let sides = measures.curvature.expect("curvatures");
                let (is, should) = (sorted(sides.a, sides.b), sorted(curvature[0], curvature[1]));
                (0..2).for_each(|k| close(is[k], should[k], 1e-9));
                let sides = measures.slope.expect("slopes");
                let (is, should) = (sorted(sides.a, sides.b), sorted(slope[0], slope[1]));
                (0..2).for_each(|k| close(is[k], should[k], 1e-11));
            }
        }
        let ends = [join.start().y, join.end().y].map(f64::abs);
        assert!(ends.iter().all(|y| (y - HALF_WIDTH).abs() < 1e-9), "{ends:?}");
    }
}

#[test]
fn each_pair_has_the_one_fault_that_it_is_made_for() {
    let jump = |order: Order| match order {
        Order::G1 => CURVATURE_JUMP / BEND.abs(),
        _ => SLOPE_JUMP / (EASE + SLOPE_JUMP),
    };
    for (order, measure, severity, value) in [
        (Order::G0, "join.tangent", "serious", KINK),
        (Order::G1, "join.curvature", "serious", jump(Order::G1)),
        (Order::G2, "join.curvature_slope", "polish", jump(Order::G2)),
    ] {
        let found = faults(&check(Piece::Pair(order)));
        let [(is, graded, size)] = found[..] else { panic!("{order:?}: {found:?}") };
        assert_eq!((is, graded), (measure, severity), "{order:?}");
        assert!((size - value).abs() < 1e-6 * value, "{order:?}: {size} for {value}");
    }
    assert_eq!(faults(&check(Piece::Pair(Order::G3))), []);
}

#[test]
fn the_good_patch_has_no_fault_and_the_poor_one_has_those_of_its_rows() {
    assert_eq!(faults(&check(Piece::Good)), []);
    let found = faults(&check(Piece::Poor));
    let value = |measure: &str| found.iter().find(|f| f.0 == measure).unwrap_or_else(|| panic!("no {measure} in {found:?}")).2;
    // A wave of one third of three quarters of the push, two spans long; at its ends, which have one neighbour of the other sign, of a half.
    let wave = (PUSH * 0.75 / 3.0, 2.0 * 2.0 * HALF_LENGTH / SPANS as f64);
    let tilt = (2.0 * core::f64::consts::PI * wave.0 / wave.1).to_degrees();
    let is = value("highlight.wiggle");
    assert!(is > tilt && is < 1.5 * tilt, "{is} for {tilt}");
    // Legs by turns longer and shorter: ln differs to and fro by the same, so that second differences are twice that. Where the dome is
    // steep, the push adds to it.
    let evenness = 2.0 * real::log((1.0 + 2.0 * SLIDE) / (1.0 - 2.0 * SLIDE));
    let is = value("rows.evenness");
    assert!(is > 0.99 * evenness && is < 1.2 * evenness, "{is} for {evenness}");
    let others: Vec<_> = found.iter().filter(|f| !["highlight.wiggle", "rows.evenness", "rows.turning"].contains(&f.0)).collect();
    assert!(others.is_empty(), "{others:?}");
}

#[test]
fn the_poor_patch_has_the_good_ones_border_and_lies_close_to_it() {
    let surface = |piece: Piece| piece.model().faces[0].surface.clone();
    let (good, poor) = (surface(Piece::Good), surface(Piece::Poor));
    let mut most: f64 = 0.0;
    for k in 0..=24 {
        let t = f64::from(k) / 24.0;
        for (u, v) in [(t, 0.0), (t, 1.0), (0.0, t), (1.0, t)] {
            assert!(good.point(u, v).distance(poor.point(u, v)) < 1e-9, "border at {u}, {v}");
        }
        // Down from a place of the poor one to z = h(x) + g(y).
        for (u, v) in (1..24).map(|i| (t, f64::from(i) / 24.0)) {
            let p = poor.point(u, v);
            let z = 0.5 * BEND * p.x * p.x + EASE / 6.0 * p.x * p.x * p.x + 0.5 * CROWN * p.y * p.y;
            most = most.max((p.z - z).abs());
        }
    }
    // At its ends the wave has only one neighbour of the other sign: half of the push is left there, a third elsewhere.
    assert!(most > PUSH * 0.75 / 3.0 && most < PUSH * 0.75 / 2.0, "{most}");
}

#[test]
fn the_files_are_small_and_always_the_same() {
    let all: usize = Piece::ALL.iter().map(|piece| piece.step().len()).sum();
    assert!(all < 150_000, "{all} bytes");
    let names: std::collections::BTreeSet<String> = Piece::ALL.iter().map(|piece| piece.file_name()).collect();
    assert_eq!(names.len(), Piece::ALL.len());
    assert!(Piece::ALL.iter().all(|piece| piece.step() == piece.step()));
}
