//! One side of a gap in one plane.

use super::brink::{Brink, BrinkKind, Spot, crossing};
use super::shores::Shores;
use super::walk::roll;
use crate::geometry::Surface;
use crate::joins::Sheets;
use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;

/// All places found on one side of a gap, from which its edge is met again in any plane.
pub(super) struct Edge<'a> {
    pub brinks: &'a [Brink],
    pub spots: Vec<(usize, Spot)>,
}

/// An edge where a plane cuts it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Met<'a> {
    pub brink: &'a Brink,
    /// On the panel's border.
    pub spot: Spot,
    /// Parameters on the panel's surface.
    pub uv: Point2,
}

impl<'a> Edge<'a> {
    /// Where the plane through `middle` square to unit `along` cuts the edge; None past its ends.
    pub fn met(&self, sheets: &Sheets<'_>, middle: Point3, along: Vec3) -> Option<Met<'a>> {
        let nearest = |other_than: Option<usize>| {
            let some = self.spots.iter().filter(|s| Some(s.0) != other_than);
            some.min_by(|x, y| x.1.point.distance(middle).total_cmp(&y.1.point.distance(middle)))
        };
        let first = nearest(None)?;
        let cut = |&(n, spot): &(usize, Spot)| {
            let brink = self.brinks.get(n)?;
            let at = crossing(sheets, brink.side, brink.over, spot.share, (middle, along))?;
            Some(Met { brink, spot: brink.spot(sheets, at.s)?, uv: at.uv })
        };
        // Past the end of a piece the next one is met.
        cut(first).or_else(|| cut(nearest(Some(first.0))?))
    }
}

/// The outermost point of an edge in the plane square to `along`, and the radius of its rounding, mm: 0 where there is none.
pub(super) fn outermost(shores: &Shores<'_>, met: &Met<'_>, along: Vec3, across: Vec3) -> Option<(Point3, f64)> {
    let bare = (met.spot.point, 0.0);
    match (met.brink.kind, met.brink.behind) {
        (BrinkKind::Rounded, Some(behind)) => {
            let way = (met.spot.out - along * along.dot(met.spot.out)).try_normalize()?;
            let roll = roll(shores, behind, met.spot.point, (met.spot.normal, way), along, Some(across))?;
            Some((roll.outermost, roll.radius))
        }
        _ => Some(bare),
    }
}

/// Height along unit `view` over `middle` at which a panel's surface, run on past its trim (a patch by its polynomials), crosses the
/// line there; None where it does not get there.
pub(super) fn height(surface: &Surface, seed: Point2, middle: Point3, view: Vec3) -> Option<f64> {
    let (x, y) = view.any_orthonormal_pair();
    let mut uv = seed;
    for _ in 0..12 {
        let d = surface.derivs(uv.u, uv.v, 1);
        let off = d.s - middle;
        let (f, g) = (off.dot(x), off.dot(y));
        if f.abs().max(g.abs()) <= 1e-10 {
            return Some(off.dot(view));
        }
        let (a, b, c, e) = (d.su.dot(x), d.sv.dot(x), d.su.dot(y), d.sv.dot(y));
        let det = a * e - b * c;
        uv = Point2::new(uv.u + (b * g - e * f) / det, uv.v + (c * f - a * g) / det);
        if !uv.is_finite() {
            return None;
        }
    }
    None
}

/// The surface of a face.
pub(super) fn surface_of<'a>(sheets: &Sheets<'a>, face: FaceId) -> Option<&'a Surface> {
    sheets.face(face).map(|f| &f.surface)
}
