//! Handles of the lamp rig: where they stand on the screen, and what a drag of one makes of the rig.
//!
//! The rig is drawn as a small likeness of one size on the screen, seen along the camera's axes, with its foot on the model's
//! middle: true to scale the lamps would stand far outside the frame. An arm points to the lamps, at its end stand some of them;
//! for isophotes circles of equal angle around the arm's end stand for the stripes of a ball. Pixels here are CSS pixels from the
//! canvas's top left corner, y downwards; angles are degrees, lengths model sizes.

use glam::{DVec2, DVec3};
use rakelight_core::highlight::LampRig;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Share of the frame's shorter side that the arm takes. Larger runs out of the frame, smaller is hard to aim.
const ARM: f64 = 0.28;
/// The arm's least and largest length, CSS pixels.
const ARM_RANGE: (f64, f64) = (56.0, 190.0);
/// Room kept between the arm's ball and the frame, CSS pixels.
const ROOM: f64 = 18.0;
/// Share of its full length below which an axis seen end-on moves no faster: less makes a handle jump.
const END_ON: f64 = 0.35;

/// Range of the distance, model sizes.
pub const REACH: (f64, f64) = (0.2, 10.0);
/// Range of the spacing, model sizes.
pub const SPACING: (f64, f64) = (0.01, 1.0);
/// Range of the angle from isophote to isophote, degrees.
pub const STEP: (f64, f64) = (1.0, 30.0);

/// Where along the arm the handle of the distance runs, in arms.
const REACH_RUN: (f64, f64) = (0.28, 0.80);
/// Where beside the arm's end the handle of the spacing runs, in arms; it is three spacings out.
const SPACING_RUN: (f64, f64) = (0.18, 0.72);
/// Half the length of a lamp, in arms.
const LAMP: f64 = 0.3;
/// From the arm's end to the handle of the turn, in arms.
const TURN_AT: f64 = 0.44;
/// Lamps drawn on each side of the middle one.
const SIDE: i32 = 3;
/// Circle whose handle sets the angle from isophote to isophote.
const CIRCLE: i32 = 3;
/// Corners of a drawn circle.
const CORNERS: i32 = 48;

/// What the handles set.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RigSettings {
    /// Direction to the lamps, from +x towards +y.
    pub azimuth: f64,
    /// The same from the xy plane upwards.
    pub elevation: f64,
    /// Of the lamps about the direction.
    pub turn: f64,
    /// From lamp to lamp, model sizes.
    pub spacing: f64,
    /// From isophote to isophote.
    pub step: f64,
    /// Distance of the lamp plane, model sizes.
    pub reach: f64,
    /// Lit share of the spacing.
    pub width: f64,
    /// Lamps.
    pub count: u32,
}

/// What can be dragged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Handle {
    /// Over a ball about the model's middle.
    Direction,
    /// About the direction.
    Turn,
    /// The lamps apart or together.
    Spacing,
    /// The third circle around the direction.
    Step,
    /// Along the arm.
    Distance,
}

/// Where the rig stands on the screen.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    foot: DVec2,
    arm: f64,
    /// Axes of the view: right, up, back.
    axes: (DVec3, DVec3, DVec3),
}

/// What is drawn; points are [x, y].
#[derive(Clone, Debug, Serialize)]
pub struct Drawing {
    foot: [f64; 2],
    direction: [f64; 2],
    turn: [f64; 2],
    spacing: [f64; 2],
    step: [f64; 2],
    distance: [f64; 2],
    /// The arm points away from the eye.
    behind: bool,
    /// Radius of the ball, CSS pixels.
    ball: f64,
    /// Four corners a lamp.
    lamps: Vec<[[f64; 2]; 4]>,
    /// Circles of equal angle, closed.
    circles: Vec<Vec<[f64; 2]>>,
}

impl RigSettings {
    /// Unit vector to the lamps.
    pub fn direction(&self) -> DVec3 {
        let (a, e) = (self.azimuth.to_radians(), self.elevation.to_radians());
        DVec3::new(e.cos() * a.cos(), e.cos() * a.sin(), e.sin())
    }

    /// Unit vectors across the lamps and along them.
    fn sides(&self) -> (DVec3, DVec3) {
        let (level, raised) = (LampRig::across(self.direction(), 0.0), LampRig::across(self.direction(), FRAC_PI_2));
        let (s, c) = self.turn.to_radians().sin_cos();
        (level * c + raised * s, raised * c - level * s)
    }
}

/// Place of a value on a run between `low` and `high`, both above zero, in equal ratios.
fn run((low, high): (f64, f64), at: (f64, f64), value: f64) -> f64 {
    let t = (value / low).ln() / (high / low).ln();
    at.0 + (at.1 - at.0) * t.clamp(0.0, 1.0)
}

/// The value at such a place.
fn value((low, high): (f64, f64), at: (f64, f64), place: f64) -> f64 {
    let t = ((place - at.0) / (at.1 - at.0)).clamp(0.0, 1.0);
    low * (high / low).powf(t)
}

/// An angle between −180 (left out) and 180.
fn wrapped(degrees: f64) -> f64 {
    180.0 - (180.0 - degrees).rem_euclid(360.0)
}

impl Stand {
    /// With the foot at `middle` where the frame has room for the ball there, else as near to it as there is room.
    pub fn new(middle: DVec2, frame: DVec2, axes: (DVec3, DVec3, DVec3)) -> Stand {
        let arm = (ARM * frame.min_element()).clamp(ARM_RANGE.0, ARM_RANGE.1);
        let room = DVec2::splat(arm + ROOM).min(frame / 2.0);
        Stand { foot: middle.clamp(room, frame - room), arm, axes }
    }

    /// On the screen, of a vector in arms.
    fn seen(&self, v: DVec3) -> DVec2 {
        DVec2::new(v.dot(self.axes.0), -v.dot(self.axes.1)) * self.arm
    }

    fn place(&self, v: DVec3) -> DVec2 {
        self.foot + self.seen(v)
    }

    /// Where a handle stands from the foot, in arms.
    fn handle(&self, rig: &RigSettings, handle: Handle) -> DVec3 {
        let d = rig.direction();
        let (across, along) = rig.sides();
        match handle {
            Handle::Direction => d,
            Handle::Turn => d + along * TURN_AT,
            Handle::Spacing => d + across * run(SPACING, SPACING_RUN, rig.spacing),
            Handle::Step => {
                let angle = f64::from(CIRCLE) * rig.step.to_radians();
                d * angle.cos() + across * angle.sin()
            }
            Handle::Distance => d * run(REACH, REACH_RUN, rig.reach),
        }
    }

    /// What is to be drawn.
    pub fn drawing(&self, rig: &RigSettings) -> Drawing {
        let d = rig.direction();
        let (across, along) = rig.sides();
        let pitch = run(SPACING, SPACING_RUN, rig.spacing) / f64::from(SIDE);
        let pair = |v: DVec3| self.place(v).to_array();
        let half = 0.5 * pitch * rig.width;
        let middle = 0.5 * f64::from(rig.count.saturating_sub(1) % 2);
        let lamps =
            (-SIDE..=SIDE).map(|k| f64::from(k) + middle).filter(|k| 2.0 * k.abs() < f64::from(rig.count) && k.abs() <= f64::from(SIDE));
        let lamp = |k: f64| {
            let corner = |x: f64, y: f64| pair(d + across * (k * pitch + x * half) + along * (y * LAMP));
            [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)]
        };
        let circle = |k: i32| {
            let (s, c) = (f64::from(k) * rig.step.to_radians()).sin_cos();
            let at = |i: i32| (f64::from(i) * TAU / f64::from(CORNERS)).sin_cos();
            (0..CORNERS).map(at).map(|(y, x)| pair(d * c + (across * x + along * y) * s)).collect()
        };
        let stands = |handle| pair(self.handle(rig, handle));
        Drawing {
            foot: self.foot.to_array(),
            direction: stands(Handle::Direction),
            turn: stands(Handle::Turn),
            spacing: stands(Handle::Spacing),
            step: stands(Handle::Step),
            distance: stands(Handle::Distance),
            behind: d.dot(self.axes.2) < 0.0,
            ball: self.arm,
            lamps: lamps.map(lamp).collect(),
            circles: (1..=CIRCLE).map(circle).collect(),
        }
    }

    /// The rig that a drag of a handle by `delta` makes of `rig`. All of a drag is counted from the rig it began with, so that
    /// nothing adds up.
    pub fn dragged(&self, rig: &RigSettings, handle: Handle, delta: DVec2) -> RigSettings {
        let d = rig.direction();
        let (across, _) = rig.sides();
        let mut to = *rig;
        match handle {
            Handle::Direction => self.aim(rig, delta, &mut to),
            Handle::Turn => to.turn = wrapped(rig.turn + self.turned(rig, delta)),
            Handle::Spacing => to.spacing = value(SPACING, SPACING_RUN, run(SPACING, SPACING_RUN, rig.spacing) + self.along(across, delta)),
            Handle::Distance => to.reach = value(REACH, REACH_RUN, run(REACH, REACH_RUN, rig.reach) + self.along(d, delta)),
            Handle::Step => {
                let angle = f64::from(CIRCLE) * rig.step.to_radians();
                let way = across * angle.cos() - d * angle.sin();
                let more = self.along(way, delta).to_degrees() / f64::from(CIRCLE);
                to.step = (rig.step + more).clamp(STEP.0, STEP.1);
            }
        }
        to
    }

    /// Arms along a unit vector that a way on the screen stands for.
    fn along(&self, way: DVec3, delta: DVec2) -> f64 {
        let seen = self.seen(way);
        delta.dot(seen) / seen.length().max(END_ON * self.arm).powi(2)
    }

    /// Puts the arm's end under the pointer. Past the ball's outline it goes on over the far side: the way is folded there.
    fn aim(&self, rig: &RigSettings, delta: DVec2, to: &mut RigSettings) {
        let (right, up, back) = self.axes;
        let d = rig.direction();
        let at = (self.seen(d) + delta) / self.arm;
        let far = at.length();
        let (flat, over) = if far <= 1.0 { (at, false) } else { (at / far * (2.0 - far).max(0.0), true) };
        let depth = (1.0 - flat.length_squared()).max(0.0).sqrt();
        let front = (d.dot(back) >= 0.0) != over;
        let aim = right * flat.x - up * flat.y + back * if front { depth } else { -depth };
        to.elevation = aim.z.clamp(-1.0, 1.0).asin().to_degrees();
        // Straight up there is no azimuth: the old one stays.
        if aim.truncate().length() > 1e-6 {
            to.azimuth = aim.y.atan2(aim.x).to_degrees();
        }
    }

    /// Degrees that a drag of the turn's handle turns.
    fn turned(&self, rig: &RigSettings, delta: DVec2) -> f64 {
        let (across, along) = rig.sides();
        let (a, b) = (self.seen(across), self.seen(along));
        let det = a.perp_dot(b);
        if det.abs() > END_ON * self.arm * self.arm {
            let to = b * TURN_AT + delta;
            return (-to.perp_dot(b) / det).atan2(a.perp_dot(to) / det).to_degrees();
        }
        // Seen edge-on: the way along the ring's tangent counts.
        -self.along(across, delta).to_degrees() / TURN_AT
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::Camera;

    const FRAME: DVec2 = DVec2::new(900.0, 600.0);
    const RIG: RigSettings =
        RigSettings { azimuth: 35.0, elevation: 60.0, turn: 20.0, spacing: 0.08, step: 7.5, reach: 1.0, width: 0.5, count: 120 };

    fn stand(yaw: f64, pitch: f64) -> Stand {
        Stand::new(FRAME / 2.0, FRAME, Camera { yaw, pitch, ..Camera::default() }.axes())
    }

    fn moved(stand: &Stand, rig: &RigSettings, handle: Handle, delta: DVec2) -> (DVec2, RigSettings) {
        let to = stand.dragged(rig, handle, delta);
        (stand.place(stand.handle(&to, handle)) - stand.place(stand.handle(rig, handle)), to)
    }

    /// Views from all sides.
    fn stands() -> impl Iterator<Item = Stand> {
        (-6..6).flat_map(|i| (-3..=3).map(move |j| stand(0.5 * f64::from(i) + 0.1, 0.45 * f64::from(j) + 0.02)))
    }

    fn rigs() -> impl Iterator<Item = RigSettings> {
        (0..12).flat_map(|i| {
            (-2..=2).map(move |j| RigSettings { azimuth: 30.0 * f64::from(i) - 175.0, elevation: 35.0 * f64::from(j) + 3.0, ..RIG })
        })
    }

    #[test]
    fn the_direction_follows_the_pointer_and_keeps_its_side() {
        for (stand, rig) in stands().flat_map(|s| rigs().map(move |r| (s, r))) {
            for aim in [DVec2::ZERO, DVec2::new(0.9, 0.1), DVec2::new(-0.4, -0.7), DVec2::new(0.2, 0.5)] {
                let delta = aim * stand.arm - stand.seen(rig.direction());
                let (went, to) = moved(&stand, &rig, Handle::Direction, delta);
                assert!((went - delta).length() < 1e-6 * stand.arm, "{rig:?}: {went} for {delta}");
                let side = |r: &RigSettings| r.direction().dot(stand.axes.2) >= 0.0;
                assert_eq!(side(&rig), side(&to));
            }
        }
    }

    #[test]
    fn handles_on_runs_follow_the_pointer() {
        let mut seen_side_on = 0;
        for (stand, rig) in stands().flat_map(|s| rigs().map(move |r| (s, r))) {
            let (across, _) = rig.sides();
            for (handle, way) in [(Handle::Spacing, across), (Handle::Distance, rig.direction())] {
                let seen = stand.seen(way);
                if seen.length() <= END_ON * stand.arm {
                    continue;
                }
                seen_side_on += 1;
                for by in [-0.08, 0.09] {
                    let (went, _) = moved(&stand, &rig, handle, seen * by);
                    assert!((went - seen * by).length() < 1e-6 * stand.arm, "{handle:?}: {went} for {}", seen * by);
                }
            }
        }
        assert!(seen_side_on > 1000);
    }

    #[test]
    fn the_turn_follows_a_pointer_on_its_ring() {
        let mut face_on = 0;
        for (stand, rig) in stands().flat_map(|s| rigs().map(move |r| (s, r))) {
            let (across, along) = rig.sides();
            if stand.seen(across).perp_dot(stand.seen(along)).abs() <= END_ON * stand.arm.powi(2) {
                continue;
            }
            face_on += 1;
            for by in [-170.0, -60.0, 5.0, 120.0] {
                let aim = RigSettings { turn: rig.turn + by, ..rig };
                let delta = stand.place(stand.handle(&aim, Handle::Turn)) - stand.place(stand.handle(&rig, Handle::Turn));
                let (_, to) = moved(&stand, &rig, Handle::Turn, delta);
                assert!(wrapped(to.turn - aim.turn).abs() < 1e-6, "{} for {}", to.turn, aim.turn);
            }
        }
        assert!(face_on > 500);
    }

    #[test]
    fn the_angle_between_isophotes_follows_small_ways() {
        let stand = stand(0.4, 1.2);
        let (_, to) = moved(&stand, &RIG, Handle::Step, DVec2::ZERO);
        assert!((to.step - RIG.step).abs() < 1e-12);
        let wide = RigSettings { step: RIG.step + 0.01, ..RIG };
        let delta = stand.place(stand.handle(&wide, Handle::Step)) - stand.place(stand.handle(&RIG, Handle::Step));
        let (_, to) = moved(&stand, &RIG, Handle::Step, delta);
        assert!((to.step - wide.step).abs() < 1e-4, "{}", to.step);
    }

    #[test]
    fn past_the_outline_the_direction_goes_to_the_far_side() {
        let stand = stand(0.0, 0.0);
        let rig = RigSettings { azimuth: 0.0, elevation: 0.0, ..RIG };
        let to = stand.dragged(&rig, Handle::Direction, DVec2::new(1.5 * stand.arm, 0.0));
        assert!((to.azimuth - 150.0).abs() < 1e-9 && to.elevation.abs() < 1e-9, "{to:?}");
    }

    #[test]
    fn runs_end_at_their_ranges_and_edge_on_turns_stay_bounded() {
        let stand = stand(0.4, 0.3);
        for far in [-1e5, 1e5] {
            for handle in [Handle::Spacing, Handle::Step, Handle::Distance, Handle::Turn] {
                let to = stand.dragged(&RIG, handle, DVec2::new(far, far));
                let held = |x: f64, (low, high): (f64, f64)| x >= low * 0.999 && x <= high * 1.001;
                assert!(held(to.spacing, SPACING) && held(to.step, STEP) && held(to.reach, REACH) && to.turn.abs() <= 180.0, "{to:?}");
            }
        }
    }

    #[test]
    fn as_many_lamps_are_drawn_as_there_are_while_there_is_room() {
        let drawn = |count| stand(0.4, 0.3).drawing(&RigSettings { count, ..RIG }).lamps.len();
        assert_eq!([1, 2, 3, 7, 120, 121].map(drawn), [1, 2, 3, 7, 6, 7]);
    }

    #[test]
    fn the_rig_keeps_inside_the_frame() {
        for middle in [DVec2::splat(-4000.0), DVec2::splat(9000.0), FRAME / 2.0] {
            let stand = Stand::new(middle, FRAME, Camera::default().axes());
            assert!(stand.foot.x >= stand.arm && stand.foot.x <= FRAME.x - stand.arm);
            assert!(stand.foot.y >= stand.arm && stand.foot.y <= FRAME.y - stand.arm);
        }
    }
}
