//! One half of the cowl: patches cut from the masters, the faults asked for, and everything built on them.

use super::form_seed::{flipped, rippled, skewed, sliver, uneven};
use super::hatch::hatch;
use super::lip::{SETBACK, lip};
use super::patch::Patch;
use super::pocket::{pocket, with_opening};
use super::seed::{End, Truth, curvature, kink, slope, step};
use super::shape;
use super::sheet::{Edge, Sheet, outline};
use crate::geometry::Surface;
use crate::math::real;
use crate::nurbs;

/// The faults of one half by size; None: sound.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Faults {
    /// Step between middle and rear cheek, mm.
    pub step: Option<f64>,
    /// Tangent break between front and middle hood, degrees.
    pub kink: Option<f64>,
    /// Tangent break between middle and rear cheek, degrees.
    pub cheek_kink: Option<f64>,
    /// Relative curvature break between front and middle cheek.
    pub curvature: Option<f64>,
    /// Relative break of the curvature slope between front and middle hood.
    pub slope: Option<f64>,
    /// Evenness of a row of the rear cheek.
    pub uneven: Option<f64>,
    /// Angle off square at the centre plane of the front hood's rows, degrees.
    pub skew: Option<f64>,
    /// Amplitude of a ripple in the rear hood, mm.
    pub ripple: Option<f64>,
    /// Angle by which the front ridge turns concave, degrees.
    pub flip: Option<f64>,
    /// Smallest radius of the rear lip's fillet, mm.
    pub tight: Option<f64>,
    /// Balance of the middle lip's fillet.
    pub balance: Option<f64>,
    /// Widening of the hatch gap at the side, mm.
    pub drift: Option<f64>,
    /// Distance between the lamp pocket's wall and floor, mm.
    pub open: Option<f64>,
    /// Width of a strip cut from the middle cheek, mm.
    pub sliver: Option<f64>,
    /// The rear hood cut in two without need.
    pub split: bool,
}

/// Where a split rear hood is cut.
const SPLIT: f64 = 0.5;

/// A built half, in right-hand position, and what its faults amount to by name.
pub(super) struct Half {
    pub sheets: Vec<Sheet>,
    pub truths: Vec<(&'static str, Truth)>,
}

const PLACES: [&str; 3] = ["front", "middle", "rear"];

/// Builds a half with its faults. `other_split`: the other half's rear hood is cut, so this one needs a corner there.
pub(super) fn half(faults: &Faults, other_split: bool, name: &str) -> Half {
    let mut truths = Vec::new();
    let mut note = |id: &'static str, truth: Truth| truths.push((id, truth));
    let (hoods, cheeks) = (shape::hood(), shape::cheek(shape::ridge_angle));
    let mut hood: [Patch; 3] = core::array::from_fn(|s| hoods.piece(s));
    let mut cheek: [Patch; 3] = core::array::from_fn(|s| cheeks.piece(s));

    // Ends of patches. A hood's column 4 leaves the centre plane's third order, a cheek's 2 and 3 leave ridge and lip.
    let mut seed = |patch: &mut Patch, id: &'static str, made: Option<(Patch, Truth)>| {
        if let Some((changed, truth)) = made {
            *patch = changed;
            note(id, truth);
        }
    };
    let made = faults.kink.map(|x| kink(&hood[0], End::Finish, &[4], x));
    seed(&mut hood[0], "kink", made);
    let made = faults.slope.map(|x| slope(&hood[0], End::Finish, &[4], x));
    seed(&mut hood[0], "slope", made);
    let made = faults.skew.map(|x| skewed(&hood[0], x));
    seed(&mut hood[0], "skew", made);
    let made = faults.curvature.map(|x| curvature(&cheek[0], End::Finish, &[2, 3], x));
    seed(&mut cheek[0], "curvature", made);
    let made = faults.step.map(|x| step(&cheek[2], End::Start, &[2, 3], x));
    seed(&mut cheek[2], "step", made);
    let made = faults.cheek_kink.map(|x| kink(&cheek[2], End::Start, &[2, 3], x));
    seed(&mut cheek[2], "cheek-kink", made);
    let made = faults.uneven.map(|x| uneven(&cheek[2], 2, x));
    seed(&mut cheek[2], "uneven", made);
    if let Some(x) = faults.flip {
        let (changed, concave, convex) = flipped(&hood[0], &cheek[0], x);
        cheek[0] = changed;
        note("flip", concave);
        note("flip-break", convex);
    }
    let cut = faults.sliver.map(|x| {
        let (cut, truth) = sliver(&cheek[1], x);
        note("sliver", truth);
        cut
    });

    let mut sheets = Vec::new();
    let label = |what: &str, place: &str| format!("{what} {place} {name}");
    let whole = |what: String, layer: &'static str, s: nurbs::Surface, breaks: &dyn Fn(Edge) -> Vec<f64>| {
        let loops = vec![outline(&s, breaks)];
        Sheet { name: what, layer, surface: Surface::Nurbs(s), loops, outward: false }
    };
    let sound = |_: Edge| Vec::new();

    // Hood.
    sheets.push(whole(label("hood", PLACES[0]), "hood", hood[0].surface(), &sound));
    let drift = faults.drift.unwrap_or(0.0);
    let wider = |a: f64| {
        let c = real::cos(a) * real::cos(a);
        drift * c * c * c * c
    };
    let opened = hatch(&hood[1], wider, cut, name);
    if faults.drift.is_some() {
        note("drift", opened.steepest);
    }
    let surface = Surface::Nurbs(hood[1].surface());
    sheets.push(Sheet { name: label("hood", PLACES[1]), layer: "hood", surface, loops: vec![opened.hood], outward: false });
    if faults.split {
        for (place, range) in [("rear, first part,", (0.0, SPLIT)), ("rear, second part,", (SPLIT, 1.0))] {
            sheets.push(whole(label("hood", place), "hood", hood[2].part((0.0, 1.0), range).surface(), &sound));
        }
        note("split", Truth { value: 1.0, place: hood[2].derivs(0.5, SPLIT).s });
    } else {
        let rear = faults.ripple.map(|x| rippled(&hood[2], 4, x));
        if let Some((_, truth)) = &rear {
            note("ripple", *truth);
        }
        let breaks = |e: Edge| if other_split && e == Edge::Near { vec![SPLIT] } else { Vec::new() };
        sheets.push(whole(label("hood", PLACES[2]), "hood", rear.map_or_else(|| hood[2].surface(), |r| r.0), &breaks));
    }
    sheets.extend(opened.sheets);

    // Cheeks.
    let lamp = pocket(&cheek[0], faults.open.unwrap_or(0.0), name);
    if let Some(value) = faults.open {
        note("open", Truth { value, place: lamp.floor_edge });
    }
    let front = cheek[0].surface();
    let loops = with_opening(&front, lamp.opening);
    sheets.push(Sheet { name: label("cheek", PLACES[0]), layer: "cheeks", surface: Surface::Nurbs(front), loops, outward: false });
    match cut {
        Some(c) => {
            for (place, range) in [("middle, strip,", (0.0, c)), ("middle", (c, 1.0))] {
                sheets.push(whole(label("cheek", place), "cheeks", cheek[1].part((0.0, 1.0), range).surface(), &sound));
            }
        }
        None => sheets.push(whole(label("cheek", PLACES[1]), "cheeks", cheek[1].surface(), &sound)),
    }
    let breaks = |e: Edge| if faults.split && e == Edge::Near { vec![SPLIT] } else { Vec::new() };
    sheets.push(whole(label("cheek", PLACES[2]), "cheeks", cheek[2].surface(), &breaks));
    sheets.extend(lamp.sheets);

    // Lips.
    for s in 0..3 {
        // A bump with three derivatives zero at both ends, so that neighbouring lips go on smoothly.
        let bump = |v: f64| {
            let x = 4.0 * v * (1.0 - v);
            x * x * x * x
        };
        let setbacks = |v: f64| match (s, faults.balance, faults.tight) {
            (1, Some(x), _) => (SETBACK, SETBACK + SETBACK * (1.0 / x - 1.0) * bump(v)),
            (2, _, Some(x)) => (SETBACK - (SETBACK - x) * bump(v), SETBACK - (SETBACK - x) * bump(v)),
            _ => (SETBACK, SETBACK),
        };
        let place = cheek[s].derivs(1.0, 0.5).s;
        match (s, faults.balance, faults.tight) {
            (1, Some(value), _) | (2, _, Some(value)) => note(if s == 1 { "balance" } else { "tight" }, Truth { value, place }),
            _ => {}
        }
        let (fillet, flange) = lip(&cheek[s], setbacks);
        let breaks = |e: Edge| cut.filter(|_| s == 1 && e == Edge::Near).into_iter().collect::<Vec<f64>>();
        sheets.push(whole(label("arch fillet", PLACES[s]), "arches", fillet, &breaks));
        sheets.push(whole(label("arch flange", PLACES[s]), "arches", flange, &sound));
    }
    Half { sheets, truths }
}
