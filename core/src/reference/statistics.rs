//! Distances over an area, summed up.

use super::distance::{Apart, Extreme, FaceDistances};
use crate::math::quantiles;
use crate::model::FaceId;

/// Bars of a histogram. Larger: bars of a few samples; smaller: the shape is lost.
const BARS: usize = 40;

/// A bar of a histogram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// Distances from here, mm.
    pub from: f64,
    /// Up to here.
    pub to: f64,
    /// Share of the area, 0 to 1.
    pub share: f64,
}

/// How far highlights differ: angles between the tangent planes of both, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    /// Root of the mean square by area.
    pub rms: f64,
    /// The greatest, its face and place.
    pub most: (FaceId, Extreme),
}

/// What all distances come to, by area.
#[derive(Debug, Clone, PartialEq)]
pub struct Statistics {
    /// Area held against the reference, mm².
    pub area: f64,
    /// Mean of the signed distances, mm.
    pub mean: f64,
    /// Root of the mean of their squares, mm.
    pub rms: f64,
    /// The least distance and its face.
    pub least: (FaceId, Extreme),
    /// The greatest.
    pub most: (FaceId, Extreme),
    /// Distances below which 0, 1, … 100 % of the area lie, mm; ends are the samples', not the extremes.
    pub quantiles: Vec<f64>,
    /// Bars of equal width over all distances.
    pub bins: Vec<Bin>,
    /// How far highlights differ; None of a mesh.
    pub tilt: Option<Tilt>,
    /// Area farther from the reference than it is near, mm².
    pub far: f64,
    /// Area beside the reference's border, mm².
    pub beside: f64,
}

impl Statistics {
    /// Of some faces; None where none has a place over the reference.
    pub fn new(faces: &[FaceDistances]) -> Option<Self> {
        let all = || faces.iter().flat_map(|f| &f.samples);
        let area: f64 = all().map(|s| s.area).sum();
        let ends = |of: fn(&FaceDistances) -> Option<Extreme>, better: fn(f64, f64) -> bool| {
            let found = faces.iter().filter_map(|f| Some((f.face, of(f)?)));
            found.reduce(|a, b| if better(b.1.value, a.1.value) { b } else { a })
        };
        let (least, most) = (ends(|f| f.least, |x, y| x < y)?, ends(|f| f.most, |x, y| x > y)?);
        let mean = all().map(|s| s.value * s.area).sum::<f64>() / area;
        // A sample's values are spread evenly: their squares add a third of their half range's.
        let square = all().map(|s| (s.value * s.value + s.spread * s.spread / 3.0) * s.area).sum::<f64>() / area;
        let shares: Vec<f64> = (0..=100).map(|i| f64::from(i) / 100.0).collect();
        let statistics = Self {
            area,
            mean,
            rms: square.sqrt(),
            least,
            most,
            quantiles: quantiles(all().map(|s| (s.value, s.area)), &shares),
            bins: bins(faces, area, least.1.value, most.1.value),
            tilt: tilted(faces),
            far: faces.iter().map(|f| f.far).sum(),
            beside: faces.iter().map(|f| f.beside).sum(),
        };
        (area > 0.0 && statistics.rms.is_finite()).then_some(statistics)
    }

    /// Share of the area whose distance is at most `limit`, mm, either way.
    pub fn within(faces: &[FaceDistances], limit: f64) -> f64 {
        let all = || faces.iter().flat_map(|f| &f.samples);
        let area: f64 = all().map(|s| s.area).sum();
        if area > 0.0 { all().map(|s| s.area * part(s, -limit, limit)).sum::<f64>() / area } else { 0.0 }
    }
}

fn tilted(faces: &[FaceDistances]) -> Option<Tilt> {
    let all = || faces.iter().flat_map(|f| &f.samples).filter_map(|s| Some((s.tilt?, s.area)));
    let area: f64 = all().map(|s| s.1).sum();
    let most = faces.iter().filter_map(|f| Some((f.face, f.tilted?))).reduce(|a, b| if b.1.value > a.1.value { b } else { a })?;
    let rms = (all().map(|(t, a)| t * t * a).sum::<f64>() / area).sqrt();
    rms.is_finite().then_some(Tilt { rms, most })
}

/// Part of a sample's values between two.
pub(super) fn part(s: &Apart, from: f64, to: f64) -> f64 {
    if s.spread <= 1e-12 * (1.0 + s.value.abs()) {
        return if s.value >= from && s.value <= to { 1.0 } else { 0.0 };
    }
    let (low, high) = (s.value - s.spread, s.value + s.spread);
    ((high.min(to) - low.max(from)) / (high - low)).clamp(0.0, 1.0)
}

fn bins(faces: &[FaceDistances], area: f64, low: f64, high: f64) -> Vec<Bin> {
    let width = (high - low) / BARS as f64;
    // One distance all over: one bar.
    if width <= 1e-12 * (1.0 + low.abs().max(high.abs())) {
        return vec![Bin { from: low, to: high, share: 1.0 }];
    }
    let mut shares = vec![0.0; BARS];
    for s in faces.iter().flat_map(|f| &f.samples) {
        let bar = |x: f64| ((x - low) / width).floor().clamp(0.0, (BARS - 1) as f64) as usize;
        let (first, last) = (bar(s.value - s.spread), bar(s.value + s.spread));
        for (i, share) in shares.iter_mut().enumerate().take(last + 1).skip(first) {
            // Beyond the outermost bars nothing is lost.
            let from = if i == 0 { f64::NEG_INFINITY } else { low + width * i as f64 };
            let to = if i + 1 == BARS { f64::INFINITY } else { low + width * (i + 1) as f64 };
            let own = if first == last { 1.0 } else { part(s, from, to) };
            *share += own * s.area / area;
        }
    }
    shares.into_iter().enumerate().map(|(i, share)| Bin { from: low + width * i as f64, to: low + width * (i + 1) as f64, share }).collect()
}
