//! How much a patch bends over what its shape asks for: a patch that follows its smallest form within a hundredth of a millimetre may still
//! bend to and fro on the way.

use crate::geometry::curvatures;
use crate::nurbs::Surface;
use crate::nurbs::fit::lines::nodes;

/// Radius, mm, beyond which a patch counts as flat: the cost of one that needs no bending has no measure.
const FLAT: f64 = 1e6;

/// ∫(κ1² + κ2²) dA of a patch over that of its smallest form; 1 where it bends no more than that. None where the smallest is flat.
pub fn bend_cost(patch: &Surface, smallest: &Surface) -> Option<f64> {
    let ((own, area), (least, _)) = (bending(patch), bending(smallest));
    (least > area / (FLAT * FLAT)).then_some(own / least).filter(|x| x.is_finite())
}

/// The integral, without unit, and the area, mm², by Gauss' rule on every span.
fn bending(patch: &Surface) -> (f64, f64) {
    let along = |k: &crate::nurbs::KnotVector| nodes(&k.breaks(), k.degree() + 3);
    let (mut sum, mut area) = (0.0, 0.0);
    for (u, a) in along(patch.knots_u()) {
        for &(v, b) in &along(patch.knots_v()) {
            let d = patch.derivs(u, v, 2);
            let cross = d.su.cross(d.sv);
            // A collapsed place has no area.
            let Some(k) = cross.try_normalize().and_then(|n| curvatures(&d, n)) else { continue };
            let da = cross.length() * a * b;
            area += da;
            sum += (k.max * k.max + k.min * k.min) * da;
        }
    }
    (sum, area)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::{Point3, quadrature};
    use crate::nurbs::fit::{CurveSample, fit_curve};
    use crate::nurbs::{Direction, KnotVector, smallest};

    /// P7, and its second derivative, from its coefficients (Abramowitz & Stegun, table 22.9, from memory; the end values 1 and 378 are
    /// checked: Pn″(1) = (n − 1) n (n + 1) (n + 2)/8).
    fn p7(x: f64) -> (f64, f64) {
        let x2 = x * x;
        (x * (429.0 * x2 * x2 * x2 - 693.0 * x2 * x2 + 315.0 * x2 - 35.0) / 16.0, x * (18018.0 * x2 * x2 - 13860.0 * x2 + 1890.0) / 16.0)
    }

    /// A parabola z = c x² over ±300 mm with h P7(x/300) on it, straight across.
    fn waved(c: f64, h: f64) -> Surface {
        let k = KnotVector::bezier(7).unwrap();
        let sample = |i: u32| {
            let t = f64::from(i) / 60.0;
            let x = 2.0 * t - 1.0;
            CurveSample { t, point: [300.0 * x, 0.0, c * 9e4 * x * x + h * p7(x).0], weight: 1.0 }
        };
        let row = fit_curve(&k, &(0..=60).map(sample).collect::<Vec<_>>(), None, &[]).unwrap();
        let points = row.points().iter().flat_map(|p| [0.0, 200.0].map(|y| Point3::new(p[0], y, p[2]))).collect();
        Surface::new(k, KnotVector::bezier(1).unwrap(), points, None).unwrap()
    }

    /// Slopes are small, so κ = z″: the parabola's is 2c, the wave's h P7″/300²; P7″ is odd, so the two do not mix.
    #[test]
    fn a_wave_within_the_tolerance_costs_its_bending() {
        assert!((p7(1.0).0 - 1.0).abs() < 1e-12 && (p7(1.0).1 - 378.0).abs() < 1e-9);
        let (c, h) = (5e-6, 0.008);
        let patch = waved(c, h);
        let least = smallest(&patch, 0.01).unwrap();
        assert_eq!((least.surface.knots_u().degree(), least.surface.knots_u().span_count()), (2, 1));
        let square: f64 = quadrature::gauss_legendre(12).iter().map(|&(x, w)| w * p7(x).1 * p7(x).1).sum();
        let wave = h / 9e4;
        let want = 1.0 + wave * wave * square / (2.0 * 4.0 * c * c);
        let got = bend_cost(&patch, &least.surface).unwrap();
        assert!(want > 1.5 && (got - want).abs() < 2e-3 * want, "{got} against {want}");
    }

    #[test]
    fn a_raised_patch_costs_nothing_more_and_a_flat_one_has_no_cost() {
        let own = waved(1e-4, 0.0);
        let raised = own.elevated(Direction::U).unwrap().with_knots(Direction::U, &[0.3, 0.7]).unwrap();
        assert!((bend_cost(&raised, &smallest(&raised, 0.01).unwrap().surface).unwrap() - 1.0).abs() < 1e-6);
        let flat = waved(0.0, 0.0);
        assert_eq!(bend_cost(&flat, &smallest(&flat, 0.01).unwrap().surface), None);
    }
}
