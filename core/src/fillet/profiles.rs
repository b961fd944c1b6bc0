//! Test pieces: sheets whose sections are known plane curves, carried straight on or round an axis.

use crate::math::{Frame, Point3, real};
use crate::nurbs::{KnotVector, Surface};

/// A plane Bézier curve with weights: (x, y, w).
#[derive(Debug, Clone)]
pub(crate) struct Plane2(pub Vec<[f64; 3]>);

impl Plane2 {
    pub(crate) fn line(a: [f64; 2], b: [f64; 2]) -> Self {
        Self(vec![[a[0], a[1], 1.0], [b[0], b[1], 1.0]])
    }

    /// A conic by its end points, where its end tangents meet, and the weight there (NB §7.3).
    pub(crate) fn conic(a: [f64; 2], corner: [f64; 2], b: [f64; 2], w: f64) -> Self {
        Self(vec![[a[0], a[1], 1.0], [corner[0], corner[1], w], [b[0], b[1], 1.0]])
    }

    /// An arc of a circle from angle `from` to `to`, less than half a turn, radians.
    pub(crate) fn arc(centre: [f64; 2], r: f64, from: f64, to: f64) -> Self {
        let at = |t: f64, r: f64| [centre[0] + r * real::cos(t), centre[1] + r * real::sin(t)];
        let half = real::cos(0.5 * (to - from));
        Self::conic(at(from, r), at(0.5 * (from + to), r / half), at(to, r), half)
    }

    /// Point with first and second derivative, by differences of the de Casteljau points' homogeneous values.
    pub(crate) fn derivs(&self, t: f64) -> [[f64; 2]; 3] {
        let n = self.0.len() - 1;
        let sum = |order: usize| {
            let mut c: Vec<[f64; 3]> = self.0.iter().map(|p| [p[0] * p[2], p[1] * p[2], p[2]]).collect();
            let mut factor = 1.0;
            for k in 0..order {
                factor *= (n - k) as f64;
                c = c.windows(2).map(|w| [w[1][0] - w[0][0], w[1][1] - w[0][1], w[1][2] - w[0][2]]).collect();
            }
            while c.len() > 1 {
                let mix = |a: f64, b: f64| a * (1.0 - t) + b * t;
                c = c.windows(2).map(|w| [mix(w[0][0], w[1][0]), mix(w[0][1], w[1][1]), mix(w[0][2], w[1][2])]).collect();
            }
            c.first().map_or([0.0; 3], |c| c.map(|x| x * factor))
        };
        let (a, b) = (sum(0), sum(1));
        let c = if n > 1 { sum(2) } else { [0.0; 3] };
        let p = [a[0] / a[2], a[1] / a[2]];
        let d = [0, 1].map(|i| (b[i] - b[2] * p[i]) / a[2]);
        let e = [0, 1].map(|i| (c[i] - 2.0 * b[2] * d[i] - c[2] * p[i]) / a[2]);
        [p, d, e]
    }

    pub(crate) fn curvature(&self, t: f64) -> f64 {
        let [_, d, e] = self.derivs(t);
        (d[0] * e[1] - d[1] * e[0]) / real::pow(real::hypot(d[0], d[1]), 3.0)
    }

    /// The part from parameter 0 to `t` (first) or from `t` to 1, by blossoming at each control point.
    pub(crate) fn part(&self, t: f64, first: bool) -> Self {
        let mut c: Vec<[f64; 3]> = self.0.iter().map(|p| [p[0] * p[2], p[1] * p[2], p[2]]).collect();
        let mut kept = Vec::new();
        while !c.is_empty() {
            kept.push(if first { c[0] } else { c[c.len() - 1] });
            c = c.windows(2).map(|w| [0, 1, 2].map(|i| w[0][i] * (1.0 - t) + w[1][i] * t)).collect();
        }
        if !first {
            kept.reverse();
        }
        Self(kept.into_iter().map(|c| [c[0] / c[2], c[1] / c[2], c[2]]).collect())
    }
}

/// How a profile in the x-y plane of a frame is carried on.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Carry {
    /// Along z by a length.
    Along(f64),
    /// Round the axis y = −distance, parallel to x, by an angle in radians, less than half a turn.
    Round(f64, f64),
}

/// The sheet of one curve, u along the curve.
pub(crate) fn sheet(frame: &Frame, curve: &Plane2, carry: Carry) -> Surface {
    let n = curve.0.len();
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    let along = match carry {
        Carry::Along(_) => 1,
        Carry::Round(..) => 2,
    };
    for &[x, y, w] in &curve.0 {
        match carry {
            Carry::Along(length) => {
                points.extend([frame.point(x, y, 0.0), frame.point(x, y, length)]);
                weights.extend([w, w]);
            }
            Carry::Round(distance, angle) => {
                let half = real::cos(0.5 * angle);
                let at = |t: f64, r: f64| frame.point(x, r * real::cos(t) - distance, r * real::sin(t));
                let r = y + distance;
                points.extend([at(0.0, r), at(0.5 * angle, r / half), at(angle, r)]);
                weights.extend([w, w * half, w]);
            }
        }
    }
    Surface::new(KnotVector::bezier(n - 1).unwrap(), KnotVector::bezier(along).unwrap(), points, Some(weights)).unwrap()
}

/// A point of the profile, where the carrying starts.
pub(crate) fn point(frame: &Frame, [x, y]: [f64; 2]) -> Point3 {
    frame.point(x, y, 0.0)
}
