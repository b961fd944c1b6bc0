//! The border of a surface as a loop of its own, where a file means it without writing it.

use super::draft::Side;
use super::plane_curve::PlanePiece;
use super::reader::Reader;
use super::surface::{Extent, Ground};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Line2, Pcurve};
use crate::math::{Arrange, Interval, Point2};
use crate::model::Source;

impl Reader<'_, '_> {
    /// The border of a surface that ends by itself, counter-clockwise about Su × Sv. Sides that shrink to a point are left
    /// out; both banks of a seam stand in it.
    pub(super) fn border(&mut self, ground: &Ground, at: Source) -> Result<Vec<Side>, Fault> {
        let (u, v) = match ground.extent {
            Extent::Rectangle(u, v) => (u, v),
            Extent::Whole => ground.surface.domain(),
            Extent::Unbounded => (Interval::ALL, Interval::ALL),
        };
        if !(u.is_bounded() && v.is_bounded()) {
            return Err(Fault::new(at, "", Reason::Geometry("the surface has no border of its own")));
        }
        let corners = [(u.low, v.low), (u.high, v.low), (u.high, v.high), (u.low, v.high)].map(|(u, v)| Point2::new(u, v));
        let mut sides = Vec::new();
        for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            let direction = *to - *from;
            let along_u = direction.x != 0.0;
            let (stop_u, stop_v) = ground.surface.breaks();
            let (start, end, stops) = if along_u { (from.u, to.u, stop_u) } else { (from.v, to.v, stop_v) };
            // Cut where the surface may have a corner: one edge a smooth piece.
            let mut shares: Vec<f64> =
                stops.into_iter().map(|t| (t - start) / (end - start)).filter(|&s| s > 1e-9 && s < 1.0 - 1e-9).collect();
            shares.extend([0.0, 1.0]);
            shares.arrange_by(f64::total_cmp);
            for pair in shares.windows(2) {
                let &[t0, t1] = pair else { continue };
                let curve = Pcurve::Line(Line2 { origin: *from, direction });
                if let Some((space, plane)) = self.lift(PlanePiece { curve, t0, t1 }, ground, at)? {
                    sides.push(Side { space, plane: Some(plane) });
                }
            }
        }
        Ok(sides)
    }
}
