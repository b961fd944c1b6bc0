//! Ripples of known size stay in the residual; form does not.

use super::fair_forms::{Form, Ripple, SIZE, crowned, cylinder, forms, rippled, s_shaped, wave_shares, whole};
use super::*;
use crate::math::least_squares::LeastSquares;
use crate::math::{Point2, Point3, Vec3, real};
use crate::nurbs;

/// Amplitude and wavelength of the best sine along the ripple's direction, with a constant: by least squares at each
/// wavelength, over wavelengths within a half of the true one.
fn sine(form: &Form, r: &Ripple, values: &[(f64, f64, f64)]) -> (f64, f64) {
    let at = |length: f64| {
        let mut system = LeastSquares::new(3, 1);
        for &(a, b, z) in values {
            let (sin, cos) = real::sin_cos(real::TAU * wave_shares(form, r, a, b) / length);
            system.add(0, &[1.0, cos, sin], &[z]);
        }
        let x = system.solve().unwrap();
        let left: f64 = values
            .iter()
            .map(|&(a, b, z)| {
                let (sin, cos) = real::sin_cos(real::TAU * wave_shares(form, r, a, b) / length);
                let miss = x[0][0] + x[1][0] * cos + x[2][0] * sin - z;
                miss * miss
            })
            .sum();
        (left, real::hypot(x[1][0], x[2][0]))
    };
    let mut best = (f64::INFINITY, 0.0, 0.0);
    for i in 0..=40 {
        let length = r.length * (0.8 + 0.4 * f64::from(i) / 40.0);
        let (left, amplitude) = at(length);
        if left < best.0 {
            best = (left, amplitude, length);
        }
    }
    (best.1, best.2)
}

/// Residuals over shares of the face; the steps, 17 mm, fold no wavelength tried onto another.
fn residuals(fair: &FairReference, s: &Surface, keep: impl Fn(f64, f64) -> bool) -> Vec<(f64, f64, f64)> {
    let mut values = Vec::new();
    for i in 0..53 {
        for j in 0..37 {
            let (a, b) = ((f64::from(i) + 0.5) / 53.0, (f64::from(j) + 0.5) / 37.0);
            if keep(a, b) {
                values.push((a, b, fair.residual(s, Point2::new(a, b)).unwrap()));
            }
        }
    }
    values
}

#[test]
fn ripples_stay_with_their_amplitude_and_wavelength() {
    for form in &forms() {
        for length in [40.0, 120.0] {
            for (angle, phase) in [(0.0, 1.57), (real::FRAC_PI_2, 0.4), (0.6, 1.0)] {
                for amplitude in [0.02, 0.1, 0.5] {
                    let r = Ripple { amplitude, length, angle, phase };
                    let s = Surface::Nurbs(rippled(form, &r));
                    let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
                    let (a, l) = sine(form, &r, &residuals(&fair, &s, |_, _| true));
                    let name = form.name;
                    assert!((a / amplitude - 1.0).abs() < 0.1, "{name}, λ {length}, angle {angle}: {a} for {amplitude}");
                    assert!((l / length - 1.0).abs() < 0.05, "{name}, angle {angle}: λ {l} for {length}");
                }
            }
        }
    }
}

#[test]
fn clean_forms_leave_nothing_s_shapes_included() {
    for (form, s) in [crowned(SIZE), s_shaped(SIZE)] {
        let s = Surface::Nurbs(s);
        let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
        assert!(fair.deviation().max < 1e-9, "{}: {:?}", form.name, fair.deviation());
        assert_eq!(fair.degrees(), (5, 5));
    }
    // What one span of degree 5 cannot follow: below a tenth of the smallest ripple for a true cylinder. Uneven parameters
    // are not made up for in three rounds; the figure is held here so that it is known.
    for (form, most) in [(cylinder(800.0, SIZE, true), 1.3e-3), (cylinder(800.0, SIZE, false), 1.6e-2)] {
        let none = Ripple { amplitude: 0.0, length: 120.0, angle: 0.0, phase: 0.0 };
        let s = Surface::Nurbs(rippled(&form, &none));
        let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
        assert!(fair.deviation().max < most, "{}: {:?}", form.name, fair.deviation());
    }
}

#[test]
fn only_the_region_within_the_trim_counts() {
    // A hexagon of the S-shape; outside it the surface runs away, which would spoil a fit to the whole.
    let (form, _) = s_shaped(SIZE);
    let r = Ripple { amplitude: 0.1, length: 60.0, angle: 0.3, phase: 0.7 };
    let clean = rippled(&form, &r);
    let columns = clean.knots_v().point_count();
    let rows = clean.knots_u().point_count();
    let points = clean.points().iter().enumerate().map(|(i, p)| {
        let corner = i / columns < rows / 16 || i % columns < columns / 16;
        if corner { *p + Vec3::Z * 15.0 } else { *p }
    });
    let spoilt = nurbs::Surface::new(clean.knots_u().clone(), clean.knots_v().clone(), points.collect(), None).unwrap();
    let s = Surface::Nurbs(spoilt);
    let corners = [(0.25, 0.2), (0.7, 0.2), (0.98, 0.5), (0.9, 0.98), (0.4, 0.95), (0.15, 0.6)].map(|(u, v)| Point2::new(u, v));
    let next = corners.iter().cycle().skip(1);
    let sides = corners.iter().zip(next).map(|(&a, &b)| DomainSide::straight(&s, a, b, SideOrigin::Bridge)).collect();
    let domain = Domain { loops: vec![DomainLoop { sides }], ..whole(&s) };
    let fair = FairReference::new(&s, &domain, (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    assert!(fair.deviation().max < 0.15, "{:?}", fair.deviation());
    let region = Region::new(&domain);
    let (a, l) = sine(&form, &r, &residuals(&fair, &s, |a, b| region.contains(Point2::new(a, b))));
    assert!((a / 0.1 - 1.0).abs() < 0.1 && (l / 60.0 - 1.0).abs() < 0.05, "{a}, {l}");
    // The whole, step and all, is another matter.
    let all = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    assert!(all.deviation().max > 2.0);
}

#[test]
fn a_bump_towards_the_normal_is_positive_and_a_tube_is_refused() {
    let r = Ripple { amplitude: 0.3, length: 90.0, angle: 0.0, phase: 0.0 };
    let form = cylinder(800.0, SIZE, true);
    let s = Surface::Nurbs(rippled(&form, &r));
    let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    let inner = Point2::new(0.5, 0.4);
    let outward = (form.at)(0.5, 0.4).1.dot(s.normal(inner.u, inner.v).unwrap());
    // At the middle the ripple is at 5 whole waves: a crest.
    let crest = fair.residual(&s, inner).unwrap() * outward;
    assert!((crest - 0.3).abs() < 0.03, "{crest}");
    let tube = Surface::Cylinder(Cylinder { frame: crate::math::Frame::from_axis(Point3::ORIGIN, None, None), radius: 50.0 });
    let sides = [(0.0, 0.0), (5.0, 0.0), (5.0, 90.0), (0.0, 90.0), (0.0, 0.0)].map(|(u, v)| Point2::new(u, v));
    let sides = sides.windows(2).map(|w| DomainSide::straight(&tube, w[0], w[1], SideOrigin::Bridge)).collect();
    let domain = Domain { loops: vec![DomainLoop { sides }], ..whole(&s) };
    assert!(matches!(FairReference::new(&tube, &domain, (5, 5)), Err(FairError::Bend(_))));
}
