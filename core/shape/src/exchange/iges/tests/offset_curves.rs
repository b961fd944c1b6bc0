//! Offset curves (type 130): O(t) = C(t) + d · V × T(t), T the unit tangent. IGES 5.3.

use super::*;

/// The offset of entity `base`: one distance all along, about the normal z, from `t0` to `t1`.
fn offset(base: u32, d: f64, t0: f64, t1: f64) -> E {
    e(130, 0, &format!("{base},1,0,0,0,{d:?},0.,0.,0.,0.,0.,1.,{t0:?},{t1:?}"))
}

/// y = x² for x = t from 0 to 1.
const PARABOLA: &str = "2,2,1,0,1,0,0.,0.,0.,1.,1.,1.,1.,1.,1.,0.,0.,0.,0.5,0.,0.,1.,1.,0.,0.,1.,0.,0.,1.";

/// Start, middle and end of the only curve.
fn three(entities: &[E]) -> [Point3; 3] {
    let (curve, t0, t1) = only_curve(entities);
    [0.0, 0.5, 1.0].map(|s| curve.point(t0 + (t1 - t0) * s))
}

#[test]
fn an_offset_lies_at_its_distance_to_the_left_about_the_normal() {
    let line = || part(110, 0, "0.,0.,5.,4.,0.,5.");
    let arc = || part(100, 0, "7.,1.,2.,4.,2.,1.,5.");
    let half = 0.5f64.sqrt();
    // Along x the left about z is +y. Along an arc that runs counter-clockwise it is the centre: 3 − 1 = 2, 3 + 1 = 4.
    let at = |r: f64| [[1. + r, 2., 7.], [1. + r * half, 2. + r * half, 7.], [1., 2. + r, 7.]];
    // y = x² from 1/2 to 1: T = (1, 2 x) / √(1 + 4 x²), V × T = (−2 x, 1) / √(1 + 4 x²). At 3/4 the root is √13 / 2.
    let (r2, r13, r5) = (2f64.sqrt(), 13f64.sqrt(), 5f64.sqrt());
    let parabola = [[0.5 - 1. / r2, 0.25 + 1. / r2, 0.], [0.75 - 3. / r13, 0.5625 + 2. / r13, 0.], [1. - 2. / r5, 1. + 1. / r5, 0.]];
    let cases = [
        (line(), offset(1, 1.0, 0.0, 1.0), [[0., 1., 5.], [2., 1., 5.], [4., 1., 5.]]),
        (line(), offset(1, -2.5, 0.0, 1.0), [[0., -2.5, 5.], [2., -2.5, 5.], [4., -2.5, 5.]]),
        (arc(), offset(1, 1.0, 0.0, real::FRAC_PI_2), at(2.0)),
        (arc(), offset(1, -1.0, 0.0, real::FRAC_PI_2), at(4.0)),
        (part(126, 0, PARABOLA), offset(1, 1.0, 0.5, 1.0), parabola),
        // No range of its own: all of the base curve. Beyond the base curve there is nothing, so the range is not meant.
        (line(), offset(1, 1.0, 0.0, 0.0), [[0., 1., 5.], [2., 1., 5.], [4., 1., 5.]]),
        (part(126, 0, PARABOLA), offset(1, r5, 0.0, 7.0), [[0., r5, 0.], [0.5 - r5 / r2, 0.25 + r5 / r2, 0.], [-1., 2., 0.]]),
    ];
    for (base, offset, want) in cases {
        for (got, [x, y, z]) in three(&[base, offset]).into_iter().zip(want) {
            near(got, x, y, z);
        }
    }
}

#[test]
fn an_offset_keeps_its_side_under_the_matrices_of_base_and_offset() {
    // The base is turned a quarter about z by its own matrix: along y, left is −x. Then all is mirrored at y = 0, which
    // takes (−1, t) to (−1, −t), and shifted by (10, 20, 30).
    let turn = e(124, 0, "0.,-1.,0.,0.,1.,0.,0.,0.,0.,0.,1.,0.");
    let base = E { matrix: 1, ..part(110, 0, "0.,0.,0.,4.,0.,0.") };
    let mirror = e(124, 1, "1.,0.,0.,10.,0.,-1.,0.,20.,0.,0.,1.,30.");
    let all = [turn, base, mirror, E { matrix: 5, ..offset(3, 1.0, 0.0, 1.0) }];
    for (got, y) in three(&all).into_iter().zip([20.0, 18.0, 16.0]) {
        near(got, 9.0, y, 30.0);
    }
}

#[test]
fn an_offset_whose_distance_changes_is_listed_and_not_read_as_another() {
    let tapered = e(130, 0, "1,2,0,0,2,1.,0.,2.,1.,0.,0.,1.,0.,1.");
    let import = open(&[part(110, 0, "0.,0.,0.,4.,0.,0."), tapered, e(110, 0, "0.,0.,0.,1.,0.,0.")]);
    assert_eq!((import.model.curves.len(), import.report.unread.len()), (1, 1));
    let told = &import.report.unread[0];
    assert!(told.entity == 3 && told.reason.contains("distance changes"), "{told:?}");
}
