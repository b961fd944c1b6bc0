//! Sighting along a row of points, as one looks down the edge of a board.

use super::{Camera, OPENING, Projection};
use glam::DVec3;

/// Height of the frame as a share of the row's length, at least. Larger: faint bends of straight rows go unseen; smaller: a row that is
/// straight to the last digit is blown up to its noise.
const FRAME: f64 = 0.02;

/// How far apart the row's ends stand on the screen, as a share of the frame's smaller side. Larger: the row is seen from its side;
/// smaller: its points fall on one another.
const APART: f64 = 0.1;

impl Camera {
    /// Looks along a row, without perspective, from the end that is nearer to the present view: its ends fall nearly on one place of the
    /// frame, drawn apart by a tenth of it along `across`, so that the order of its points is seen, and whatever of it leaves the
    /// chord fills the rest. A row that closes is sighted towards its farthest point. A row without length changes nothing.
    pub fn sight_along(&mut self, row: &[DVec3], across: DVec3) {
        let (Some(first), Some(last)) = (row.first().copied(), row.last().copied()) else { return };
        let farthest = row.iter().map(|p| *p - first).fold(DVec3::ZERO, |a, b| if b.length() > a.length() { b } else { a });
        let chord = last - first;
        let way = if chord.length() > 1e-6 * farthest.length() { chord } else { farthest };
        let Some(along) = way.try_normalize() else { return };
        let along = if along.dot(self.axes().2) > 0.0 { -along } else { along };
        let Some(across) = (across - along * across.dot(along)).try_normalize() else { return };
        let length = way.length();
        let beside = across.cross(along);
        let width = |axis: DVec3| {
            let [low, high] = row.iter().map(|p| axis.dot(*p)).fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], x| [a.min(x), b.max(x)]);
            high - low
        };
        let frame = width(across).max(width(beside)).max(FRAME * length);
        let lean = (APART * frame / length).clamp(0.0, 0.5);
        self.projection = Projection::Orthographic;
        self.face(-(along + across * lean).normalize());
        self.fit(row);
        self.distance = self.distance.max(FRAME * length / 2.0 / (OPENING / 2.0).tan());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An arch of 100 mm over a chord of 800 mm along a slanted way, and one of 0.1 mm.
    fn arch(height: f64) -> Vec<DVec3> {
        let way = DVec3::new(0.6, 0.7, 0.2).normalize();
        let up = DVec3::new(0.0, -0.2, 0.7).reject_from(way).normalize();
        (0..=8)
            .map(|i| f64::from(i) / 8.0)
            .map(|t| DVec3::new(30.0, -4.0, 700.0) + way * (800.0 * t) + up * (4.0 * height * t * (1.0 - t)))
            .collect()
    }

    #[test]
    fn ends_fall_nearly_on_one_place_and_the_arch_fills_the_frame() {
        for (height, least) in [(100.0, 0.6), (0.1, 0.002)] {
            let row = arch(height);
            let across = (row[8] - row[0]).cross(row[4] - row[0]);
            let start = Camera { width: 900.0, height: 600.0, ..Camera::default() };
            for (yaw, pitch) in [(0.2, 0.3), (3.0, -0.5)] {
                let before = Camera { yaw, pitch, ..start };
                let mut camera = before;
                camera.sight_along(&row, across);
                assert!(camera.is_sound() && camera.projection == Projection::Orthographic);
                assert!(camera.axes().2.dot(before.axes().2) > 0.0, "from the nearer end");
                let at: Vec<DVec3> = row.iter().map(|p| camera.project(*p).expect("in front")).collect();
                let apart = at[0].truncate().distance(at[8].truncate()) / 600.0;
                assert!(apart > 0.02 && apart < 0.12, "{apart} of the frame between the ends");
                let middle = (at[0] + at[8]).truncate() / 2.0;
                let seen = at[4].truncate().distance(middle) / 600.0;
                assert!(seen > least, "{seen} of the frame for {height} mm");
                assert!(at.iter().all(|p| p.x > 0.0 && p.x < 900.0 && p.y > 0.0 && p.y < 600.0));
            }
        }
    }

    #[test]
    fn closed_rows_are_sighted_and_poles_change_nothing() {
        let ring: Vec<DVec3> =
            [[0.0, 0.0], [50.0, 50.0], [100.0, 0.0], [50.0, -50.0], [0.0, 0.0]].map(|[x, y]| DVec3::new(x, y, 0.0)).to_vec();
        let mut camera = Camera { width: 900.0, height: 600.0, ..Camera::default() };
        let before = camera;
        camera.sight_along(&[DVec3::ONE; 4], DVec3::X);
        camera.sight_along(&[], DVec3::X);
        assert_eq!(camera, before);
        camera.sight_along(&ring, DVec3::Y);
        assert!(camera.axes().2.x.abs() > 0.8, "{:?}", camera.axes());
    }
}
