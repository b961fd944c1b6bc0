//! Ruled surfaces, which ISO 10303-42 does not know, as splines over the same (u, v).

use super::emit::{Emit, Id};
use crate::exchange::part21::encode;
use crate::geometry::{Plane, Surface, spline_form};
use crate::math::{Frame, Interval};
use crate::nurbs;

/// How far the spline may lie off, as shares of the surface's size: the first that it can be made to. The first is
/// rounding; at a share beyond it (the curve beside a corner is torn there) the file is told to be coarser.
/// Finer: most splines hold thousands of points; ending sooner: torn surfaces are not written at all.
const SHARES: [f64; 4] = [1e-9, 1e-6, 1e-3, 1e-1];

impl Emit {
    /// The spline in place of a ruled surface, with a remark where it is not exact.
    pub(super) fn ruled(&mut self, surface: &Surface, name: &str) -> Id {
        let Some((patch, off)) = ruled_patch(surface) else {
            let id = self.surface(&Surface::Plane(Plane { frame: Frame::WORLD }), name);
            self.remark(Some(id), "a ruled surface has no spline form; a plane stands in its place".into(), None);
            return id;
        };
        let id = self.patch(&patch, &encode(name));
        if let Some(off) = off {
            self.remark(Some(id), "a ruled surface is written as a spline that follows it coarsely".into(), Some(off));
        }
        id
    }
}

/// The spline, and how far off it may lie where that is more than rounding. None where nothing follows the surface.
fn ruled_patch(surface: &Surface) -> Option<(nurbs::Surface, Option<f64>)> {
    let unit = Interval::new(0.0, 1.0);
    let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)].map(|(u, v)| surface.point(u, v));
    let size = corners.iter().map(|p| p.distance(corners[0])).fold(1e-3, f64::max);
    SHARES.into_iter().enumerate().find_map(|(i, share)| {
        let patch = spline_form(surface, unit, unit, share * size).ok()?;
        Some((patch, (i > 0).then_some(share * size)))
    })
}

#[cfg(test)]
mod tests {
    use super::super::{StepOptions, step};
    use crate::exchange::{Limits, read};
    use crate::geometry::{Curve, Line, OffsetCurve, Ruled, Surface};
    use crate::math::{Point3, Vec3};
    use crate::model::{Face, LengthUnit, Model};
    use crate::nurbs::{self, KnotVector};
    use crate::progress::Silent;

    /// A wall 9 high and 10 long on the curve at `distance` from a line with a corner, which rises by `bend` over its
    /// second half of 5: there the curve jumps by 2 · distance · sin (atan (bend / 5) / 2).
    fn wall(distance: f64, bend: f64) -> Model {
        let points = vec![[0.0, 0.0, 0.0], [5.0, 0.0, 0.0], [10.0, bend, 0.0]];
        let basis = nurbs::Curve::new(KnotVector::new(1, vec![0.0, 0.0, 1.0, 2.0, 2.0]).unwrap(), points, None).unwrap();
        let first = Curve::Offset(OffsetCurve { basis: Box::new(Curve::Nurbs(basis)), distance, reference: Vec3::Z });
        let second = Curve::Line(Line { origin: Point3::new(0.0, 0.0, 9.0), direction: Vec3::X });
        let surface =
            Surface::Ruled(Ruled { first: Box::new(first), first_range: (0.0, 2.0), second: Box::new(second), second_range: (0.0, 10.0) });
        let face = Face { name: "wall".into(), ..Face::whole(surface) };
        Model { faces: vec![face], parts: vec![String::new()], ..Model::default() }
    }

    #[test]
    fn a_spline_that_follows_a_tear_coarsely_says_how_coarsely() {
        for (bend, torn) in [(0.0, false), (0.5, true)] {
            let model = wall(1.0, bend);
            let unit = LengthUnit { name: "inch".into(), in_mm: 25.4 };
            let written = step(&model, &StepOptions { unit, ..StepOptions::default() });
            let back = read(written.text.as_bytes(), "x", &Limits::default(), &mut Silent).unwrap().model;
            let off = |i: u32| {
                let (u, v) = (f64::from(i % 401) / 400.0, f64::from(i / 401) / 4.0);
                model.faces[0].surface.point(u, v).distance(back.faces[0].surface.point(u, v))
            };
            let off = (0..401 * 5).map(off).fold(0.0, f64::max);
            if !torn {
                assert!(written.remarks.is_empty() && off < 1e-7, "{off} {:?}", written.remarks);
                continue;
            }
            let [remark] = &written.remarks[..] else { panic!("off by {off}, and no word of it: {:?}", written.remarks) };
            let size = remark.size.unwrap();
            // In mm: a tenth of the wall's diagonal of 14 at most.
            assert!(off > 1e-3 && off <= size && size < 1.5, "off by {off}, told {size}");
            let line = format!("#{}=B_SPLINE_SURFACE_WITH_KNOTS('wall'", remark.entity.unwrap());
            assert!(written.text.lines().any(|l| l.starts_with(&line)), "{remark:?}");
        }
    }

    #[test]
    fn a_surface_without_a_finite_point_is_told_to_be_lost() {
        let remarks = step(&wall(f64::NAN, 0.5), &StepOptions::default()).remarks;
        assert!(remarks.len() == 1 && remarks[0].text.contains("plane") && remarks[0].size.is_none(), "{remarks:?}");
    }
}
