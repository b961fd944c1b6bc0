//! Which faces of a later revision lie where those of an earlier one lay. Ids and names tell nothing: files are written anew.

use crate::joins::Sheets;
use crate::math::{Arrange, Point3, Vec3};
use crate::model::FaceId;
use crate::reference::ModelIndex;

/// Places of a face that are looked for. Larger: slower; smaller: a face that was cut is told by chance.
const PLACES: usize = 48;

/// Share of a face's places that must lie on another for the two to be the same in part. Smaller: neighbours that meet at its border
/// count; larger: pieces of a face that was cut into many do not.
const SHARE: f64 = 0.08;

/// How far a surface may have moved from one revision to the next and still be the same, mm, and by which angle it may have turned, as a
/// cosine (30°). Larger: what lies beside counts; smaller: what was reworked is gone. Common practice, no source.
pub const MOVED: f64 = 5.0;
const TURNED: f64 = 0.866;

/// The later faces at the place of each earlier one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FaceMatches {
    /// By the earlier face: later faces, the one with most of its places first.
    of: Vec<Vec<FaceId>>,
}

impl FaceMatches {
    /// Of models whose faces are known by their ids: by the earlier face, the later ones at its place.
    pub fn of_ids(of: Vec<Vec<FaceId>>) -> Self {
        Self { of }
    }

    /// Looks for each face of `earlier` in `later`.
    pub fn new(earlier: &ModelIndex, later: &ModelIndex, sheets: &Sheets<'_>) -> Self {
        let mut of = Vec::new();
        for face in earlier.faces() {
            of.resize(face.index().max(of.len()), Vec::new());
            of.push(of_face(earlier, face, later, sheets));
        }
        Self { of }
    }

    /// Later faces at the place of an earlier one; none where it is gone.
    pub fn of(&self, face: FaceId) -> &[FaceId] {
        self.of.get(face.index()).map_or(&[], Vec::as_slice)
    }
}

fn of_face(earlier: &ModelIndex, face: FaceId, later: &ModelIndex, sheets: &Sheets<'_>) -> Vec<FaceId> {
    let places = places(earlier, face);
    let mut all: Vec<(FaceId, usize)> = Vec::new();
    for (p, normal) in &places {
        let near = later.roughly(*p).is_some_and(|(d, off)| d - off <= MOVED);
        let there = if near { later.nearest(sheets, *p, &[]) } else { None };
        let same = there.filter(|n| n.distance <= MOVED && n.normal.dot(*normal).abs() >= TURNED);
        if let Some(id) = same.and_then(|n| n.face) {
            match all.iter_mut().find(|x| x.0 == id) {
                Some(x) => x.1 += 1,
                None => all.push((id, 1)),
            }
        }
    }
    all.retain(|x| x.1 as f64 >= SHARE * places.len() as f64);
    all.arrange_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    all.into_iter().map(|x| x.0).collect()
}

/// The face of a revision on which a place of another one lies still: within 5 mm of it; None where there is none.
pub fn face_at(index: &ModelIndex, sheets: &Sheets<'_>, place: Point3) -> Option<FaceId> {
    index.roughly(place).filter(|(d, off)| d - off <= MOVED)?;
    index.nearest(sheets, place, &[]).filter(|n| n.distance <= MOVED)?.face
}

/// Places spread evenly over a face's area, with normals.
fn places(index: &ModelIndex, face: FaceId) -> Vec<(Point3, Vec3)> {
    let (points, triangles) = index.mesh(face);
    let at = |n: u32| points.get(n as usize).copied().unwrap_or_default();
    let of = |t: &[u32; 3]| {
        let [a, b, c] = t.map(at);
        let normal = (b - a).cross(c - a);
        (Point3::from_vec((a.to_vec() + b.to_vec() + c.to_vec()) / 3.0), normal)
    };
    let all: Vec<(Point3, Vec3)> = triangles.iter().map(of).filter(|x| x.1.length() > 0.0).collect();
    let whole: f64 = all.iter().map(|x| x.1.length()).sum();
    // By area: the middle of each of as many equal parts of it, in the order of the triangles.
    let mut found = Vec::new();
    let mut sum = 0.0;
    for (p, normal) in all {
        sum += normal.length();
        while found.len() < PLACES && (found.len() as f64 + 0.5) * whole <= sum * PLACES as f64 {
            found.push((p, normal.normalize()));
        }
    }
    found
}
