//! How a stripe wavers beside the same stripe of a fair surface: what a ripple does to one rig's lamps.

use super::extrema::{Extremum, extrema};
use super::twins::Twin;

/// The largest wave of a stripe edge about its twin on the reference. It depends on the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wiggle {
    /// Half its height from crest to trough on the surface, mm, between three neighbouring extrema.
    pub amplitude: f64,
    /// From the first to the third of them along the edge, mm. Rarely two waves: a faint extremum between them may have been taken
    /// for noise. The ripple itself has the wavelength that findings tell.
    pub wavelength: f64,
    /// Indices of the places next to the three.
    pub at: [usize; 3],
}

/// Share of an edge's whole swing below which its extrema are taken for noise. Larger: a faint wave beside a strong one is lost;
/// smaller: strong ones are cut in two by noise.
const NOISE: f64 = 0.2;

/// The largest wave among the places along an edge ([`super::twins()`]); a wave needs six of them. Waves lower than `least` (mm, from
/// crest to trough) are none.
pub fn wiggle(line: &[Twin], least: f64) -> Option<Wiggle> {
    let run: Vec<(f64, f64)> = line.iter().map(|t| (t.own.along, t.across)).collect();
    let (low, high) = run.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s.1), h.max(s.1)));
    if high - low <= least {
        return None;
    }
    let found = extrema(&run, least.max(NOISE * (high - low)));
    let height = |w: &[Extremum]| 0.5 * (w[1].value - 0.5 * (w[0].value + w[2].value)).abs();
    let wave = found.windows(3).max_by(|x, y| height(x).total_cmp(&height(y)))?;
    let near = |x: f64| run.partition_point(|s| s.0 < x).min(run.len() - 1);
    Some(Wiggle {
        amplitude: height(wave),
        wavelength: wave[2].at - wave[0].at,
        at: [near(wave[0].at), near(wave[1].at), near(wave[2].at)],
    })
}
