//! Ruled surfaces (type 118): straight lines between points at equal shares of length (form 0) or of parameter (form 1).
//! IGES 5.3.

use super::*;

/// On y = 3, uneven in its parameter: x = 2 t + 2 t², so that half of its length, x = 2, lies at t = (√5 − 1) / 2.
const UNEVEN: &str = "2,2,1,0,1,0,0.,0.,0.,1.,1.,1.,1.,1.,1.,0.,3.,0.,1.,3.,0.,4.,3.,0.,0.,1.,0.,0.,1.";

fn surface(entities: &[E]) -> (Surface, f64) {
    let import = open(entities);
    assert_eq!(import.model.faces.len(), 1, "{:?}", import.report);
    (import.model.faces[0].surface.clone(), area(&import.model))
}

fn between(second: E, form: i64, turned: u32) -> (Surface, f64) {
    surface(&[part(110, 0, "0.,0.,0.,4.,0.,0."), second, e(118, form, &format!("1,3,{turned},0"))])
}

#[test]
fn rulings_join_equal_shares_of_length_or_of_parameter() {
    let spline = || part(126, 0, UNEVEN);
    let (by_length, area) = between(spline(), 0, 0);
    assert!((area - 12.0).abs() < 1e-6, "a rectangle of 4 × 3, not {area}");
    for s in [0.0, 0.1, 0.25, 0.5, 0.9, 1.0] {
        for v in [0.0, 0.5, 1.0] {
            // Upright rulings: both ends at 4 s.
            let p = by_length.point(s, v);
            assert!(p.distance(Point3::new(4.0 * s, 3.0 * v, 0.0)) < 1e-6, "{s} {v}: {p:?}");
        }
    }
    let (by_parameter, area) = between(spline(), 1, 0);
    assert!((area - 12.0).abs() < 1e-6, "{area}");
    // Parameter 1/2: x = 1.5 on the spline, 2 on the line.
    near(by_parameter.point(0.5, 1.0), 1.5, 3.0, 0.0);
    near(by_parameter.point(0.5, 0.0), 2.0, 0.0, 0.0);
}

#[test]
fn the_direction_flag_joins_start_to_end() {
    // Twisted: at the share s the ruling runs from x = 4 s to x = 4 − 4 s; all cross at (2, 1.5).
    let (twisted, _) = between(part(126, 0, UNEVEN), 0, 1);
    for s in [0.0, 0.25, 0.7, 1.0] {
        let (p, middle) = (twisted.point(s, 1.0), twisted.point(s, 0.5));
        assert!(p.distance(Point3::new(4.0 - 4.0 * s, 3.0, 0.0)) < 1e-6, "{s}: {p:?}");
        assert!(middle.distance(Point3::new(2.0, 1.5, 0.0)) < 1e-6, "{s}: {middle:?}");
    }
}

#[test]
fn length_runs_on_over_the_corners_of_a_curve() {
    // 3 along x, then 1 upwards: the corner is three quarters of the way, and half of the parameter.
    let angle = || part(106, 12, "2,3,0.,3.,0.,3.,3.,0.,3.,3.,1.");
    let (by_length, _) = between(angle(), 0, 0);
    for (s, [x, y, z]) in [(0.5, [2., 3., 0.]), (0.75, [3., 3., 0.]), (0.875, [3., 3., 0.5]), (1.0, [3., 3., 1.])] {
        let p = by_length.point(s, 1.0);
        assert!(p.distance(Point3::new(x, y, z)) < 1e-6, "{s}: {p:?}");
    }
    let (by_parameter, _) = between(angle(), 1, 0);
    near(by_parameter.point(0.5, 1.0), 3.0, 3.0, 0.0);
}

#[test]
fn lengths_of_an_ellipse_are_those_of_the_complete_integral() {
    // x² / 4 + y² = 1, from (2, 0) to (−2, 0): half of the perimeter lies on either side of (0, 1), and by symmetry the
    // points at shares s and 1 − s mirror each other. The quarter is 2 E(√3 / 2) = 2.42211205514 long (Abramowitz and
    // Stegun, table 17.1, E(60°) = 1.21105 60276), so that the whole area between it and its copy 5 higher is 24.22112.
    let ellipse = |z: &str| part(104, 1, &format!("0.25,0.,1.,0.,0.,-1.,{z},2.,0.,-2.,0."));
    let (wall, area) = surface(&[ellipse("0."), ellipse("5."), e(118, 0, "1,3,0,0")]);
    assert!((area - 10.0 * 2.422_112_055_2).abs() < 1e-6, "{area}");
    assert!(wall.point(0.5, 0.0).distance(Point3::new(0.0, 1.0, 0.0)) < 1e-6);
    for s in [0.1, 0.25, 0.4] {
        let (a, b) = (wall.point(s, 0.0), wall.point(1.0 - s, 1.0));
        assert!((a.x + b.x).abs() + (a.y - b.y).abs() < 1e-6, "{a:?} {b:?}");
    }
    // Each eighth of the share is an eighth of the length, here by chords.
    for eighth in 0..8 {
        let at = |i: u32| wall.point((f64::from(eighth) + f64::from(i) / 200.0) / 8.0, 0.0);
        let length: f64 = (0..200).map(|i| at(i).distance(at(i + 1))).sum();
        assert!((length - 2.422_112_055_2 / 4.0).abs() < 1e-4, "{eighth}: {length}");
    }
}
