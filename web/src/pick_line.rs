//! Which of some polylines lies under a pixel.

use crate::camera::Camera;
use glam::{DVec2, DVec3};

/// Index of the polyline nearest to a pixel on the screen, within `reach` pixels; the first of equals. Whether something lies in front
/// of it does not matter: nets are seen through the model.
pub fn line_near(lines: &[Vec<DVec3>], camera: &Camera, place: DVec2, reach: f64) -> Option<usize> {
    let projector = camera.projector();
    let mut best: Option<(f64, usize)> = None;
    for (i, line) in lines.iter().enumerate() {
        let screen: Vec<Option<DVec2>> = line.iter().map(|p| projector.project(*p).map(DVec3::truncate)).collect();
        for pair in screen.windows(2) {
            let [Some(a), Some(b)] = pair else { continue };
            let along = *b - *a;
            let t = ((place - *a).dot(along) / along.length_squared().max(1e-12)).clamp(0.0, 1.0);
            let away = place.distance(*a + along * t);
            if away <= reach && best.is_none_or(|(least, _)| away < least) {
                best = Some((away, i));
            }
        }
    }
    best.map(|b| b.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_line_within_reach() {
        let mut camera = Camera { width: 600.0, height: 400.0, ..Camera::default() };
        assert!(camera.standard_view("top"));
        let lines: Vec<Vec<DVec3>> = [0.0, 10.0, 30.0].map(|y| vec![DVec3::new(-40.0, y, 0.0), DVec3::new(40.0, y, 5.0)]).to_vec();
        camera.fit(&lines.concat());
        let at = |p: DVec3| camera.project(p).expect("in front").truncate();
        let down = DVec2::new(0.0, 3.0);
        for (i, y) in [0.0, 10.0, 30.0].into_iter().enumerate() {
            assert_eq!(line_near(&lines, &camera, at(DVec3::new(12.0, y, 3.25)) + down, 8.0), Some(i));
        }
        assert_eq!(line_near(&lines, &camera, at(DVec3::new(0.0, 20.0, 2.5)), 8.0), None, "halfway between two of them");
        assert_eq!(line_near(&[], &camera, DVec2::ZERO, 8.0), None);
        assert_eq!(line_near(&[vec![DVec3::ZERO]], &camera, at(DVec3::ZERO), 8.0), None, "a dot is no line");
    }
}
