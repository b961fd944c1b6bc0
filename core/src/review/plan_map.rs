//! The patch graph as a small map: a disc a face, seen along the direction in which the model is thinnest, and a link a pair of faces
//! that meet.

use crate::joins::{Class, Join};
use crate::math::{Arrange, Point3, Vec2, Vec3, grouped, real};
use crate::measure::{Subject, middle};
use serde::Serialize;

/// Part of the map that all discs would cover. Larger: discs hide links; smaller: areas cannot be compared.
const COVERED: f64 = 0.2;
/// Least and most radius of a disc, of the map's longer side.
const RADIUS: (f64, f64) = (0.011, 0.07);
/// Gap that is kept between discs, of the map's longer side.
const GAP: f64 = 0.008;
/// Rounds of pushing discs apart. More: slower; fewer: discs overlap where many faces lie close together.
const ROUNDS: usize = 60;
/// Turn from one disc to the next when discs lie on one point: the golden angle, by which no two ways agree.
const GOLDEN: f64 = 2.399_963_229_728_653;

/// A face on the map.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlanNode {
    /// Its id.
    pub face: usize,
    /// Place from the left, 0 to the map's width.
    pub x: f64,
    /// Place from the top, 0 to the map's height.
    pub y: f64,
    /// Radius; the disc's area goes by the face's.
    pub radius: f64,
}

/// Two faces that meet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanLink {
    /// The faces, rising.
    pub faces: [usize; 2],
    /// Their joins, rising.
    pub joins: Vec<usize>,
    /// What most of their length is.
    pub class: &'static str,
}

/// The map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanMap {
    /// Width and height; the longer one is 1.
    pub size: [f64; 2],
    /// The direction it is seen along: `x`, `y` or `z`.
    pub along: &'static str,
    /// A disc a face, in their order; copies of faces and faces without a boundary are left out.
    pub nodes: Vec<PlanNode>,
    /// By faces.
    pub links: Vec<PlanLink>,
}

/// The map of a model.
pub fn plan_map(subject: &Subject<'_>) -> PlanMap {
    let faces = subject.sheets.model.faces().filter(|(id, _)| !subject.graph.is_copy(*id));
    let centres: Vec<(usize, Point3)> = faces.filter_map(|(id, _)| Some((id.index(), middle(subject, id)?.point))).collect();
    let stations = subject.graph.joins.iter().flat_map(|j| &j.stations).map(|s| s.p);
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for p in stations.chain(centres.iter().map(|c| c.1)).filter(|p| p.is_finite()) {
        (low, high) = (low.min(p.to_vec()), high.max(p.to_vec()));
    }
    let links = links(subject);
    if centres.is_empty() || low.x > high.x {
        return PlanMap { size: [1.0, 1.0], along: "z", nodes: Vec::new(), links };
    }
    let extent = high - low;
    let (along, right, up) = view(extent);
    let scale = 1.0 / extent.dot(right).max(extent.dot(up)).max(f64::MIN_POSITIVE);
    let flat = |p: Point3| Vec2::new((p.to_vec() - low).dot(right) * scale, (high - p.to_vec()).dot(up) * scale);
    let area = |face: usize| subject.areas.get(face).copied().filter(|a| a.is_finite()).unwrap_or(0.0).max(0.0);
    let sum: f64 = centres.iter().map(|c| area(c.0)).sum();
    let room = COVERED * (extent.dot(right) * scale).max(0.3) * (extent.dot(up) * scale).max(0.3);
    // Discs that cannot all have the least radius are smaller.
    let least = RADIUS.0.min((0.5 * room / centres.len() as f64).sqrt());
    let radius = |face: usize| (room * area(face) / sum.max(f64::MIN_POSITIVE) / real::PI).sqrt().clamp(least, RADIUS.1);
    let mut discs: Vec<Disc> = centres.iter().map(|&(face, p)| Disc { face, at: flat(p), radius: radius(face) }).collect();
    push_apart(&mut discs);
    let (size, nodes) = fitted(&discs);
    PlanMap { size, along, nodes, links }
}

/// The direction of least extent, and what is to the right and up seen along it.
fn view(extent: Vec3) -> (&'static str, Vec3, Vec3) {
    if extent.z <= extent.x && extent.z <= extent.y {
        ("z", Vec3::X, Vec3::Y)
    } else if extent.y <= extent.x {
        ("y", Vec3::X, Vec3::Z)
    } else {
        ("x", Vec3::Y, Vec3::Z)
    }
}

#[derive(Debug, Clone, Copy)]
struct Disc {
    face: usize,
    at: Vec2,
    radius: f64,
}

/// Pushes discs that overlap apart by halves, round after round; swept along x so that far ones are never compared.
fn push_apart(discs: &mut [Disc]) {
    let widest = discs.iter().map(|d| d.radius).fold(0.0, f64::max);
    let mut order: Vec<usize> = (0..discs.len()).collect();
    for _ in 0..ROUNDS {
        let x = |i: usize| discs.get(i).map_or(0.0, |d| d.at.x);
        order.arrange_by(|&i, &j| x(i).total_cmp(&x(j)).then(i.cmp(&j)));
        let mut moves = vec![Vec2::ZERO; discs.len()];
        let mut still = true;
        for (n, &i) in order.iter().enumerate() {
            let Some(a) = discs.get(i) else { continue };
            let reach = a.radius + widest + GAP;
            for &j in order.iter().skip(n + 1).take_while(|&&j| x(j) - a.at.x < reach) {
                let Some(b) = discs.get(j) else { continue };
                let (between, wanted) = (b.at - a.at, a.radius + b.radius + GAP);
                let distance = between.length();
                if distance >= wanted {
                    continue;
                }
                still = false;
                let way = between.try_normalize().unwrap_or_else(|| {
                    let (sin, cos) = real::sin_cos(GOLDEN * j as f64);
                    Vec2::new(cos, sin)
                });
                let step = way * (0.5 * (wanted - distance));
                [(i, -step), (j, step)].into_iter().for_each(|(k, by)| moves.iter_mut().skip(k).take(1).for_each(|m| *m += by));
            }
        }
        if still {
            return;
        }
        discs.iter_mut().zip(&moves).for_each(|(d, by)| d.at += *by);
    }
}

/// The discs in a box with its corner at 0 and its longer side 1.
fn fitted(discs: &[Disc]) -> ([f64; 2], Vec<PlanNode>) {
    let (mut low, mut high) = (Vec2::INFINITY, Vec2::NEG_INFINITY);
    for d in discs {
        (low, high) = (low.min(d.at - Vec2::splat(d.radius)), high.max(d.at + Vec2::splat(d.radius)));
    }
    let scale = 1.0 / (high - low).max_element().max(f64::MIN_POSITIVE);
    let node = |d: &Disc| {
        let at = (d.at - low) * scale;
        PlanNode { face: d.face, x: at.x, y: at.y, radius: d.radius * scale }
    };
    let size = (high - low) * scale;
    ([size.x, size.y], discs.iter().map(node).collect())
}

/// Faces that meet or lie side by side at an open join.
fn links(subject: &Subject<'_>) -> Vec<PlanLink> {
    let mut all: Vec<([usize; 2], (usize, &Join))> = Vec::new();
    for (i, join) in subject.graph.joins.iter().enumerate().filter(|(_, j)| !j.interior) {
        if let &[a, b] = join.faces.as_slice()
            && a != b
        {
            all.push(([a.index().min(b.index()), a.index().max(b.index())], (i, join)));
        }
    }
    let link = |(faces, joins): ([usize; 2], Vec<(usize, &Join)>)| {
        let by_class = grouped(joins.iter().map(|(_, j)| (j.class, j.length)));
        let lengths = by_class.into_iter().map(|(class, lengths)| (class, lengths.iter().sum::<f64>()));
        let most = lengths.reduce(|best, one| if one.1 > best.1 { one } else { best });
        PlanLink { faces, joins: joins.iter().map(|j| j.0).collect(), class: most.map_or(Class::Outline, |m| m.0).text() }
    };
    grouped(all).into_iter().map(link).collect()
}

#[cfg(test)]
mod tests {
    use super::{Disc, GAP, fitted, push_apart, view};
    use crate::math::{Vec2, Vec3};
    use proptest::prelude::*;

    proptest! {
        /// However discs lie, on one point too, they end beside each other and in the box.
        #[test]
        fn discs_are_pushed_apart_and_fitted(places in proptest::collection::vec((0u8..6, 0u8..6, 0.01f64..0.04), 1..24)) {
            let mut discs: Vec<Disc> = places.iter().enumerate()
                .map(|(face, &(x, y, radius))| Disc { face, at: Vec2::new(f64::from(x) / 6.0, f64::from(y) / 6.0), radius }).collect();
            push_apart(&mut discs);
            for (i, a) in discs.iter().enumerate() {
                for b in discs.iter().skip(i + 1) {
                    prop_assert!(a.at.distance(b.at) > a.radius + b.radius - 0.5 * GAP, "{a:?} {b:?}");
                }
            }
            let (size, nodes) = fitted(&discs);
            prop_assert!((size[0].max(size[1]) - 1.0).abs() < 1e-12);
            let fits = |n: &super::PlanNode| n.x - n.radius > -1e-9 && n.x + n.radius < size[0] + 1e-9 && n.y - n.radius > -1e-9 && n.y + n.radius < size[1] + 1e-9;
            prop_assert!(nodes.iter().all(fits));
        }
    }

    #[test]
    fn discs_that_have_room_stay() {
        let mut discs = [Disc { face: 0, at: Vec2::ZERO, radius: 0.1 }, Disc { face: 1, at: Vec2::new(0.9, 0.3), radius: 0.1 }];
        push_apart(&mut discs);
        assert_eq!((discs[0].at, discs[1].at), (Vec2::ZERO, Vec2::new(0.9, 0.3)));
    }

    #[test]
    fn the_map_looks_along_the_thinnest_way() {
        assert_eq!(view(Vec3::new(3.0, 2.0, 1.0)).0, "z");
        assert_eq!(view(Vec3::new(3.0, 1.0, 2.0)).0, "y");
        assert_eq!(view(Vec3::new(1.0, 3.0, 2.0)).0, "x");
        assert_eq!(view(Vec3::ONE).0, "z");
    }
}
