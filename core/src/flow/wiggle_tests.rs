//! Wiggles of ripples of known size against the first-order formula δs = δf/|∇f|: under a rig, the value at a place of the form
//! changes by δf when the ripple is laid on, and the stripe moves by that over the slope of the function (elementary).
//!
//! The formula speaks of stripes that cross the ripple. A stripe of a rig does so here when, over the whole wave that is
//! compared, it meets the ripple's crests at more than 35° (one that runs along a crest keeps its distance, and has no wave)
//! and the first order holds: half the ripple changes f by half of what the whole one does, and a step of δs changes f by δf
//! (beside the place that faces the light f turns round, and neither is so). Rigs are drawn at random; those without such a
//! stripe are drawn anew.

use super::{Piece, Precision, Reading, Twin, trace_face, twins, wiggle};
use crate::geometry::fair_forms::{Form, Ripple, forms, rippled, whole};
use crate::geometry::{FAIR_DEGREE, FairReference, Surface};
use crate::highlight::{Eye, Family, LampRig};
use crate::math::{Point2, real};
use crate::model::{Face, FaceId, Model};
use crate::tessellate::{Tessellator, Tolerance};
use core::cell::Cell;
use proptest::prelude::*;

const LENGTH: f64 = 80.0;
const AMPLITUDE: f64 = 0.03;

/// Places along a stripe.
const PLACES: usize = 240;

/// Least angle between stripe and crest, degrees.
const CROSSING: f64 = 35.0;

/// Largest departure from the first order, as a share of the wave: of twice the change by half the ripple, and of the change by
/// the step.
const FIRST_ORDER: f64 = 0.05;

/// Least half height of a wave that is compared, mm. A patch of degree 5 leaves 0.0013 mm of the cylinder, and with it moves
/// stripes by some hundredths of a millimetre; under lamps nearly square to its axis the ripple itself does no more.
const SEEN: f64 = 0.3;

const FAMILIES: [Family; 3] = [Family::Isophote, Family::HighlightLine, Family::ReflectionLine];

/// A rig over the middle of the face, leaning by (a, b) from its normal; stripes 3° or 90 mm apart.
fn rig(family: Family, s: &Surface, (a, b): (f64, f64), turn: f64) -> LampRig {
    let d = s.derivs(0.5, 0.5, 1);
    let (n, t) = (d.su.cross(d.sv).normalize(), d.su.normalize());
    let n = if n.z < 0.0 { -n } else { n };
    let lean = if family == Family::Isophote { 1.0 } else { 0.2 };
    let direction = n + t * (lean * a) + t.cross(n) * (lean * b);
    let spacing = if family == Family::Isophote { 0.05 } else { 90.0 };
    let rig = LampRig {
        family,
        direction,
        across: LampRig::across(direction, turn),
        centre: d.s.to_vec(),
        distance: 1200.0,
        count: 41,
        spacing,
        width: 0.5 * spacing,
        eye: Eye::At(d.s.to_vec() + n * 2500.0 + t * 700.0),
    };
    rig.checked().unwrap()
}

/// A form with the ripple, with half of it and without.
struct Case<'a> {
    form: &'a Form,
    angle: f64,
    whole: Surface,
    half: Surface,
    none: Surface,
}

impl Case<'_> {
    fn new(form: &Form, angle: f64) -> Case<'_> {
        let with = |amplitude: f64| Surface::Nurbs(rippled(form, &Ripple { amplitude, length: LENGTH, angle, phase: 0.7 }));
        Case { form, angle, whole: with(AMPLITUDE), half: with(0.5 * AMPLITUDE), none: with(0.0) }
    }

    /// Angle between a stripe of the form and the crests, degrees, 0 to 90. The wave's phase is cos·x + sin·y over
    /// x = size.0·u and y = size.1·v, so the crest is where it stays.
    fn slant(&self, rig: &LampRig, uv: Point2) -> Option<f64> {
        let r = read(rig, &self.none, uv)?;
        let (sin, cos) = real::sin_cos(self.angle);
        let crest = r.derivs.su * (sin * self.form.size.1) - r.derivs.sv * (cos * self.form.size.0);
        let angle = real::angle_between(r.stripe()?.tangent, crest).to_degrees();
        Some(angle.min(180.0 - angle))
    }

    /// Half height of the first-order wave at three places, mm, where the stripe crosses the ripple; else None.
    fn crossing(&self, rig: &LampRig, places: &[Twin], at: [Twin; 3]) -> Option<f64> {
        if places.iter().any(|o| self.slant(rig, o.uv).is_none_or(|s| s < CROSSING)) {
            return None;
        }
        // Half height of the change that one of the surfaces makes at the three, as offsets.
        let wave = |with: &Surface| {
            let change = |o: &Twin| {
                let r = read(rig, &self.none, o.uv)?;
                Some((read(rig, with, o.uv)?.f.f - r.f.f) / r.gradient()?.length())
            };
            let [a, b, c] = [change(&at[0])?, change(&at[1])?, change(&at[2])?];
            Some(0.5 * (b - 0.5 * (a + c)).abs())
        };
        // What is left of f's change after the step, as an offset.
        let left = |o: &Twin| {
            let r = read(rig, &self.none, o.uv)?;
            let there = o.uv + r.climb(read(rig, &self.whole, o.uv)?.f.f - r.f.f)?;
            Some((read(rig, &self.whole, o.uv)?.f.f - read(rig, &self.none, there)?.f.f).abs() / r.gradient()?.length())
        };
        let (all, half) = (wave(&self.whole)?, wave(&self.half)?);
        let lands = at.iter().all(|o| left(o).is_some_and(|l| l <= FIRST_ORDER * all));
        (lands && all >= SEEN && (2.0 * half - all).abs() <= FIRST_ORDER * all).then_some(all)
    }
}

fn read(rig: &LampRig, s: &Surface, uv: Point2) -> Option<Reading> {
    Reading::at(rig, &s.derivs(uv.u, uv.v, 3))
}

#[test]
fn wiggles_follow_the_first_order_formula() {
    let forms = forms();
    // Crests square to the cylinder's rulings, which its isophotes are, or to a row of the patch of degree 5, and oblique.
    let cases = [(0, real::FRAC_PI_2), (0, 0.9), (2, 0.0), (2, 0.9)].map(|(k, angle)| Case::new(&forms[k], angle));
    let (rigs, worst) = (Cell::new([0; 3]), Cell::new(0.0f64));
    for case in &cases {
        let domain = whole(&case.whole);
        let fair = FairReference::new(&case.whole, &domain, (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
        let model = Model { faces: vec![Face::whole(case.whole.clone())], parts: vec!["one".into()], ..Model::default() };
        let domains = [Some(domain.clone())];
        let mesh = Tessellator::new(&model, &domains, &Tolerance::for_size(1000.0)).face(FaceId::new(0)).unwrap();
        for family in 0..FAMILIES.len() {
            let config = ProptestConfig { cases: 3, max_global_rejects: 400, ..ProptestConfig::default() };
            proptest!(config, |(a in -1.0f64..1.0, b in -1.0f64..1.0, turn in 0.0f64..3.1)| {
                let rig = rig(FAMILIES[family], &case.none, (a, b), turn);
                let trace = trace_face(&rig, &case.whole, &domain, &mesh, &Precision { sag: 0.05, ..Precision::default() });
                let mut held = 0;
                for piece in trace.pieces.iter().filter(|p: &&Piece| p.length() > 3.0 * LENGTH && !p.is_closed()) {
                    let line = twins(&rig, (FaceId::new(0), &case.whole), piece, fair.patch(), PLACES);
                    let Some(w) = wiggle(&line, 1e-3) else { continue };
                    let Some(want) = case.crossing(&rig, &line[w.at[0]..=w.at[2]], w.at.map(|k| line[k])) else { continue };
                    let off = (w.amplitude / want - 1.0).abs();
                    prop_assert!(off < 0.1, "{} {:?}: {} against {want}", case.form.name, rig.family, w.amplitude);
                    worst.set(worst.get().max(off));
                    held += 1;
                }
                prop_assume!(held > 0);
                let mut all = rigs.get();
                all[family] += 1;
                rigs.set(all);
            });
        }
    }
    println!("rigs {:?}, amplitudes off by at most {:.1} %", rigs.get(), 100.0 * worst.get());
    assert!(rigs.get().iter().all(|n| *n >= 12), "{:?}", rigs.get());
}
