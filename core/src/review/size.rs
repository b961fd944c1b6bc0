//! Whether a model's size can be meant, and what its numbers may be meant in.
//!
//! All limits here are common practice, no source.

use crate::math::Point3;
use core::fmt;

/// Shortest box diagonal, mm, that is not doubted. Larger: small parts are doubted; smaller: a part of 0.2 m written
/// in metres and read as mm passes as one of 0.2 mm.
const LEAST: f64 = 10.0;

/// Longest box diagonal, mm, that is not doubted. Larger: a car in mm that says inch (76 m) passes; smaller: wings and
/// hulls are doubted.
const MOST: f64 = 30_000.0;

/// Width, mm, below which a long face is thinner than anything that is made. Larger: sharp trailing edges are doubted;
/// smaller: a blade in metres that says mm passes.
const THIN: f64 = 0.1;

/// A face is long when it runs over more than this share of the box diagonal. Larger: strips along half a model are
/// missed; smaller: every sliver of a model casts doubt on its unit.
const LONG: f64 = 0.5;

/// Least diagonal, mm, and least width of the thin strip, mm, of a guess. They lie above [`LEAST`] and [`THIN`], since
/// a guess that is nearly doubtful itself helps nobody.
const GUESS: (f64, f64) = (50.0, 0.5);

/// Longest diagonal, mm, of guesses where a thin face is the cause: what has such edges is often a blade, a wing or a
/// hull. Larger: nothing that is made; smaller: a blade of 117 m written in metres is offered only units it is not in.
const HUGE: f64 = 400_000.0;

/// Units a file can be meant in, in order of how common they are, with their length in mm.
pub const UNITS: [(&str, f64); 5] = [("mm", 1.0), ("m", 1000.0), ("inch", 25.4), ("cm", 10.0), ("ft", 304.8)];

/// Why a size is doubted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// The whole model is smaller than what is reviewed.
    Small,
    /// The whole model is larger than what is reviewed.
    Large,
    /// A long face is thinner than anything that is made.
    Thin {
        /// Its index.
        face: usize,
        /// Its mean width, mm.
        width: f64,
        /// Its length, mm.
        length: f64,
    },
}

/// A doubt about a model's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Why.
    pub cause: Cause,
    /// Diagonal of the model's box as read, mm.
    pub diagonal: f64,
    /// Units that would make the size plausible, the commonest first; may be empty.
    pub guesses: Vec<Guess>,
}

/// A unit the numbers may be meant in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guess {
    /// Its name.
    pub unit: &'static str,
    /// Millimetres in one.
    pub in_mm: f64,
    /// What the diagonal would then be, mm.
    pub diagonal: f64,
}

/// Doubts the size of a model with the given box and faces, read with `in_mm` millimetres in a unit. `strips`: index,
/// mean width and length of faces, mm. None where nothing is odd, or where there is no box.
pub fn doubt(bounds: Option<[Point3; 2]>, strips: impl IntoIterator<Item = (usize, f64, f64)>, in_mm: f64) -> Option<Doubt> {
    let [low, high] = bounds?;
    let diagonal = low.distance(high);
    if !(diagonal > 0.0 && diagonal.is_finite() && in_mm > 0.0 && in_mm.is_finite()) {
        return None;
    }
    let thinnest = strips
        .into_iter()
        .filter(|(_, width, length)| *width > 0.0 && *length > LONG * diagonal && length.is_finite())
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let cause = match thinnest {
        _ if diagonal < LEAST => Cause::Small,
        _ if diagonal > MOST => Cause::Large,
        Some((face, width, length)) if width < THIN => Cause::Thin { face, width, length },
        _ => return None,
    };
    let width = thinnest.map_or(f64::INFINITY, |(_, width, _)| width);
    let within = |most: f64| -> Vec<Guess> {
        let guess = |&(unit, mm): &(&'static str, f64)| {
            let factor = mm / in_mm;
            let plausible = (factor - 1.0).abs() > 1e-9 && (GUESS.0..=most).contains(&(diagonal * factor)) && width * factor >= GUESS.1;
            plausible.then_some(Guess { unit, in_mm: mm, diagonal: diagonal * factor })
        };
        UNITS.iter().filter_map(guess).collect()
    };
    let guesses = within(if matches!(cause, Cause::Thin { .. }) { HUGE } else { MOST });
    Some(Doubt { cause, diagonal, guesses })
}

/// A length with its usual unit, three digits.
pub fn shown(mm: f64) -> String {
    let (x, unit) = if mm >= 1000.0 { (mm / 1000.0, "m") } else { (mm, "mm") };
    match x {
        x if x >= 100.0 => format!("{x:.0} {unit}"),
        x if x >= 10.0 => format!("{x:.1} {unit}"),
        x if x >= 0.1 => format!("{x:.2} {unit}"),
        x => format!("{x:.4} {unit}"),
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let across = shown(self.diagonal);
        match self.cause {
            Cause::Small => write!(f, "the model is only {across} from corner to corner"),
            Cause::Large => write!(f, "the model is {across} from corner to corner"),
            Cause::Thin { face, width, length } => {
                write!(f, "face {face} is {} long and {} wide, thinner than anything that is made", shown(length), shown(width))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(diagonal: f64, strips: &[(f64, f64)], in_mm: f64) -> Option<Doubt> {
        let corner = Point3::new(diagonal * 0.6 + 7.0, -3.0, diagonal * 0.8 + 1.0);
        let strips = strips.iter().enumerate().map(|(i, s)| (i, s.0, s.1));
        doubt(Some([Point3::new(7.0, -3.0, 1.0), corner]), strips, in_mm)
    }

    fn units(doubt: &Option<Doubt>) -> Vec<&'static str> {
        doubt.as_ref().map(|d| d.guesses.iter().map(|g| g.unit).collect()).unwrap_or_default()
    }

    #[test]
    fn a_car_that_says_inch_is_in_millimetres() {
        // 3 m of numbers, each taken for an inch.
        let found = of(3000.0 * 25.4, &[], 25.4).expect("doubted");
        assert_eq!(found.cause, Cause::Large);
        assert_eq!(found.guesses[0].unit, "mm");
        assert!((found.guesses[0].diagonal - 3000.0).abs() < 1e-6);
        assert_eq!(found.to_string(), "the model is 76.2 m from corner to corner");
    }

    #[test]
    fn a_blade_in_metres_that_says_millimetre_is_told_by_its_edge() {
        let found = of(117.4, &[(3.0, 117.0), (0.009, 100.0)], 1.0);
        assert_eq!(units(&found), ["m", "ft"]);
        assert!(matches!(found.map(|d| d.cause), Some(Cause::Thin { face: 1, .. })));
        // The same narrow face where it is short says nothing about the unit.
        assert_eq!(of(117.4, &[(3.0, 117.0), (0.009, 50.0)], 1.0), None);
        assert_eq!(of(117.4, &[(0.11, 117.0)], 1.0), None);
    }

    #[test]
    fn a_metre_file_read_as_millimetres_is_too_small() {
        let found = of(0.156, &[], 1.0);
        assert_eq!(units(&found), ["m"]);
        assert_eq!(units(&of(5.6, &[], 1.0)), ["m", "inch", "cm", "ft"]);
    }

    #[test]
    fn ordinary_sizes_and_nothing_are_not_doubted() {
        for mm in [10.1, 250.0, 5000.0, 29_999.0] {
            assert_eq!(of(mm, &[(0.2, mm)], 25.4), None, "{mm}");
        }
        assert_eq!(doubt(None, [], 1.0), None);
        for bad in [0.0, f64::NAN, f64::INFINITY] {
            assert_eq!(of(bad, &[], 1.0), None);
            assert_eq!(of(1.0, &[], bad), None);
        }
    }

    proptest! {
        #[test]
        fn a_guess_read_again_is_not_doubted(exponent in -4.0f64..7.0, in_mm in prop::sample::select(vec![1.0, 10.0, 25.4, 304.8, 1000.0]), strip in 1e-4f64..100.0) {
            let diagonal = crate::math::real::pow(10.0, exponent);
            let Some(found) = of(diagonal, &[(strip, 0.9 * diagonal)], in_mm) else { return Ok(()) };
            for g in found.guesses {
                let k = g.in_mm / in_mm;
                prop_assert!((g.diagonal - diagonal * k).abs() <= 1e-9 * g.diagonal);
                let again = of(diagonal * k, &[(strip * k, 0.9 * diagonal * k)], g.in_mm);
                prop_assert!(again.is_none() || g.diagonal > MOST, "{again:?}");
            }
        }
    }
}
