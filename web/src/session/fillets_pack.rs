//! What the Fillets pass shows.

use super::{Session, plain};
use rakelight_core::fillet::{Fillet, FilletStation};
use rakelight_core::math::{Point3, Vec3};
use rakelight_core::measure::Subject;
use rakelight_core::review::{FilletRecord, FilletsRecord};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Share of its length that a fillet's sections must agree in where they look. Larger shows one stretch of a ring in place of all of
/// it; smaller takes a direction that rounding gives.
const ALIKE: f64 = 0.2;

/// A fillet's record with its sections. Lists have one entry a section; null where there is no theoretical edge.
#[derive(Serialize)]
struct PageFillet {
    #[serde(flatten)]
    record: FilletRecord,
    /// Arc length of the spine, mm.
    along: Vec<f64>,
    /// Smallest radius of each section, mm.
    radii: Vec<f64>,
    /// Radius of the circle with equal setbacks, mm.
    equals: Vec<Option<f64>>,
    balances: Vec<Option<f64>>,
    openings: Vec<Option<f64>>,
    /// Setbacks on the first and the second side, mm.
    setbacks: [Vec<Option<f64>>; 2],
    /// Lead-in on either side over the setback there.
    leads: [Vec<Option<f64>>; 2],
    /// x, y, z, mm: the spine; where it touches the faces beside it; the theoretical edge, and where their tangents meet.
    spine: Vec<f64>,
    touch: [Vec<f64>; 2],
    edge: Vec<f64>,
    tangents: Vec<f64>,
    /// Out of the model, on the whole: where the fillet is best seen from.
    toward: [f64; 3],
    /// The sections, end to end, and how many points each has.
    points: Vec<f64>,
    counts: Vec<usize>,
}

/// All of it.
#[derive(Serialize)]
struct Fillets {
    edges: Vec<PageFillet>,
    corners: Vec<usize>,
}

#[wasm_bindgen]
impl Session {
    /// {edges, corners} as in `check --json`, edges with what their sections show.
    pub fn fillets(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject =
            Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo, reference: None };
        let FilletsRecord { edges, corners } = FilletsRecord::new(&subject);
        let all = subject.fillets();
        plain(&Fillets { edges: edges.into_iter().zip(&all.chains).map(|(record, f)| PageFillet::new(record, f)).collect(), corners })
    }
}

impl PageFillet {
    fn new(record: FilletRecord, f: &Fillet) -> Self {
        let setting = |read: &dyn Fn(&FilletStation) -> Option<f64>| f.stations.iter().map(read).collect::<Vec<_>>();
        let flat = |points: &mut dyn Iterator<Item = Point3>| points.flat_map(Point3::to_array).collect::<Vec<f64>>();
        let touch = |k: usize| flat(&mut f.stations.iter().filter_map(|s| s.touch.get(k).copied()));
        let setback = |k: usize| setting(&|s| s.setting.map(|x| x.setbacks[k]));
        let lead = |k: usize| setting(&|s| s.setting.map(|x| s.lead[k] / x.setbacks[k]));
        Self {
            along: f.stations.iter().map(|s| s.along).collect(),
            radii: f.stations.iter().map(|s| s.radius).collect(),
            equals: setting(&|s| s.setting.map(|x| x.equal)),
            balances: setting(&|s| s.setting.map(|x| x.balance())),
            openings: setting(&|s| s.setting.map(|x| x.opening)),
            setbacks: [setback(0), setback(1)],
            leads: [lead(0), lead(1)],
            spine: flat(&mut f.stations.iter().map(|s| s.spine)),
            touch: [touch(0), touch(1)],
            edge: flat(&mut f.stations.iter().filter_map(|s| s.setting.map(|x| x.edge))),
            tangents: flat(&mut f.stations.iter().filter_map(|s| s.tangents)),
            toward: toward(f).to_array(),
            points: flat(&mut f.stations.iter().flat_map(|s| s.line.iter().copied())),
            counts: f.stations.iter().map(|s| s.line.len()).collect(),
            record,
        }
    }
}

/// The direction from the chords of a fillet's sections to their middles, on the outside of the bend, turned round on its inside: the
/// mean over its sections, or that of the middle one where they look all ways, as round a rod.
fn toward(f: &Fillet) -> Vec3 {
    let out = |s: &FilletStation| {
        let middle = s.line.get(s.line.len() / 2).copied().unwrap_or(s.spine);
        let way = (middle - s.spine).normalize_or_zero();
        if s.convex { way } else { -way }
    };
    let weighed = f.stations.windows(2).map(|pair| (out(&pair[0]) + out(&pair[1])) * (pair[1].along - pair[0].along) / 2.0);
    let sum: Vec3 = weighed.sum();
    let length = f.stations.last().map_or(0.0, |s| s.along);
    if sum.length() > ALIKE * length { sum.normalize_or_zero() } else { f.stations.get(f.stations.len() / 2).map_or(Vec3::ZERO, out) }
}
