//! The model that a patch is dragged in: nine patches of degree 6 by 6 round one, as a file has them.

use rakelight_core::exchange::write::{self, StepOptions};
use rakelight_core::geometry::Surface;
use rakelight_core::joins::Order;
use rakelight_core::math::{Point3, Vec3};
use rakelight_core::model::{Face, FaceId, Model};
use rakelight_core::nurbs::{self, Direction, KnotVector};
use rakelight_core::trial::{Drag, Edit, Lock, Trials};

/// The patch in the middle.
pub const MIDDLE: usize = 4;

const DEGREE: usize = 6;

/// Length of a patch's sides, mm.
const SIDE: f64 = 120.0;

/// A vaulted sheet of one patch, cut into three by three, so that all joins are smooth to any order.
pub fn patches() -> Vec<nurbs::Surface> {
    let knots = KnotVector::uniform(DEGREE, 1).expect("knots");
    let n = DEGREE + 1;
    let height = |i: usize, j: usize| 9.0 * (0.9 * i as f64).sin() - 3.0 * (i as f64 - 3.0).powi(2) - 2.0 * (j as f64 - 2.5).powi(2);
    let step = 3.0 * SIDE / DEGREE as f64;
    let points = (0..n * n).map(|k| Point3::new(step * (k / n) as f64, step * (k % n) as f64, height(k / n, k % n))).collect();
    let whole = nurbs::Surface::new(knots.clone(), knots, points, None).expect("a patch");
    let part = |k: usize| (k as f64 / 3.0, (k + 1) as f64 / 3.0);
    let cut = |k: usize| {
        let ((a, b), (c, d)) = (part(k / 3), part(k % 3));
        whole.between(Direction::U, a, b).and_then(|s| s.between(Direction::V, c, d)).expect("a part")
    };
    (0..9).map(cut).collect()
}

/// The file.
pub fn step() -> String {
    let faces = patches().into_iter().map(|patch| Face::whole(Surface::Nurbs(patch))).collect();
    let model = Model { name: "grid".into(), faces, parts: vec!["grid".into()], ..Model::default() };
    write::step(&model, &StepOptions::default()).text
}

/// The trials of a drag's step: all of a net but its outermost rows follow, so that gaps stay shut and all else changes. `point`: row and
/// column of what is dragged.
pub fn trials(face: usize, point: (usize, usize), step: usize) -> String {
    let by = Vec3::new(0.2, 0.1, 1.0) * (0.4 + 0.05 * step as f64);
    let drag = Drag { face: FaceId::new(face), point, by, reach: (2, 2), locks: [Lock::Held(Order::G0); 4], twin: None };
    let mut trials = Trials::default();
    trials.add("drag", Edit::Drag(drag));
    trials.to_json().to_string()
}
