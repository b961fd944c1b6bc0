//! Fillets and the corners where they come together, as `check --json` tells them. Lengths mm, angles degrees.

use super::number::Number;
use super::record::{PointRecord, point};
use crate::fillet::{Fillet, FilletStation};
use crate::measure::Subject;
use serde::Serialize;

/// A fillet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FilletRecord {
    /// Its faces from start to end.
    pub faces: Vec<usize>,
    /// The faces on its two sides, rising.
    pub beside: [Vec<usize>; 2],
    /// Length of its spine.
    pub length: Number,
    /// True where it stands out, seen from the skin's outward side.
    pub convex: bool,
    /// Smallest and largest of the smallest radii of its sections.
    pub radius: [Number; 2],
    /// Where it is tightest.
    pub tightest: PointRecord,
    /// Smallest and largest radius of the circle with equal setbacks; None where there is no theoretical edge.
    pub equal: Option<[Number; 2]>,
    /// Smallest balance.
    pub balance: Option<Number>,
    /// Smallest opening.
    pub opening: Option<Number>,
    /// Orders in which it leads in from either side, the lower of the joins there.
    pub lead_in: [&'static str; 2],
}

/// Fillets, and faces that are corners of fillets.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct FilletsRecord {
    /// Fillets by their first face.
    pub edges: Vec<FilletRecord>,
    /// Faces at which fillets come together, rising.
    pub corners: Vec<usize>,
}

impl FilletsRecord {
    /// The record of a model.
    pub fn new(subject: &Subject<'_>) -> Self {
        let all = subject.fillets();
        let edges = all.chains.iter().filter_map(|f| FilletRecord::new(subject, f)).collect();
        Self { edges, corners: all.corners().map(|f| f.index()).collect() }
    }
}

impl FilletRecord {
    fn new(subject: &Subject<'_>, f: &Fillet) -> Option<Self> {
        let tightest = f.stations.iter().min_by(|a, b| a.radius.total_cmp(&b.radius))?;
        let settings = || f.stations.iter().filter_map(|s| s.setting);
        let beside = [0, 1].map(|k| {
            let mut faces: Vec<usize> = f.stations.iter().filter_map(|s| s.beside.get(k)).map(|id| id.index()).collect();
            faces.sort_unstable();
            faces.dedup();
            faces
        });
        let order = |k: usize| {
            let joins = f.stations.iter().filter_map(|s| subject.graph.joins.get(*s.rails.get(k)?));
            joins.map(|j| j.class.order()).min().map_or("g0", crate::joins::Order::text)
        };
        Some(Self {
            faces: f.faces.iter().map(|id| id.index()).collect(),
            beside,
            length: Number(f.length),
            convex: tightest.convex,
            radius: range(f.stations.iter().map(|s: &FilletStation| s.radius))?,
            tightest: point(tightest.tightest),
            equal: range(settings().map(|s| s.equal)),
            balance: range(settings().map(|s| s.balance())).map(|r| r[0]),
            opening: range(settings().map(|s| s.opening)).map(|r| r[0]),
            lead_in: [order(0), order(1)],
        })
    }
}

/// Least and largest; None of nothing.
fn range(values: impl Iterator<Item = f64>) -> Option<[Number; 2]> {
    values.fold(None, |all, x| Some(all.map_or([Number(x), Number(x)], |[a, b]: [Number; 2]| [Number(a.0.min(x)), Number(b.0.max(x))])))
}
