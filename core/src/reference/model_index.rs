//! Trimmed faces, prepared for questions after their nearest point.

use super::nearest::Nearest;
use super::rim::{Rim, RimFoot, nearest_on_rims};
use super::triangle::nearest_on_triangle;
use crate::geometry::{Domain, Region, Surface, closest_on_surface};
use crate::joins::Sheets;
use crate::layout::{Boxes, Item};
use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;
use crate::progress::Progress;
use crate::tessellate::{FaceMesh, Tolerance, tessellate};

/// Places of borders within this distance are one place, mm: faces of sound models meet there. Larger: the normals of faces across
/// a small gap are mixed; smaller: beyond a badly joined edge the sign is that of one face alone.
const WELD: f64 = 0.05;

/// Times a mesh's largest distance seen from its surface that is allowed for. Larger: slower; smaller: of two places nearly as near
/// the farther may be taken.
const SLACK: f64 = 1.5;

/// Distance from its border within which a place of a face is one of the border, mm. Larger: places inside lose their own normals;
/// smaller: rounding tells.
const ON_RIM: f64 = 1e-6;

/// Places that are solved for at most for one question. Larger: slow on the axis of a round part, where all are as near; smaller:
/// the wrong one of several.
const MOST: usize = 12;

/// The faces of a model with a tree over their triangles, which say where to look: the nearest point itself is solved for on the
/// trimmed surfaces, from every place that may hold it.
#[derive(Debug, Clone)]
pub struct ModelIndex {
    faces: Vec<Option<Sheet>>,
    /// Face and triangle of each box in the tree.
    owners: Vec<(u32, u32)>,
    boxes: Boxes,
    /// The largest distance that a triangle may lie off its surface, mm.
    slack: f64,
}

#[derive(Debug, Clone)]
struct Sheet {
    region: Region,
    rims: Vec<Rim>,
    uv: Vec<Point2>,
    on: Vec<Point3>,
    triangles: Vec<[u32; 3]>,
    slack: f64,
    /// +1 where the outward normal is Su × Sv.
    sign: f64,
}

/// A place that was solved for.
#[derive(Debug, Clone, Copy)]
struct Place {
    face: u32,
    seed: Point3,
    uv: Point2,
    point: Point3,
    distance: f64,
    normal: Vec3,
    /// Angle of the face there; None inside.
    rim: Option<f64>,
}

impl ModelIndex {
    /// Prepares the faces that `sign` gives an outward side: +1 for Su × Sv, −1 for the other. Those without a domain of their own
    /// are left out.
    pub fn new(sheets: &Sheets<'_>, sign: impl Fn(FaceId) -> Option<f64>, progress: &mut dyn Progress) -> Self {
        let tolerance = Tolerance::for_model(sheets.model);
        let made = tessellate(sheets.model, sheets.domains, &tolerance, progress);
        let of = |(id, mesh): (usize, &Option<FaceMesh>)| {
            let id = FaceId::new(id);
            Sheet::new(&sheets.face(id)?.surface, sheets.domain(id)?, mesh.as_ref()?, sign(id)?, tolerance.chord)
        };
        let faces: Vec<Option<Sheet>> = made.faces.iter().enumerate().map(of).collect();
        let (mut owners, mut items) = (Vec::new(), Vec::new());
        let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        for (f, face) in faces.iter().enumerate() {
            let Some(face) = face else { continue };
            for (t, triangle) in face.triangles.iter().enumerate() {
                let [a, b, c] = face.at(triangle).map(Point3::to_vec);
                items.push(Item { low: a.min(b).min(c), high: a.max(b).max(c), id: owners.len() });
                owners.push((number(f), number(t)));
            }
        }
        let slack = faces.iter().flatten().map(|f| f.slack).fold(0.0, f64::max);
        Self { faces, owners, boxes: Boxes::new(items), slack }
    }

    /// Faces that are in it.
    pub fn faces(&self) -> impl Iterator<Item = FaceId> + '_ {
        self.faces.iter().enumerate().filter(|f| f.1.is_some()).map(|f| FaceId::new(f.0))
    }

    /// Places of a face's vertices, and its triangles; empty for one that is not in it.
    pub fn mesh(&self, face: FaceId) -> (&[Point3], &[[u32; 3]]) {
        self.sheet(face).map_or((&[], &[]), |s| (&s.on, &s.triangles))
    }

    /// Distance to the triangles, mm, and how far that may be off the distance to the faces; None of a point that is no number, and
    /// without faces. Much faster than [`ModelIndex::nearest`].
    pub fn roughly(&self, p: Point3) -> Option<(f64, f64)> {
        Some((self.nearest_triangle(p)?.0, self.slack))
    }

    /// The nearest point of the faces; `turned` holds −1 for faces whose outward side is to be the other one (none: +1).
    /// None of a point that is no number, and without faces.
    pub fn nearest(&self, sheets: &Sheets<'_>, p: Point3, turned: &[f64]) -> Option<Nearest> {
        let (_, owner) = self.nearest_triangle(p)?;
        let first = self.solve(sheets, owner, p)?;
        let mut best = first.distance;
        let mut places = vec![first];
        let mut near: Vec<(f64, usize)> = Vec::new();
        self.boxes.each_near(p, best + self.slack + WELD, |id| {
            if let Some(d) = self.triangle_point(id, p).map(|q| q.distance(p)) {
                near.push((d, id));
            }
        });
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (d, id) in near {
            let Some(&(face, _)) = self.owners.get(id) else { continue };
            let Some(sheet) = self.faces.get(face as usize).and_then(Option::as_ref) else { continue };
            if d - sheet.slack > best + WELD || places.len() >= MOST {
                break;
            }
            // Next to where the face was solved for already, the same place would be found again.
            let (Some(at), Some(size)) = (self.triangle_point(id, p), self.size(id)) else { continue };
            let known = |x: &Place| x.face == face && (at.distance(x.seed) <= 2.0 * size || at.distance(x.point) <= 2.0 * size);
            if places.iter().any(known) {
                continue;
            }
            if let Some(place) = self.solve(sheets, id, p) {
                best = best.min(place.distance);
                places.push(place);
            }
        }
        self.told(&places, turned)
    }

    /// The nearest of some places, with the normal of all faces that meet there.
    fn told(&self, places: &[Place], turned: &[f64]) -> Option<Nearest> {
        let best = places.iter().reduce(|a, b| if b.distance < a.distance { b } else { a })?;
        let outward = |x: &Place| x.normal * turned.get(x.face as usize).copied().unwrap_or(1.0);
        let mut normal = outward(best);
        let mut border = false;
        if best.rim.is_some() {
            let meeting: Vec<&Place> = places.iter().filter(|x| x.point.distance(best.point) <= WELD).collect();
            let others = meeting.iter().any(|x| x.face != best.face);
            border = !others;
            let sum = meeting.iter().fold(Vec3::ZERO, |sum, x| sum + outward(x) * x.rim.unwrap_or(core::f64::consts::TAU));
            normal = sum.try_normalize().filter(|_| others).unwrap_or(normal);
        }
        let face = FaceId::new(best.face as usize);
        Some(Nearest { point: best.point, distance: best.distance, normal, border, face: Some(face), uv: Some(best.uv) })
    }

    /// The place of a face nearest to `p` as far as a search from one of its triangles leads.
    fn solve(&self, sheets: &Sheets<'_>, owner: usize, p: Point3) -> Option<Place> {
        let &(face, t) = self.owners.get(owner)?;
        let id = FaceId::new(face as usize);
        let (sheet, surface, domain) = (self.sheet(id)?, &sheets.face(id)?.surface, sheets.domain(id)?);
        let triangle = sheet.triangles.get(t as usize)?;
        let on = nearest_on_triangle(p, sheet.at(triangle));
        let mut seed = Point2::new(0.0, 0.0);
        for (&n, w) in triangle.iter().zip(on.weights) {
            let uv = sheet.uv.get(n as usize).copied().unwrap_or_default();
            seed = Point2::new(seed.u + uv.u * w, seed.v + uv.v * w);
        }
        let start = surface.point(seed.u, seed.v);
        let mut foot = closest_on_surface(surface, p, seed);
        // A search that went astray, or came to no number, gives no more than where it began.
        if foot.distance.is_nan() || foot.distance > start.distance(p) {
            foot = crate::geometry::Foot { uv: seed, point: start, distance: start.distance(p) };
        }
        let normal = |uv: Point2| surface.normal(uv.u, uv.v).map_or(Vec3::ZERO, |n| n * sheet.sign);
        let of_rim = |r: RimFoot| Place {
            face,
            seed: on.point,
            uv: r.uv,
            point: r.point,
            distance: r.point.distance(p),
            normal: normal(r.uv),
            rim: Some(r.angle),
        };
        let mut inside = sheet.rims.is_empty() || sheet.region.contains(foot.uv);
        let close: Vec<&Rim> = sheet.rims.iter().filter(|r| r.at_least(foot.point) <= 0.0).collect();
        if !close.is_empty()
            && let Some(rim) = nearest_on_rims(surface, domain, close, foot.point)
            && rim.point.distance(foot.point) <= rim.sag
        {
            inside = rim.is_inside(surface, foot.point);
            // A search held by the patch's own border ends on it: the place is one of the border.
            if rim.point.distance(foot.point) <= ON_RIM
                && let Some(place) = nearest_on_rims(surface, domain, &sheet.rims, p).map(of_rim)
                && place.distance <= foot.distance + ON_RIM
            {
                return Some(place);
            }
        }
        if !inside {
            return nearest_on_rims(surface, domain, &sheet.rims, p).map(of_rim);
        }
        let found =
            Place { face, seed: on.point, uv: foot.uv, point: foot.point, distance: foot.distance, normal: normal(foot.uv), rim: None };
        found.point.is_finite().then_some(found)
    }

    fn nearest_triangle(&self, p: Point3) -> Option<(f64, usize)> {
        if !p.is_finite() {
            return None;
        }
        let mut best: Option<(f64, usize)> = None;
        self.boxes.nearest(p, f64::INFINITY, |id, square| {
            let Some(q) = self.triangle_point(id, p) else { return square };
            let d = (q - p).length_squared();
            if best.is_none_or(|b| d < b.0 || (d == b.0 && id < b.1)) {
                best = Some((d, id));
            }
            best.map_or(square, |b| b.0)
        });
        best.map(|(d, id)| (d.sqrt(), id))
    }

    fn triangle_point(&self, owner: usize, p: Point3) -> Option<Point3> {
        Some(nearest_on_triangle(p, self.triangle(owner)?).point)
    }

    /// The longest side of a triangle, mm.
    fn size(&self, owner: usize) -> Option<f64> {
        let [a, b, c] = self.triangle(owner)?;
        Some(a.distance(b).max(b.distance(c)).max(c.distance(a)))
    }

    fn triangle(&self, owner: usize) -> Option<[Point3; 3]> {
        let &(face, t) = self.owners.get(owner)?;
        let sheet = self.faces.get(face as usize)?.as_ref()?;
        Some(sheet.at(sheet.triangles.get(t as usize)?))
    }

    fn sheet(&self, face: FaceId) -> Option<&Sheet> {
        self.faces.get(face.index())?.as_ref()
    }
}

impl Sheet {
    fn new(surface: &Surface, domain: &Domain, mesh: &FaceMesh, sign: f64, chord: f64) -> Option<Self> {
        // On the surface itself: the mesh's own vertices lie on shared edges.
        let on: Vec<Point3> = mesh.uv.iter().map(|p| surface.point(p.u, p.v)).collect();
        let at = |n: u32| on.get(n as usize).copied().unwrap_or(Point3::new(f64::NAN, 0.0, 0.0));
        let sound = |t: &[u32; 3]| {
            let [a, b, c] = t.map(at);
            (b - a).cross(c - a).try_normalize().is_some_and(|n| n.is_finite()) && a.is_finite() && b.is_finite() && c.is_finite()
        };
        let triangles: Vec<[u32; 3]> = mesh.triangles.iter().copied().filter(sound).collect();
        let slack = SLACK * mesh.deviation.max(chord);
        let slack = if slack.is_finite() { slack } else { chord };
        (!triangles.is_empty()).then(|| Self {
            region: Region::new(domain),
            rims: Rim::all(surface, domain),
            uv: mesh.uv.clone(),
            on,
            triangles,
            slack,
            sign,
        })
    }

    fn at(&self, t: &[u32; 3]) -> [Point3; 3] {
        t.map(|n| self.on.get(n as usize).copied().unwrap_or_default())
    }
}
