//! Which way faces face: one consistent side for every connected skin.

use super::graph::JoinGraph;
use super::sheets::Sheets;
use super::{Class, Join};
use crate::layout::{Field, outward};
use crate::math::{Arrange, Point3, Vec3};
use crate::model::FaceId;

/// Faces joined to each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Skin {
    /// Its faces, rising.
    pub faces: Vec<FaceId>,
    /// True when it encloses something: no outline, no open join, no stretch of three faces.
    pub closed: bool,
    /// Faces whose normal, as the file states it, is against the rest of the skin; all of them when a closed skin is
    /// inside out. Empty where no orientation suits all joins.
    pub turned: Vec<FaceId>,
    /// True when a closed skin's normals all agree and point inwards.
    pub inside_out: bool,
    /// Joins that no orientation of the skin suits, as on a Möbius strip: indices into the list of joins.
    pub one_sided: Vec<usize>,
}

/// One side for every face.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Orientation {
    /// Connected skins, by their first face. Copies of other faces are in none: they have no joins that would tell.
    pub skins: Vec<Skin>,
    /// +1 where the consistent normal of a face is Su × Sv, −1 where it is opposite; one a face.
    signs: Vec<f64>,
}

impl Orientation {
    /// +1 where the consistent normal of a face is Su × Sv, −1 where it is opposite.
    pub fn sign(&self, face: FaceId) -> f64 {
        self.signs.get(face.index()).copied().unwrap_or(1.0)
    }

    /// The same sides for faces that have changed but keep theirs; `origin` says which each was. Without skins.
    pub(super) fn carried(&self, origin: &[FaceId]) -> Self {
        Self { skins: Vec::new(), signs: origin.iter().map(|f| self.sign(*f)).collect() }
    }
}

/// Orients every skin. Faces that meet keep the shared border on opposite sides of travel: that alone links their
/// orientations, whatever the angle between them. Links are followed from the longest join to the shortest, so that
/// where they contradict each other the short ones give way and are told. A closed skin's normals are turned out,
/// unless another closed skin of the part holds it (then it may be a void); elsewhere the file's own normals decide by
/// area. Copies of other faces take no part, and get the side of their originals. `areas` in mm², one a face.
pub fn orient(sheets: &Sheets<'_>, graph: &JoinGraph, areas: &[f64], field: &Field<'_>) -> Orientation {
    let count = sheets.model.faces.len();
    let mut sets = Sets::new(count);
    let mut links: Vec<(usize, &Join)> = graph.joins.iter().enumerate().filter(|(_, j)| links(j)).collect();
    links.arrange_by(|a, b| b.1.length.total_cmp(&a.1.length).then(a.0.cmp(&b.0)));
    let mut one_sided = Vec::new();
    for &(i, join) in &links {
        let (Some(&a), Some(&b)) = (join.faces.first(), join.faces.last()) else { continue };
        if let Some(same) = graph.run_alike(sheets, i)
            && !sets.link(a.index(), b.index(), !same)
            && !in_a_tip(&links, join, graph.search)
        {
            one_sided.push(i);
        }
    }
    let mut rim = vec![false; count];
    for join in graph.joins.iter().filter(|j| matches!(j.class, Class::Outline | Class::Open | Class::NonManifold)) {
        for f in &join.faces {
            if let Some(r) = rim.get_mut(f.index()) {
                *r = true;
            }
        }
    }
    let mut members: Vec<Vec<FaceId>> = vec![Vec::new(); count];
    let mut along = vec![1.0; count];
    for f in (0..count).filter(|&f| !graph.is_copy(FaceId::new(f))) {
        let (root, same) = sets.root(f);
        if let (Some(list), Some(sign)) = (members.get_mut(root), along.get_mut(f)) {
            list.push(FaceId::new(f));
            *sign = if same { 1.0 } else { -1.0 };
        }
    }
    let mut skins: Vec<Skin> = Vec::new();
    for faces in members.into_iter().filter(|m| !m.is_empty()) {
        // A face without borders to join by (its own could not be used) says nothing of what it would enclose.
        let bare = |f: FaceId| sheets.domain(f).is_none() || field.samples(f).is_empty();
        let open = faces.iter().any(|f| rim.get(f.index()) == Some(&true) || bare(*f));
        let of_skin = |&i: &usize| graph.joins.get(i).and_then(|j| j.faces.first()).is_some_and(|f| faces.binary_search(f).is_ok());
        let one_sided: Vec<usize> = one_sided.iter().copied().filter(of_skin).collect();
        skins.push(Skin { closed: !open && one_sided.is_empty(), faces, turned: Vec::new(), inside_out: false, one_sided });
    }
    skins.arrange_by_key(|s| s.faces.first().copied());
    let boxes: Vec<Option<(Vec3, Vec3)>> = skins.iter().map(|s| s.closed.then(|| bounds(field, &s.faces))).collect();
    let mut signs = vec![1.0; count];
    for i in 0..skins.len() {
        let held = is_held(sheets, &skins, &boxes, i);
        let Some(skin) = skins.get_mut(i) else { continue };
        let own: Vec<f64> = skin.faces.iter().map(|f| along.get(f.index()).copied().unwrap_or(1.0)).collect();
        let out = if skin.closed && !held { outward(field, &skin.faces, &own) } else { None };
        let flip = out.unwrap_or_else(|| by_area(sheets, &skin.faces, &own, areas));
        for (f, sign) in skin.faces.iter().zip(&own) {
            let sign = sign * flip;
            if let Some(s) = signs.get_mut(f.index()) {
                *s = sign;
            }
            if skin.one_sided.is_empty() && stated(sheets, *f) != sign {
                skin.turned.push(*f);
            }
        }
        skin.inside_out = out.is_some() && skin.turned.len() == skin.faces.len();
    }
    // Rising, so that of three copies the third follows the second once that has its side.
    for copy in (0..count).map(FaceId::new) {
        let Some(Some(first)) = graph.twin_of.get(copy.index()).copied() else { continue };
        let side = signs.get(first.index()).copied().unwrap_or(1.0);
        if let Some(s) = signs.get_mut(copy.index()) {
            *s = if run_with(sheets, graph, first, copy) { side } else { -side };
        }
    }
    Orientation { skins, signs }
}

/// True when the Su × Sv of a copy agrees with that of its original.
fn run_with(sheets: &Sheets<'_>, graph: &JoinGraph, first: FaceId, copy: FaceId) -> bool {
    let opposed = graph.overlaps.iter().any(|o| o.faces == [first, copy] && o.opposed);
    opposed != (stated(sheets, first) == stated(sheets, copy))
}

/// True when a join runs within the search distance along a longer one of the same two faces. In the tip of a sharp
/// face both its borders lie closer together than its trims to their neighbours, and a bit of the one pairs up with the
/// neighbour of the other: no orientation can suit that, and none is meant to.
fn in_a_tip(links: &[(usize, &Join)], join: &Join, search: f64) -> bool {
    let longer = links.iter().map(|l| l.1).filter(|l| l.faces == join.faces && l.length > join.length);
    let beside = |l: &Join, p: Point3| l.stations.windows(2).any(|w| distance_to(p, w[0].p, w[1].p) <= search);
    longer.into_iter().any(|l| join.stations.iter().all(|s| beside(l, s.p)))
}

fn distance_to(p: Point3, a: Point3, b: Point3) -> f64 {
    let along = b - a;
    let share = ((p - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
    p.distance(if share.is_finite() { a.lerp(b, share) } else { a })
}

/// Joins over which a surface runs on, smoothly or not.
fn links(join: &Join) -> bool {
    !join.interior && join.faces.len() == 2 && join.class.meets()
}

/// The file's own normal against Su × Sv.
fn stated(sheets: &Sheets<'_>, face: FaceId) -> f64 {
    if sheets.face(face).is_none_or(|f| f.same_sense) { 1.0 } else { -1.0 }
}

/// ±1 to turn `own` by so that the file's normals agree over the larger area; over half of it each, the first face's.
fn by_area(sheets: &Sheets<'_>, faces: &[FaceId], own: &[f64], areas: &[f64]) -> f64 {
    let weigh = |(f, sign): (&FaceId, &f64)| areas.get(f.index()).copied().unwrap_or(0.0) * sign * stated(sheets, *f);
    let sum: f64 = faces.iter().zip(own).map(weigh).sum();
    let total: f64 = faces.iter().filter_map(|f| areas.get(f.index())).sum();
    if sum.abs() > 1e-9 * total {
        return sum.signum();
    }
    faces.first().zip(own.first()).map_or(1.0, |(f, s)| stated(sheets, *f) * s)
}

fn bounds(field: &Field<'_>, faces: &[FaceId]) -> (Vec3, Vec3) {
    let all = faces.iter().flat_map(|f| field.samples(*f)).map(|s| s.point.to_vec());
    all.fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)))
}

/// True when another closed skin of the same part has this one within its box.
fn is_held(sheets: &Sheets<'_>, skins: &[Skin], boxes: &[Option<(Vec3, Vec3)>], i: usize) -> bool {
    let part = |s: &Skin| s.faces.first().and_then(|f| sheets.face(*f)).map(|f| f.part);
    let (Some(Some(own)), Some(skin)) = (boxes.get(i), skins.get(i)) else { return false };
    skins
        .iter()
        .zip(boxes)
        .enumerate()
        .any(|(j, (other, b))| j != i && part(other) == part(skin) && b.is_some_and(|b| b.0.cmplt(own.0).all() && b.1.cmpgt(own.1).all()))
}

/// Faces in sets, each with whether its Su × Sv agrees with that of its set's root.
struct Sets {
    up: Vec<(usize, bool)>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Self { up: (0..count).map(|i| (i, true)).collect() }
    }

    /// The root and whether the two agree; the path is shortened on the way.
    fn root(&mut self, i: usize) -> (usize, bool) {
        let mut path = Vec::new();
        let mut at = i;
        while let Some(&(up, _)) = self.up.get(at).filter(|u| u.0 != at) {
            path.push(at);
            at = up;
        }
        let mut same = true;
        for &n in path.iter().rev() {
            if let Some(u) = self.up.get_mut(n) {
                same = u.1 == same;
                *u = (at, same);
            }
        }
        (at, same)
    }

    /// Links two faces whose Su × Sv agree or not; false when they are linked already and it is not so.
    fn link(&mut self, a: usize, b: usize, same: bool) -> bool {
        let ((ra, sa), (rb, sb)) = (self.root(a), self.root(b));
        let relative = (sa == sb) == same;
        if ra == rb {
            return relative;
        }
        if let Some(u) = self.up.get_mut(ra.max(rb)) {
            *u = (ra.min(rb), relative);
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Sides given to faces beforehand are recovered up to the side of each set, whatever the order of links; and
        /// one link turned round is found exactly where it closes a ring.
        #[test]
        fn links_recover_the_sides_they_were_made_from(
            sides in proptest::collection::vec(any::<bool>(), 2..30),
            picks in proptest::collection::vec((0usize..30, 0usize..30), 1..80),
        ) {
            let n = sides.len();
            let mut sets = Sets::new(n);
            for &(a, b) in &picks {
                let (a, b) = (a % n, b % n);
                prop_assert!(sets.link(a, b, sides[a] == sides[b]));
            }
            for i in 0..n {
                for j in 0..n {
                    let ((ri, si), (rj, sj)) = (sets.root(i), sets.root(j));
                    if ri == rj {
                        prop_assert_eq!(si == sj, sides[i] == sides[j]);
                    }
                }
            }
            let (a, b) = (picks[0].0 % n, picks[0].1 % n);
            prop_assert!(!sets.link(a, b, sides[a] != sides[b]));
        }
    }
}
