//! Left and right: which faces are mirror images of others, and whether a model is a half or a whole.

use super::MirrorPlane;
use super::field::{Field, Near};
use super::patch::Sample;
use crate::math::{Point2, Point3};
use crate::model::FaceId;

/// What part of a symmetric object the model is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MirrorExtent {
    /// Both sides of it.
    Full,
    /// One side, open along the plane.
    Half,
    /// Neither can be told.
    None,
}

/// How a model lies to its centre plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Mirror {
    /// The plane.
    pub plane: MirrorPlane,
    /// Half or full.
    pub extent: MirrorExtent,
    /// Faces that are each other's images, lower id first, by that id.
    pub pairs: Vec<[FaceId; 2]>,
    /// Faces that are their own image; those in the plane are not counted.
    pub own: Vec<FaceId>,
    /// Share of the model's area that is mirrored, 0 to 1.
    pub share: f64,
    /// How far left and right differ: one a pair, at its lower face, and one a face that is its own image.
    pub deviations: Vec<Deviation>,
}

/// How far a face lies from the mirror image of its partner, where that is farthest of the places sampled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// The face.
    pub face: FaceId,
    /// The face on the other side; the same for one that is its own image.
    pub other: FaceId,
    /// Distance between the image of the place and its foot on the other face, mm.
    pub distance: f64,
    /// The place, on `face`.
    pub point: Point3,
    /// Its parameters there.
    pub uv: Point2,
}

/// Places by which a face is compared with an image. Larger: slower; smaller: faces that agree there by chance pair up.
const PLACES: usize = 9;
/// How much the areas of a pair may differ, relative.
const AREA: f64 = 0.01;
/// Share of the area that must be mirrored for a model to be called full. Common practice, no source.
const FULL: f64 = 0.9;

impl MirrorExtent {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            MirrorExtent::Full => "full",
            MirrorExtent::Half => "half",
            MirrorExtent::None => "none",
        }
    }
}

/// How the model lies to `wanted`, or without any to y = 0 if it is a half or a whole about it, else to whichever of y, x, z = 0
/// mirrors the larger area. Images agree within `tolerance`, mm. `areas` in mm², one a face; `outlines` are points along each
/// stretch of the model's outline: a half is open along the plane.
pub fn mirror(field: &Field<'_>, areas: &[f64], outlines: &[Vec<Point3>], tolerance: f64, wanted: Option<MirrorPlane>) -> Mirror {
    let mut best = match wanted {
        Some(plane) => about(field, areas, outlines, tolerance, plane),
        None => likeliest(field, areas, outlines, tolerance),
    };
    let both = best.pairs.iter().map(|&[a, b]| (a, b)).chain(best.own.iter().map(|&f| (f, f)));
    best.deviations = both.filter_map(|(face, other)| farthest(field, tolerance, best.plane, face, other)).collect();
    best
}

fn likeliest(field: &Field<'_>, areas: &[f64], outlines: &[Vec<Point3>], tolerance: f64) -> Mirror {
    let [y, x, z] = [MirrorPlane::Y, MirrorPlane::X, MirrorPlane::Z].map(|plane| about(field, areas, outlines, tolerance, plane));
    let told = |m: &Mirror| m.extent != MirrorExtent::None;
    // Later ones must be better: told before untold, then by area.
    let better = |best: Mirror, m: Mirror| if (told(&m), m.share) > (told(&best), best.share) { m } else { best };
    if told(&y) { y } else { better(better(y, x), z) }
}

fn about(field: &Field<'_>, areas: &[f64], outlines: &[Vec<Point3>], tolerance: f64, plane: MirrorPlane) -> Mirror {
    let images: Vec<Option<FaceId>> = field.model.faces().map(|(id, _)| image(field, areas, tolerance, plane, id)).collect();
    let (mut pairs, mut own, mut mirrored) = (Vec::new(), Vec::new(), 0.0);
    let area = |f: FaceId| areas.get(f.index()).copied().unwrap_or(0.0);
    for (id, _) in field.model.faces() {
        let Some(Some(other)) = images.get(id.index()).copied() else { continue };
        if other == id {
            own.push(id);
            mirrored += area(id);
        } else if images.get(other.index()) == Some(&Some(id)) {
            mirrored += area(id);
            if id < other {
                pairs.push([id, other]);
            }
        }
    }
    let total: f64 = areas.iter().sum();
    let share = if total > 0.0 { (mirrored / total).min(1.0) } else { 0.0 };
    let extent = if share >= FULL {
        MirrorExtent::Full
    } else if is_half(field, outlines, tolerance, plane) {
        MirrorExtent::Half
    } else {
        MirrorExtent::None
    };
    Mirror { plane, extent, pairs, own, share, deviations: Vec::new() }
}

/// Where the image of a face is farthest from another, of the places sampled that have a foot on it within `tolerance`.
fn farthest(field: &Field<'_>, tolerance: f64, plane: MirrorPlane, face: FaceId, other: FaceId) -> Option<Deviation> {
    let off = |s: &Sample| {
        let there = plane.image(s.point);
        let touch = field.touching(there, plane.turned(s.normal), |f| f == other, Near::on(tolerance)).into_iter().next()?;
        Some(Deviation { face, other, distance: touch.foot.distance, point: s.point, uv: s.uv })
    };
    let all = field.samples(face).iter().filter_map(off);
    all.reduce(|best, d| if d.distance > best.distance { d } else { best })
}

/// The first face on which all of a face's image lies and whose area is the same; None for faces in the plane.
fn image(field: &Field<'_>, areas: &[f64], tolerance: f64, plane: MirrorPlane, face: FaceId) -> Option<FaceId> {
    let all = field.samples(face);
    // A face in the plane itself is on no side of it and tells nothing.
    if all.iter().all(|s| plane.height(s.point).abs() <= tolerance) {
        return None;
    }
    let step = (all.len() / PLACES).max(1);
    let area = *areas.get(face.index())?;
    let mut left: Option<Vec<FaceId>> = None;
    for s in all.iter().step_by(step) {
        let wanted = |f: FaceId| {
            let other = areas.get(f.index()).copied().unwrap_or(0.0);
            (other - area).abs() <= AREA * area && left.as_ref().is_none_or(|l| l.contains(&f))
        };
        let there = plane.image(s.point);
        let found: Vec<FaceId> =
            field.touching(there, plane.turned(s.normal), wanted, Near::on(tolerance)).iter().map(|t| t.face).collect();
        if found.is_empty() {
            return None;
        }
        left = Some(found);
    }
    left?.first().copied()
}

/// True when everything lies on one side of the plane and some of the outline runs along it.
fn is_half(field: &Field<'_>, outlines: &[Vec<Point3>], tolerance: f64, plane: MirrorPlane) -> bool {
    let height = |p: &Point3| plane.height(*p);
    let inner = field.model.faces().flat_map(|(id, _)| field.samples(id)).map(|s| height(&s.point));
    let (mut low, mut high) = (0.0f64, 0.0f64);
    for h in inner.chain(outlines.iter().flatten().map(height)) {
        (low, high) = (low.min(h), high.max(h));
    }
    let one_sided = (low >= -tolerance) != (high <= tolerance);
    one_sided && outlines.iter().any(|l| !l.is_empty() && l.iter().all(|p| height(p).abs() <= tolerance))
}
