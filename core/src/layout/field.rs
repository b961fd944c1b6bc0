//! All faces of a model, found by place.

use super::boxes::{Boxes, Item};
use super::patch::{Patch, Sample, sampled};
use crate::geometry::{Domain, Foot, RayHit, Surface, closest_on_surface, ray_on_surface};
use crate::math::{Arrange, Interval, Point2, Point3, Vec3, real};
use crate::model::{FaceId, Model};

/// A model's faces, prepared once for all questions of layout.
#[derive(Debug, Clone)]
pub struct Field<'a> {
    /// The model.
    pub model: &'a Model,
    patches: Vec<Option<Patch>>,
    /// Face and cell of each box in the tree.
    owners: Vec<(FaceId, usize)>,
    boxes: Boxes,
}

/// What counts as lying at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Largest distance, mm.
    pub distance: f64,
    /// Largest angle between the tangent planes, degrees.
    pub angle: f64,
}

impl Near {
    /// Within a distance, tangent planes as parallel as copies of coarse approximations are: within 5°. Larger: faces
    /// that cross at a small angle touch; smaller: such copies are missed. Common practice, no source.
    pub fn on(distance: f64) -> Self {
        Self { distance, angle: 5.0 }
    }
}

/// A face that lies where a point is.
#[derive(Debug, Clone, Copy)]
pub struct Touch {
    /// The face.
    pub face: FaceId,
    /// The point's foot on it.
    pub foot: Foot,
    /// Unit Su × Sv there.
    pub normal: Vec3,
}

/// Cells of one face from which a foot is searched: the nearest ones. Smaller: folded faces may give the wrong foot;
/// larger: slower.
const STARTS: usize = 3;
/// Part of a foot's distance that may lie in the tangent plane: more, and the point lies beside the face, not on it.
const BESIDE: f64 = 0.2;

impl<'a> Field<'a> {
    /// Prepares the faces; `domains` one a face. Those without a domain are in nobody's way. Laps narrower than `inset`,
    /// mm, go unseen.
    pub fn new(model: &'a Model, domains: &[Option<Domain>], inset: f64) -> Self {
        let of = |f: usize| Patch::new(&model.faces.get(f)?.surface, domains.get(f)?.as_ref()?, inset);
        let patches: Vec<Option<Patch>> = (0..model.faces.len()).map(of).collect();
        let mut owners = Vec::new();
        let mut items = Vec::new();
        for (f, patch) in patches.iter().enumerate() {
            for (c, cell) in patch.iter().flat_map(|p| &p.cells).enumerate() {
                items.push(Item { low: cell.low, high: cell.high, id: owners.len() });
                owners.push((FaceId::new(f), c));
            }
        }
        Self { model, patches, owners, boxes: Boxes::new(items) }
    }

    /// Places inside a face; none for a face without a domain, or so narrow that no grid line hits it.
    pub fn samples(&self, face: FaceId) -> &[Sample] {
        self.patch(face).map_or(&[], |p| &p.samples)
    }

    /// Smallest box in (u, v) around a face's region.
    pub fn bounds(&self, face: FaceId) -> Option<(Interval, Interval)> {
        self.patch(face).map(|p| p.region.bounds())
    }

    /// Places inside a face on a grid of `lines` × `lines` over a box of its parameters.
    pub fn samples_in(&self, face: FaceId, within: (Interval, Interval), lines: usize) -> Vec<Sample> {
        match (self.patch(face), self.surface(face)) {
            (Some(p), Some(s)) => sampled(s, &p.region, within, lines),
            _ => Vec::new(),
        }
    }

    /// Faces among those that `wanted` picks with a point as near a place as `near` says, in their order.
    pub fn touching(&self, p: Point3, normal: Vec3, wanted: impl Fn(FaceId) -> bool, near: Near) -> Vec<Touch> {
        let tolerance = near.distance;
        let mut boxes = self.boxes.near(p, tolerance);
        boxes.arrange();
        let owned: Vec<(FaceId, usize)> = boxes.iter().filter_map(|&i| self.owners.get(i)).copied().filter(|o| wanted(o.0)).collect();
        owned.chunk_by(|a, b| a.0 == b.0).filter_map(|cells| self.touch(cells, p, normal, near)).collect()
    }

    /// Where the line through `p` along unit `direction` meets the faces that `wanted` picks, with unit Su × Sv there;
    /// by face, not along the line.
    pub fn on_line(&self, p: Point3, direction: Vec3, wanted: impl Fn(FaceId) -> bool) -> Vec<(FaceId, RayHit, Vec3)> {
        let mut found = Vec::new();
        let mut near = self.boxes.on_line(p, direction);
        near.arrange();
        for &(face, cell) in near.iter().filter_map(|&i| self.owners.get(i)).filter(|o| wanted(o.0)) {
            let (Some(patch), Some(surface)) = (self.patch(face), self.surface(face)) else { continue };
            let Some(cell) = patch.cells.get(cell) else { continue };
            let hit = ray_on_surface(surface, p, direction, cell.uv);
            let inside = hit.filter(|h| patch.region.contains(h.uv));
            found.extend(inside.and_then(|h| Some((face, h, surface.normal(h.uv.u, h.uv.v)?))));
        }
        found
    }

    fn patch(&self, face: FaceId) -> Option<&Patch> {
        self.patches.get(face.index())?.as_ref()
    }

    fn surface(&self, face: FaceId) -> Option<&'a Surface> {
        self.model.faces.get(face.index()).map(|f| &f.surface)
    }

    fn touch(&self, cells: &[(FaceId, usize)], p: Point3, normal: Vec3, near: Near) -> Option<Touch> {
        let face = cells.first()?.0;
        let (patch, surface) = (self.patch(face)?, self.surface(face)?);
        let mut starts: Vec<(f64, Point2)> =
            cells.iter().filter_map(|c| patch.cells.get(c.1)).map(|c| (c.middle.distance(p), c.uv)).collect();
        starts.arrange_by(|a, b| a.0.total_cmp(&b.0));
        let feet = starts.iter().take(STARTS).map(|s| closest_on_surface(surface, p, s.1));
        let foot = feet.min_by(|a, b| a.distance.total_cmp(&b.distance)).filter(|f| f.distance <= near.distance)?;
        let here = surface.normal(foot.uv.u, foot.uv.v)?;
        let turn = real::angle_between(here, normal);
        let off = p - foot.point;
        let beside = (off - here * off.dot(here)).length();
        let flat = turn.min(real::PI - turn) <= near.angle.to_radians();
        let over = beside <= BESIDE * foot.distance + 1e-3 * near.distance;
        (flat && over && patch.region.contains(foot.uv)).then_some(Touch { face, foot, normal: here })
    }
}
