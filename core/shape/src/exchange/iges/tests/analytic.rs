//! Planes (190), cylinders (192) and cones (194) of solids: where they stand, and areas by school formulas.
//! IGES 5.3.

use super::*;

/// The trimmed face of surface entity 1: what the surface needs, then its boundary as one composite.
fn trimmed(mut entities: Vec<E>, boundary: &[E]) -> Import {
    let first = 2 * entities.len() + 1;
    entities.extend_from_slice(boundary);
    let numbers: Vec<String> = (0..boundary.len()).map(|i| (first + 2 * i).to_string()).collect();
    let after = first + 2 * boundary.len();
    entities.push(part(102, 0, &format!("{},{}", boundary.len(), numbers.join(","))));
    entities.push(part(142, 0, &format!("0,1,0,{after},2")));
    entities.push(e(144, 0, &format!("1,1,0,{}", after + 2)));
    open(&entities)
}

fn surface(import: &Import) -> &Surface {
    assert_eq!(import.model.faces.len(), 1, "{:?}", import.report);
    assert!(import.model.domain(crate::model::FaceId::new(0)).unwrap().repairs.is_empty());
    &import.model.faces[0].surface
}

#[test]
fn a_plane_stands_on_its_point_with_its_normal_and_reference() {
    // Normal x, u along z: v = normal × u = x × z = −y. A right triangle of legs 3 and 4 in it.
    let plane = vec![part(190, 1, "3,5,7"), part(116, 0, "1.,2.,3.,0"), part(123, 0, "2.,0.,0."), part(123, 0, "0.,0.,5.")];
    let boundary = [part(110, 0, "1.,2.,3.,1.,5.,3."), part(110, 0, "1.,5.,3.,1.,2.,7."), part(110, 0, "1.,2.,7.,1.,2.,3.")];
    let import = trimmed(plane, &boundary);
    near(surface(&import).point(10.0, 1.0), 1.0, 1.0, 13.0);
    assert!((area(&import.model) - 6.0).abs() < 1e-9, "{}", area(&import.model));
}

#[test]
fn a_cylinder_has_its_radius_about_its_axis() {
    // Axis x through (1, 2, 3), angles from z: S(0, 5) = (6, 2, 5), S(90°, 5) = (6, 0, 3), since x × z = −y.
    let whole = |form: i64| {
        let reference = if form == 1 { ",7" } else { "" };
        vec![
            part(192, form, &format!("3,5,2.{reference}")),
            part(116, 0, "1.,2.,3.,0"),
            part(123, 0, "1.,0.,0."),
            part(123, 0, "0.,0.,3."),
            // The planes of the two arcs: our z is the file's x, our x is the file's y.
            e(124, 0, "0.,0.,1.,1.,1.,0.,0.,2.,0.,1.,0.,3."),
        ]
    };
    // A quarter turn, 4 long: 2 π / 2 · 4.
    let boundary = [
        E { matrix: 9, ..part(100, 0, "0.,0.,0.,2.,0.,0.,2.") },
        part(110, 0, "1.,2.,5.,5.,2.,5."),
        // Arcs run counter-clockwise only; the composite turns this one.
        E { matrix: 9, ..part(100, 0, "4.,0.,0.,2.,0.,0.,2.") },
        part(110, 0, "5.,4.,3.,1.,4.,3."),
    ];
    for form in [0, 1] {
        let import = trimmed(whole(form), &boundary);
        let Surface::Cylinder(c) = surface(&import) else { panic!("{:?}", import.model.faces[0].surface) };
        assert_eq!(c.radius, 2.0);
        near(c.frame.origin, 1.0, 2.0, 3.0);
        assert!((area(&import.model) - 4.0 * real::PI).abs() < 1e-6, "{}", area(&import.model));
        for (u, v) in [(0.3, 0.0), (2.0, -7.0)] {
            let p = surface(&import).point(u, v);
            assert!((real::hypot(p.y - 2.0, p.z - 3.0) - 2.0).abs() < 1e-12 && (p.x - 1.0 - v).abs() < 1e-12, "{p:?}");
        }
        if form == 1 {
            near(surface(&import).point(0.0, 5.0), 6.0, 2.0, 5.0);
            near(surface(&import).point(real::FRAC_PI_2, 5.0), 6.0, 0.0, 3.0);
        }
    }
}

#[test]
fn a_cone_widens_along_its_axis_by_the_tangent_of_its_half_angle() {
    // Radius 3 at z = 0, half angle 45°: radius 4 at z = 1, and the tip at z = −3. A quarter of the frustum between:
    // π (3 + 4) · √2 / 4.
    let cone = vec![part(194, 1, "3,5,3.,45.,7"), part(116, 0, "0.,0.,0.,0"), part(123, 0, "0.,0.,1."), part(123, 0, "1.,0.,0.")];
    let boundary = [
        part(100, 0, "0.,0.,0.,3.,0.,0.,3."),
        part(110, 0, "0.,3.,0.,0.,4.,1."),
        part(100, 0, "1.,0.,0.,4.,0.,0.,4."),
        part(110, 0, "4.,0.,1.,3.,0.,0."),
    ];
    let import = trimmed(cone, &boundary);
    near(surface(&import).point(0.0, 1.0), 4.0, 0.0, 1.0);
    near(surface(&import).point(real::FRAC_PI_2, -3.0), 0.0, 0.0, -3.0);
    let want = 7.0 * real::PI * 2f64.sqrt() / 4.0;
    assert!((area(&import.model) - want).abs() < 1e-6 * want, "{} against {want}", area(&import.model));
}

#[test]
fn boundaries_in_parameters_count_angles_in_degrees() {
    // u from 0 to 90°; v from 0 to 1 along the axis, or to 30°. Radius 2: 2 π / 2 · 1. The frustum as above. The zone of
    // the sphere of radius 2: 2² π / 2 · sin 30°. The torus of radii 5 and 2: 2 π / 2 · (5 π / 6 + 2 sin 30°).
    // The general-purpose kernel takes degrees too (cylinder, sphere: the same areas).
    let pi = real::PI;
    let cases = [
        (part(192, 1, "3,5,2.,7"), "1.", pi),
        (part(194, 1, "3,5,3.,45.,7"), "1.", 7.0 * pi * 2f64.sqrt() / 4.0),
        (part(196, 1, "3,2.,5,7"), "30.", pi),
        (part(198, 1, "3,5,5.,2.,7"), "30.", pi * (5.0 * pi / 6.0 + 1.0)),
    ];
    for (surface, top, want) in cases {
        let line = |from: &str, to: &str| E { status: "00010500", ..e(110, 0, &format!("{from},0.,{to},0.")) };
        let top_end = (format!("90.,{top}"), format!("0.,{top}"));
        let import = open(&[
            surface,
            part(116, 0, "0.,0.,0.,0"),
            part(123, 0, "0.,0.,1."),
            part(123, 0, "1.,0.,0."),
            line("0.,0.", "90.,0."),
            line("90.,0.", &top_end.0),
            line(&top_end.0, &top_end.1),
            line(&top_end.1, "0.,0."),
            E { status: "00010500", ..e(102, 0, "4,9,11,13,15") },
            part(142, 0, "0,1,17,0,1"),
            e(144, 0, "1,1,0,19"),
        ]);
        let kind = import.model.faces[0].surface.kind();
        assert!((area(&import.model) - want).abs() < 1e-6 * want, "{kind:?}: {} against {want}", area(&import.model));
    }
}

#[test]
fn a_radius_or_angle_that_makes_no_surface_is_refused() {
    let cases = [
        (part(192, 0, "3,5,0."), "radius"),
        (part(192, 0, "3,5,-2."), "radius"),
        (part(194, 0, "3,5,1.,90."), "half angle"),
        (part(194, 0, "3,5,-1.,45."), "radius"),
        (part(190, 0, "3,0"), "entity's number"),
    ];
    for (surface, word) in cases {
        let fine = e(110, 0, "0.,0.,0.,1.,0.,0.");
        let face = e(144, 0, "1,0,0,0");
        let import = open(&[surface, part(116, 0, "0.,0.,0.,0"), part(123, 0, "0.,0.,1."), face, fine]);
        let told = &import.report.unread;
        assert!(told.len() == 1 && told[0].reason.contains(word) && import.model.faces.is_empty(), "{word}: {told:?}");
    }
}
