//! Where on a face a value is least.

use super::Subject;
use super::cells::counts;
use crate::geometry::{Domain, Region, Surface};
use crate::joins::peak;
use crate::math::{Arrange, Point2, Vec3};
use crate::model::FaceId;
use crate::nurbs::SurfaceDerivs;

/// Least area that a step of the parameters may make, as a share of the most on the face, for a value of second derivatives: towards a
/// pole they are rounding. Larger: what lies beside a pole is left out; smaller: curvature has fewer than eight digits there.
pub const FOR_CURVATURE: f64 = 1e-4;

/// The same for a value of the normal alone.
pub const FOR_NORMAL: f64 = 1e-8;

/// Places that the search starts from, the lowest first. More: slower; fewer: of two lows of a face the lower may be missed.
const STARTS: usize = 4;

/// Step, as a share of the face, at which the search ends. Larger: a least value that is a corner reads too high.
const FINEST: f64 = 1e-9;

/// Relative precision of the least value along a border.
const PRECISION: f64 = 1e-10;

/// The least value on a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// Where, in the surface's parameters.
    pub uv: Point2,
    /// The value.
    pub value: f64,
}

/// The least value on a face, borders included: searched from the middles of cells of 12 mm, or a fortieth of the face where that is
/// larger, and from the nodes of its trims; poles are left out by `least_area`. `read` is given derivatives to the second order and the unit normal on the skin's outward
/// side. None of a face without domain, or where `read` answers nothing.
pub fn least(subject: &Subject<'_>, id: FaceId, least_area: f64, read: impl Fn(&SurfaceDerivs, Vec3) -> Option<f64>) -> Option<Least> {
    let (surface, domain) = (&subject.sheets.face(id)?.surface, subject.sheets.domain(id)?);
    let region = Region::new(domain);
    let all = Search { surface, region, side: subject.graph.orientation.sign(id), least_area: 0.0, read };
    let search = Search { least_area: least_area * all.largest_area(), ..all };
    let inner = search.inner();
    let border = search.border(domain);
    inner.into_iter().chain(border).min_by(|a, b| a.value.total_cmp(&b.value))
}

struct Search<'a, R> {
    surface: &'a Surface,
    region: Region,
    side: f64,
    least_area: f64,
    read: R,
}

impl<R: Fn(&SurfaceDerivs, Vec3) -> Option<f64>> Search<'_, R> {
    fn value(&self, uv: Point2) -> Option<f64> {
        let d = self.surface.derivs(uv.u, uv.v, 2);
        let across = d.su.cross(d.sv);
        let normal = across.try_normalize().filter(|_| across.length() >= self.least_area)?;
        (self.read)(&d, normal * self.side).filter(|v| v.is_finite())
    }

    /// The most area that a step of the parameters makes, on a grid of 9 by 9.
    fn largest_area(&self) -> f64 {
        let (u, v) = self.region.bounds();
        let places = (0..=8).flat_map(|i| (0..=8).map(move |j| (f64::from(i) / 8.0, f64::from(j) / 8.0)));
        let area = |(a, b): (f64, f64)| {
            let d = self.surface.derivs(u.at(a), v.at(b), 1);
            d.su.cross(d.sv).length()
        };
        places.map(area).filter(|a| a.is_finite()).fold(0.0, f64::max)
    }

    fn within(&self, uv: Point2) -> Option<Least> {
        let value = self.region.contains(uv).then(|| self.value(uv)).flatten()?;
        Some(Least { uv, value })
    }

    /// The least value inside.
    fn inner(&self) -> Option<Least> {
        let (u, v) = self.region.bounds();
        let (nu, nv) = counts(self.surface, &self.region);
        let (du, dv) = (u.length() / nu as f64, v.length() / nv as f64);
        let all = (0..nu).flat_map(|i| (0..nv).map(move |j| (i, j)));
        let middles: Vec<Point2> = all.map(|(i, j)| Point2::new(u.low + du * (i as f64 + 0.5), v.low + dv * (j as f64 + 0.5))).collect();
        let mut starts: Vec<Least> = middles.into_iter().filter_map(|p| self.within(p)).collect();
        starts.arrange_by(|a, b| a.value.total_cmp(&b.value));
        let mut tried: Vec<Least> = Vec::new();
        for start in starts {
            let near = |t: &Least| (t.uv.u - start.uv.u).abs() < 2.5 * du && (t.uv.v - start.uv.v).abs() < 2.5 * dv;
            if !tried.iter().any(near) {
                tried.push(start);
            }
            if tried.len() == STARTS {
                break;
            }
        }
        tried.into_iter().map(|t| self.descend(t, (du, dv))).min_by(|a, b| a.value.total_cmp(&b.value))
    }

    /// Steps of a compass, halved where none leads down (Kolda, Lewis & Torczon, SIAM Review 45(3), 2003).
    fn descend(&self, from: Least, (du, dv): (f64, f64)) -> Least {
        const WAYS: [(f64, f64); 8] =
            [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        let (mut best, mut size) = (from, 1.0);
        while size > FINEST {
            let steps = WAYS.iter().map(|(a, b)| Point2::new(best.uv.u + a * size * du, best.uv.v + b * size * dv));
            match steps.filter_map(|p| self.within(p)).min_by(|a, b| a.value.total_cmp(&b.value)) {
                Some(next) if next.value < best.value => best = next,
                _ => size *= 0.5,
            }
        }
        best
    }

    /// The least value on the borders.
    fn border(&self, domain: &Domain) -> Option<Least> {
        let mut best: Option<Least> = None;
        for side in domain.loops.iter().flat_map(|l| &l.sides) {
            let nodes: Vec<f64> = side.nodes().iter().map(|n| n.0).collect();
            let halves = nodes.windows(2).map(|w| 0.5 * (w[0] + w[1]));
            let mut shares: Vec<f64> = nodes.iter().copied().chain(halves).collect();
            shares.arrange_by(f64::total_cmp);
            let value = |s: f64| self.value(side.uv(self.surface, s)).map(|v| -v);
            let values: Vec<f64> = shares.iter().map(|&s| value(s).unwrap_or(f64::NEG_INFINITY)).collect();
            let Some((i, &top)) = values.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)) else { continue };
            if top == f64::NEG_INFINITY {
                continue;
            }
            let at = |i: usize| shares.get(i).copied();
            let (Some(here), last) = (at(i), shares.len() - 1) else { continue };
            let (low, high) = (at(i.saturating_sub(1)).unwrap_or(here), at((i + 1).min(last)).unwrap_or(here));
            let (share, most) = if high > low { peak::refine(low, high, (here, top), PRECISION, value) } else { (here, top) };
            if best.is_none_or(|b| -most < b.value) {
                best = Some(Least { uv: side.uv(self.surface, share), value: -most });
            }
        }
        best
    }
}
