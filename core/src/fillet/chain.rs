//! Fillets: blends of edges that run on into each other.

use super::blend::{Blend, BlendKind, blends};
use super::sides::sides;
use super::spine::stations;
use super::station::FilletStation;
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point3, end_to_end, sets};
use crate::model::FaceId;

/// A fillet: blends of edges end to end between two faces, or two rows of faces.
#[derive(Debug, Clone, PartialEq)]
pub struct Fillet {
    /// Its faces from start to end.
    pub faces: Vec<FaceId>,
    /// Sections from start to end; of each the first touching point lies on the same side.
    pub stations: Vec<FilletStation>,
    /// Length of its spine, mm: what all sections stand for.
    pub length: f64,
}

impl Fillet {
    /// The length that a section stands for, mm: half the way to each of its neighbours, and as much beyond the first and the last, as
    /// sections lie in the middle of equal parts.
    pub fn stretch(&self, i: usize) -> f64 {
        stretch(&self.stations, i)
    }
}

fn stretch(stations: &[FilletStation], i: usize) -> f64 {
    let gap = |a: Option<usize>| {
        let a = a?;
        Some(stations.get(a + 1)?.along - stations.get(a)?.along)
    };
    let (before, after) = (gap(i.checked_sub(1)), gap(Some(i)));
    0.5 * (before.or(after).unwrap_or(0.0) + after.or(before).unwrap_or(0.0))
}

/// All fillets and corners of a model.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fillets {
    /// One a face: what it rounds.
    pub blends: Vec<Option<Blend>>,
    /// Fillets by their first face.
    pub chains: Vec<Fillet>,
}

impl Fillets {
    /// The faces at which fillets come together.
    pub fn corners(&self) -> impl Iterator<Item = FaceId> {
        let is_corner = |b: &Option<Blend>| b.as_ref().is_some_and(|b| b.kind == BlendKind::Corner);
        self.blends.iter().enumerate().filter(move |(_, b)| is_corner(b)).map(|(f, _)| FaceId::new(f))
    }
}

/// Finds all blends and measures those of edges along their spines.
pub fn fillets(sheets: &Sheets<'_>, graph: &JoinGraph) -> Fillets {
    let sides = sides(graph, sheets.model.faces.len());
    let blends = blends(sheets, graph, &sides);
    let mut sets: Vec<usize> = (0..blends.len()).collect();
    for (f, blend) in blends.iter().enumerate() {
        for side in sides.get(f).into_iter().flatten().filter(|s| s.smooth && s.other.index() > f) {
            let other = blends.get(side.other.index()).and_then(Option::as_ref);
            // End to end, not side by side.
            let ends = |b: Option<&Blend>| b.is_some_and(|b| b.kind == BlendKind::Edge && !b.rails.contains(&side.join));
            if ends(blend.as_ref()) && ends(other) {
                sets::unite(&mut sets, f, side.other.index());
            }
        }
    }
    let one = |group: Vec<usize>| -> Option<Fillet> {
        let of = |&f: &usize| -> Option<Vec<FilletStation>> {
            let blend = blends.get(f)?.as_ref().filter(|b| b.kind == BlendKind::Edge)?;
            Some(stations(sheets, graph, FaceId::new(f), sides.get(f)?, blend)).filter(|s| !s.is_empty())
        };
        fillet(group.iter().filter_map(of).collect())
    };
    let chains = sets::groups(&mut sets).into_iter().filter_map(one).collect();
    Fillets { blends, chains }
}

/// A fillet of its faces' sections.
fn fillet(faces: Vec<Vec<FilletStation>>) -> Option<Fillet> {
    let mut stations = end_to_end(faces, |s| s.spine);
    let mut last: Option<(Point3, [Point3; 2], f64)> = None;
    for s in &mut stations {
        if let Some((spine, touch, along)) = last {
            s.along = along + spine.distance(s.spine);
            // The same side first as at the section before.
            let apart = |a: usize, b: usize| touch[a].distance(s.touch[b]);
            if apart(0, 1) + apart(1, 0) < apart(0, 0) + apart(1, 1) {
                s.turn_round();
            }
        }
        last = Some((s.spine, s.touch, s.along));
    }
    let mut faces: Vec<FaceId> = stations.iter().map(|s| s.face).collect();
    faces.dedup();
    let length = (0..stations.len()).map(|i| stretch(&stations, i)).sum();
    (!stations.is_empty()).then_some(Fillet { faces, length, stations })
}
