//! Splines given by polynomials, as the B-splines they are. IGES 5.3, 4.14 (type 112) and 4.16 (type 114).

use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::{Fault, Reason};
use crate::math::{Point3, Vec3};
use crate::nurbs::{self, KnotVector};

impl Reader<'_, '_> {
    /// Cubic polynomials end to end, over their break points. File units.
    pub(super) fn parametric_curve(&mut self, record: &Record) -> Result<nurbs::Curve<3>, Fault> {
        let segments = record.count(3, 1)?;
        let breaks = breaks(record, record.reals(4, segments + 1)?)?;
        self.budget.points(3 * segments + 1, record.at())?;
        let flat = record.integer_or(2, 3)? == 2;
        let start = 4 + segments + 1;
        let mut points: Vec<[f64; 3]> = Vec::new();
        let mut jump = 0.0f64;
        for (i, width) in widths(&breaks).enumerate() {
            let at = start + 12 * i;
            let mut coefficients = [Vec3::ZERO; 4];
            for axis in 0..3 {
                let n = record.reals(at + 4 * axis, 4)?;
                for (c, (power, &x)) in coefficients.iter_mut().zip(n.iter().enumerate()) {
                    // In a plane the third coordinate is its height alone.
                    let x = if axis == 2 && flat && power > 0 { 0.0 } else { x };
                    axis_of(c, axis, x);
                }
            }
            let [b0, b1, b2, b3] = bezier(coefficients, width);
            if let Some(last) = points.pop() {
                jump = jump.max(Vec3::from_array(last).distance(b0));
            }
            points.extend([b0, b1, b2, b3].map(|p| p.to_array()));
        }
        self.note_jump(record, jump);
        let spline = cubic_knots(&breaks).and_then(|k| nurbs::Curve::new(k, points, None));
        spline.map_err(|e| record.fault(Reason::Spline(e)))
    }

    /// Bicubic polynomials side by side, over their break points. File units.
    pub(super) fn parametric_surface(&mut self, record: &Record) -> Result<nurbs::Surface, Fault> {
        let (m, n) = (record.count(2, 1)?, record.count(3, 1)?);
        let u = breaks(record, record.reals(4, m + 1)?)?;
        let v = breaks(record, record.reals(4 + m + 1, n + 1)?)?;
        let start = 4 + m + 1 + n + 1;
        // One more patch stands in each row, and one more row: their values mean nothing. Some writers leave them out.
        let left = record.len().saturating_sub(start);
        let padded = (m + 1).checked_mul(n + 1).and_then(|k| k.checked_mul(PATCH)).is_some_and(|k| k <= left);
        let stride = if padded { n + 1 } else { n };
        let (nu, nv) = (3 * m + 1, 3 * n + 1);
        let net = nu.checked_mul(nv).filter(|&k| k <= left).ok_or_else(|| record.geometry("it has fewer values than its patches need"))?;
        self.budget.points(net, record.at())?;
        let mut points = vec![None::<Vec3>; net];
        let mut jump = 0.0f64;
        for (i, width_u) in widths(&u).enumerate() {
            for (j, width_v) in widths(&v).enumerate() {
                let patch = patch(record, start + PATCH * (i * stride + j), width_u, width_v)?;
                for (a, row) in patch.into_iter().enumerate() {
                    for (b, p) in row.into_iter().enumerate() {
                        let Some(place) = points.get_mut((3 * i + a) * nv + 3 * j + b) else { continue };
                        if let Some(before) = place {
                            jump = jump.max(before.distance(p));
                        }
                        *place = Some(p);
                    }
                }
            }
        }
        self.note_jump(record, jump);
        let points = points.into_iter().map(|p| Point3::from_vec(p.unwrap_or_default())).collect();
        let spline = cubic_knots(&u).and_then(|u| Ok((u, cubic_knots(&v)?))).and_then(|(u, v)| nurbs::Surface::new(u, v, points, None));
        spline.map_err(|e| record.fault(Reason::Spline(e)))
    }

    /// Neighbours share their border here; where the file's do not, the later one's is taken.
    fn note_jump(&mut self, record: &Record, jump: f64) {
        if jump > self.tolerance() {
            self.repair(record.at(), "pieces of the spline do not meet; the later one's border is taken", Some(jump * self.unit()));
        }
    }
}

/// Values of one patch: sixteen coefficients for each coordinate.
const PATCH: usize = 48;

/// Break points; must rise.
fn breaks(record: &Record, breaks: Vec<f64>) -> Result<Vec<f64>, Fault> {
    let rise = breaks.len() > 1 && breaks.windows(2).all(|w| matches!(w, [a, b] if a < b));
    if rise { Ok(breaks) } else { Err(record.geometry("its break points do not rise")) }
}

fn widths(breaks: &[f64]) -> impl Iterator<Item = f64> {
    breaks.windows(2).map(|w| w.last().zip(w.first()).map_or(0.0, |(b, a)| b - a))
}

fn axis_of(v: &mut Vec3, axis: usize, x: f64) {
    match axis {
        0 => v.x = x,
        1 => v.y = x,
        _ => v.z = x,
    }
}

/// Control points of A + B s + C s² + D s³ for s from 0 to `width`. NB §5.3, the power basis to the Bézier form.
fn bezier([a, b, c, d]: [Vec3; 4], width: f64) -> [Vec3; 4] {
    let (b, c, d) = (b * width, c * (width * width), d * (width * width * width));
    [a, a + b / 3.0, a + (b * 2.0 + c) / 3.0, a + b + c + d]
}

/// Control points `[i][j]` of a patch, i along u: its coefficients run through the powers of s (along u) first.
fn patch(record: &Record, at: usize, width_u: f64, width_v: f64) -> Result<[[Vec3; 4]; 4], Fault> {
    // By powers of t, then of s.
    let mut power = [[Vec3::ZERO; 4]; 4];
    for axis in 0..3 {
        let n = record.reals(at + 16 * axis, 16)?;
        for (c, &x) in power.iter_mut().flatten().zip(&n) {
            axis_of(c, axis, x);
        }
    }
    let along_u = power.map(|row| bezier(row, width_u));
    let [r0, r1, r2, r3] = along_u;
    let column = |i: usize| bezier([r0, r1, r2, r3].map(|r| r.get(i).copied().unwrap_or_default()), width_v);
    Ok([column(0), column(1), column(2), column(3)])
}

/// The knots of cubic pieces that share only their ends.
fn cubic_knots(breaks: &[f64]) -> Result<KnotVector, nurbs::NurbsError> {
    let last = breaks.len().saturating_sub(1);
    let times = |i: usize| if i == 0 || i == last { 4 } else { 3 };
    KnotVector::new(3, breaks.iter().enumerate().flat_map(|(i, &t)| core::iter::repeat_n(t, times(i))).collect())
}
