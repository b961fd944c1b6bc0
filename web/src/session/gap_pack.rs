//! What the Gaps pass shows.

use super::{Session, plain};
use rakelight_core::finding::MeasureId;
use rakelight_core::gap::{Gap, GapStation, LineOffset, line_offset};
use rakelight_core::measure::Subject;
use rakelight_core::review::{ExposedRecord, FlangeRecord, GapRecord, GapsRecord, TrimRecord};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// Measures that colour a gap, in the order of [`Legs`].
const VALUES: [MeasureId; 4] = [MeasureId::GapWidth, MeasureId::GapFlush, MeasureId::GapParallel, MeasureId::GapEdgeRadius];

/// Radius, mm, below which an edge counts as sharp: its reciprocal is finite.
const SHARP: f64 = 1e-3;

/// A gap's record with its middle.
#[derive(Serialize)]
struct PageGap {
    #[serde(flatten)]
    record: GapRecord,
    /// x, y, z of the middle at each station, mm.
    middle: Vec<f64>,
    /// How bad each value is from station to station, the worse of both ends, to be held against `levels`.
    legs: Legs,
}

/// Differences of width and heights without sign, mm; change without sign; reciprocal of the smaller radius, 1/mm.
#[derive(Serialize)]
struct Legs {
    width: Vec<f64>,
    flush: Vec<f64>,
    change: Vec<f64>,
    radius: Vec<f64>,
}

/// Polish, fix and serious.
#[derive(Serialize)]
struct PageLimits {
    width: [Option<f64>; 3],
    flush: [Option<f64>; 3],
    change: [Option<f64>; 3],
    radius: [Option<f64>; 3],
}

/// All of it.
#[derive(Serialize)]
struct Gaps {
    between: Vec<PageGap>,
    exposed: Vec<ExposedRecord>,
    flanges: Vec<FlangeRecord>,
    trims: Vec<TrimRecord>,
    /// Width that is meant, mm.
    nominal: f64,
    limits: PageLimits,
    /// The same for `legs`.
    levels: PageLimits,
}

/// Two joins picked.
#[derive(Deserialize)]
struct Edges {
    first: usize,
    second: usize,
}

/// What lies between them.
#[derive(Serialize)]
struct Between {
    along: Vec<f64>,
    offset: Vec<f64>,
    change: Vec<f64>,
    /// x, y, z on the first and then on the second, mm, for each place.
    ways: Vec<f64>,
}

#[wasm_bindgen]
impl Session {
    /// {between, exposed, flanges, trims} as in `check --json`, gaps with middle and legs; nominal; limits and levels by value.
    pub fn gaps(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject =
            Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo, reference: None };
        let GapsRecord { between, exposed, flanges, trims } = GapsRecord::new(&subject);
        let gaps = subject.gaps();
        let now = &self.options.yardstick;
        let nominal = now.gap_width;
        let middle = |(record, gap): (GapRecord, &Gap)| PageGap {
            record,
            middle: gap.stations.iter().flat_map(|s| s.middle.to_array()).collect(),
            legs: Legs::of(gap, nominal),
        };
        let between = between.into_iter().zip(gaps.iter()).map(middle).collect();
        let limits = VALUES.map(|id| now.limits(id, self.options.zones.usual).map_or([None; 3], |l| [l.polish, l.fix, l.serious]));
        let [width, flush, change, radius] = limits;
        let tight = radius.map(|r| r.map(|r| 1.0 / r.max(SHARP)));
        plain(&Gaps {
            between,
            exposed,
            flanges,
            trims,
            nominal,
            limits: PageLimits { width, flush, change, radius },
            levels: PageLimits { width, flush, change, radius: tight },
        })
    }

    /// {along, offset, change, ways} of two joins, {first, second}.
    pub fn edges(&self, wish: JsValue) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let Edges { first, second } = serde_wasm_bindgen::from_value(wish)?;
        let all = line_offset(&open.prepared.sheets(), &open.graph, first, second);
        let list = |of: fn(&LineOffset) -> f64| all.iter().map(of).collect();
        let ways = all.iter().flat_map(|x| [x.point, x.other]).flat_map(|p| p.to_array()).collect();
        plain(&Between { along: list(|x| x.along), offset: list(|x| x.offset), change: list(|x| x.change), ways })
    }
}

impl Legs {
    fn of(gap: &Gap, nominal: f64) -> Self {
        let legs = |all: Vec<f64>| all.windows(2).map(|w| w[0].max(w[1])).collect();
        let list = |of: &dyn Fn(&GapStation) -> f64| legs(gap.stations.iter().map(of).collect());
        Self {
            width: list(&|s| (s.width - nominal).abs()),
            flush: list(&|s| s.flush.map_or(f64::NAN, f64::abs)),
            change: legs(gap.changes().into_iter().map(f64::abs).collect()),
            radius: list(&|s| 1.0 / s.sides.iter().map(|x| x.radius).fold(f64::INFINITY, f64::min).max(SHARP)),
        }
    }
}
