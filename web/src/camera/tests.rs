use super::fit::FIT_MARGIN;
use super::*;
use std::f64::consts::PI;

fn cameras() -> Vec<(Camera, Bounds)> {
    let mut out = Vec::new();
    for projection in [Projection::Perspective, Projection::Orthographic] {
        for (yaw, pitch) in [(0.3, 0.2), (-2.5, -1.1), (1.0, FRAC_PI_2), (PI, 0.0)] {
            for (width, height) in [(1440.0, 900.0), (390.0, 844.0), (256.0, 256.0)] {
                let bounds = Bounds { min: DVec3::new(100.0, -730.0, 12.0), max: DVec3::new(1300.0, -20.0, 512.0) };
                let mut camera = Camera { yaw, pitch, projection, width, height, ..Camera::default() };
                camera.fit(&bounds.corners());
                out.push((camera, bounds));
            }
        }
    }
    out
}

#[test]
fn a_fitted_box_lies_inside_the_frame_and_touches_the_margin() {
    for (camera, bounds) in cameras() {
        let mut tightest = f64::INFINITY;
        let mut middle = DVec2::ZERO;
        for corner in bounds.corners() {
            let p = camera.project(corner).expect("in front of the eye");
            let room = [p.x / camera.width, 1.0 - p.x / camera.width, p.y / camera.height, 1.0 - p.y / camera.height];
            let least = room.into_iter().fold(f64::INFINITY, f64::min);
            assert!(least > FIT_MARGIN / 2.0 - 1e-9, "{camera:?} {least}");
            if camera.projection == Projection::Orthographic {
                middle += p.truncate() / 8.0;
            }
            tightest = tightest.min(least);
        }
        assert!(tightest < FIT_MARGIN / 2.0 + 1e-6, "{tightest}");
        if camera.projection == Projection::Orthographic {
            assert!(middle.distance(DVec2::new(camera.width, camera.height) / 2.0) < 1e-6);
        }
    }
}

#[test]
fn ray_and_projection_are_inverse() {
    for (camera, _) in cameras() {
        for (x, y) in [(0.5, 0.5), (200.5, 31.5), (77.0, 140.25)] {
            let ray = camera.ray(x, y);
            for t in [-0.3, 0.0, 0.4] {
                let point = ray.base + ray.direction * (t * camera.distance);
                let p = camera.project(point).expect("in front of the eye");
                assert!((p.x - x).abs() < 1e-7 && (p.y - y).abs() < 1e-7, "{p} {x} {y}");
            }
        }
    }
}

#[test]
fn the_matrix_agrees_with_the_projection() {
    for (camera, bounds) in cameras() {
        let origin = DVec3::new(433.0, -512.0, 80.0);
        let clip = camera.clip_from(origin, &bounds);
        for corner in bounds.corners() {
            let c = clip * (corner - origin).extend(1.0);
            let p = camera.project(corner).expect("in front of the eye");
            let x = (c.x / c.w + 1.0) / 2.0 * camera.width;
            let y = (1.0 - c.y / c.w) / 2.0 * camera.height;
            assert!((x - p.x).abs() < 1e-6 && (y - p.y).abs() < 1e-6);
            assert!((c.z / c.w).abs() <= 1.0, "outside the depth range: {}", c.z / c.w);
        }
    }
}

#[test]
fn zoom_keeps_the_anchor_on_its_pixel_in_both_projections() {
    for (camera, bounds) in cameras() {
        for factor in [0.25, 0.9, 1.1, 7.0] {
            let ray = camera.ray(140.0, 90.0);
            let anchor = ray.base + ray.direction * (0.1 * camera.distance);
            let mut zoomed = camera;
            zoomed.zoom(factor, anchor, bounds.radius());
            let p = zoomed.project(anchor).expect("in front of the eye");
            assert!((p.x - 140.0).abs() < 1e-6 && (p.y - 90.0).abs() < 1e-6);
            assert!((zoomed.distance * factor / camera.distance - 1.0).abs() < 1e-12);
        }
    }
}

#[test]
fn pan_moves_the_target_plane_with_the_pointer() {
    for (camera, _) in cameras() {
        let held = camera.ray(100.0, 60.0).base;
        let mut panned = camera;
        panned.pan(13.0, -7.0);
        let p = panned.project(held).expect("in front of the eye");
        assert!((p.x - 113.0).abs() < 1e-7 && (p.y - 53.0).abs() < 1e-7, "{p}");
    }
}

#[test]
fn orbit_keeps_target_and_distance_and_stops_upright() {
    for (camera, _) in cameras() {
        let mut turned = camera;
        turned.orbit(91.0, 1e6);
        assert_eq!(turned.target, camera.target);
        assert_eq!(turned.distance, camera.distance);
        assert_eq!(turned.pitch, FRAC_PI_2);
        let (right, up, back) = turned.axes();
        assert!(right.z.abs() < 1e-12 && right.cross(up).distance(back) < 1e-12);
    }
}

#[test]
fn facing_a_normal_puts_the_eye_on_its_line() {
    for n in [DVec3::new(0.2, -0.5, 0.7), DVec3::Z, -DVec3::Z, DVec3::X, -DVec3::Y] {
        let mut camera = Camera::default();
        camera.face(n * 3.0);
        assert!(camera.axes().2.distance(n.normalize()) < 1e-9, "{n}");
    }
    let before = Camera::default();
    let mut after = before;
    after.face(DVec3::ZERO);
    assert_eq!(before, after);
}

#[test]
fn named_sides_look_along_the_axes() {
    for (name, back) in
        [("front", -DVec3::X), ("back", DVec3::X), ("left", -DVec3::Y), ("right", DVec3::Y), ("top", DVec3::Z), ("bottom", -DVec3::Z)]
    {
        let mut camera = Camera::default();
        assert!(camera.standard_view(name));
        assert!(camera.axes().2.distance(back) < 1e-12, "{name}");
    }
    assert!(!Camera::default().standard_view("inside"));
}

#[test]
fn a_camera_from_a_link_is_checked() {
    assert!(Camera::default().is_sound());
    for broken in [
        Camera { distance: 0.0, ..Camera::default() },
        Camera { distance: f64::NAN, ..Camera::default() },
        Camera { pitch: 2.0, ..Camera::default() },
        Camera { target: [f64::INFINITY, 0.0, 0.0], ..Camera::default() },
    ] {
        assert!(!broken.is_sound());
    }
}
