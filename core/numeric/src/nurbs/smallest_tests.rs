//! Surfaces whose smallest form is known: raised and refined ones, and curves with closed forms.

use super::{Direction, KnotVector, Surface, smallest};
use crate::math::{Point3, real};
use proptest::prelude::*;

fn bumpy(ku: &KnotVector, kv: &KnotVector, seed: f64) -> Surface {
    let (gu, gv) = (ku.greville(), kv.greville());
    let points = gu.iter().enumerate().flat_map(|(i, x)| {
        gv.iter().enumerate().map(move |(j, y)| {
            let z = 30.0 * real::sin(seed + 2.3 * i as f64) + 20.0 * real::cos(seed + 1.9 * j as f64 + 0.7 * i as f64);
            Point3::new(400.0 * x, 300.0 * y, z)
        })
    });
    Surface::new(ku.clone(), kv.clone(), points.collect(), None).unwrap()
}

fn size(s: &Surface) -> [usize; 4] {
    [s.knots_u().degree(), s.knots_v().degree(), s.knots_u().span_count(), s.knots_v().span_count()]
}

fn raised(s: &Surface, times: usize, knots: &[f64]) -> Surface {
    let mut s = s.clone();
    for along in [Direction::U, Direction::V] {
        for _ in 0..times {
            s = s.elevated(along).unwrap();
        }
        s = s.with_knots(along, knots).unwrap();
    }
    s
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Raised by four degrees and refined by five knots, both ways: told its own degree and spans, and nothing moves.
    #[test]
    fn a_raised_and_refined_patch_is_told_its_own(
        p in 2usize..=4, q in 2usize..=4, spans in 1usize..=3, seed in 0.0f64..6.0,
        at in prop::array::uniform5(0.05f64..0.95),
    ) {
        let own = bumpy(&KnotVector::uniform(p, spans).unwrap(), &KnotVector::bezier(q).unwrap(), seed);
        let found = smallest(&raised(&own, 4, &at), 0.01).unwrap();
        prop_assert_eq!(size(&found.surface), size(&own));
        prop_assert!(found.off < 1e-8, "{}", found.off);
    }
}

/// Knots of its own, unevenly spread, are found among ten that are not.
#[test]
fn own_knots_are_kept_among_many_others() {
    let ku = KnotVector::new(3, vec![0.0, 0.0, 0.0, 0.0, 0.17, 0.31, 0.83, 1.0, 1.0, 1.0, 1.0]).unwrap();
    let own = bumpy(&ku, &KnotVector::bezier(2).unwrap(), 1.0);
    let found = smallest(&raised(&own, 2, &[0.05, 0.11, 0.22, 0.28, 0.4, 0.47, 0.55, 0.64, 0.71, 0.9]), 0.01).unwrap();
    assert_eq!(found.surface.knots_u().knots(), ku.knots());
    assert!(found.off < 1e-8);
}

/// A rational quarter of a cylinder, raised to degree 6: a circle is rational of degree 2 (The NURBS Book, ch. 7.3).
#[test]
fn a_raised_arc_is_told_degree_two() {
    let w = core::f64::consts::FRAC_1_SQRT_2;
    let arc = [(500.0, 0.0, 1.0), (500.0, 500.0, w), (0.0, 500.0, 1.0)];
    let points = arc.iter().flat_map(|&(x, y, _)| [0.0, 300.0].map(|z| Point3::new(x, y, z))).collect();
    let weights = arc.iter().flat_map(|p| [p.2; 2]).collect();
    let own = Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), points, Some(weights)).unwrap();
    let found = smallest(&raised(&own, 4, &[0.3, 0.6]), 0.01).unwrap();
    assert_eq!(size(&found.surface), [2, 1, 1, 1]);
    assert!(found.off < 1e-8 && found.surface.weights().is_some());
}

/// Equal weights make no shape.
#[test]
fn equal_weights_are_none() {
    let own = bumpy(&KnotVector::bezier(2).unwrap(), &KnotVector::bezier(2).unwrap(), 0.3);
    let weighted = Surface::new(own.knots_u().clone(), own.knots_v().clone(), own.points().to_vec(), Some(vec![0.7; 9])).unwrap();
    let found = smallest(&raised(&weighted, 3, &[0.5]), 0.01).unwrap();
    assert_eq!((size(&found.surface), found.surface.weights()), ([2, 2, 1, 1], None));
}

/// A crest of x³ over −1 to 1 stands out of the best parabola and line by a known amount: of the monic polynomial of degree 3 what
/// is left is the Legendre polynomial, x³ − 3x/5, whose largest value on the interval is 2/5 at the ends (Abramowitz & Stegun, 22.3.8,
/// from memory; the value follows by insertion). So a height h is let go of while 2h/5 keeps the tolerance, and not above.
#[test]
fn degree_goes_as_far_as_the_tolerance_lets_it() {
    let cubic = |h: f64| {
        // x³ over [0, 1] as a Bézier: −1, 1, −1, 1.
        let heights = [-h, h, -h, h];
        let points = (0..4).flat_map(|i| [0.0, 50.0].map(|y| Point3::new(100.0 * i as f64, y, heights[i]))).collect();
        Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap()
    };
    let below = smallest(&cubic(0.99 * 0.025), 0.01).unwrap();
    assert_eq!(size(&below.surface), [1, 1, 1, 1]);
    assert!((below.off - 0.4 * 0.99 * 0.025).abs() < 1e-4 * below.off, "{}", below.off);
    assert_eq!(size(&smallest(&cubic(1.01 * 0.025), 0.01).unwrap().surface), [3, 1, 1, 1]);
}
