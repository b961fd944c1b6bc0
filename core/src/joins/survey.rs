//! Laying stations along a join and summing its measures up.

use super::edge_share::{EdgeShare, edge_shares};
use super::join::{Peak, Station, Summaries, Summary};
use super::peak::refine;
use super::sheets::Sheets;
use super::track::Track;
use super::{Floors, Measures};
use crate::math::{Point3, Vec3, real};

/// A join measured: its stations and sums, not yet judged.
#[derive(Debug, Clone)]
pub struct Survey {
    /// Stations, rising arc length.
    pub stations: Vec<Station>,
    /// Arc length, mm.
    pub length: f64,
    /// Point half way.
    pub mid: Point3,
    /// How much of each edge it takes up.
    pub edges: Vec<EdgeShare>,
    /// The measures.
    pub summaries: Summaries,
}

/// Least number of intervals between stations of a whole join.
const INTERVALS: usize = 16;
/// Spacing below which stations need not be closer for length alone, mm.
const SPACING: f64 = 2.0;
/// Most intervals asked for by length alone.
const BY_LENGTH: f64 = 256.0;
/// Most stations of a join, however fast its values change. Larger: slower; smaller: narrow peaks between stations.
const MOST: usize = 600;
/// Part of a measure's range over the join that it may change by between neighbouring stations.
const CHANGE: f64 = 0.125;
/// Times an interval may be halved because values change: 2⁵ finer than the spacing asked for.
const HALVINGS: u32 = 5;
/// Relative precision of refined maxima.
const PRECISION: f64 = 1e-6;
/// Peaks lower than this share of the highest are not refined: they cannot become the maximum.
const LOWER_PEAK: f64 = 0.8;
/// Values below these are rounding, not worth refining: mm, deg, 1/mm, shares, 1/mm².
const NOISE: [f64; 6] = [1e-7, 1e-6, 1e-10, 1e-6, 1e-12, 1e-6];

/// A station with its place: index of the track and x on it.
#[derive(Debug, Clone, Copy)]
struct Stop {
    track: usize,
    x: f64,
    station: Station,
    /// Unit direction of the join; zero where unknown.
    direction: Vec3,
    depth: u32,
}

/// The measures that are summed, in the order of [`NOISE`]; relative ones count only where the absolute one does.
fn values(m: &Measures, floors: &Floors) -> [Option<f64>; 6] {
    let counted = |absolute: Option<f64>, floor: f64, share: Option<f64>| match (absolute, share) {
        (Some(a), Some(s)) => Some(if a > floor { s } else { 0.0 }),
        _ => None,
    };
    let (k, s) = (m.curvature_jump(), m.slope_jump());
    [Some(m.gap), m.angle, k, counted(k, floors.curvature, m.curvature_share()), s, counted(s, floors.slope, m.slope_share())]
}

/// Surveys the tracks, end to end. None when they have no length or a track belongs to another model.
pub fn survey(sheets: &Sheets<'_>, tracks: &[Track], floors: &Floors) -> Option<Survey> {
    let mut stops = lay(sheets, tracks)?;
    number(&mut stops);
    let length = stops.last()?.station.along;
    if !(length.is_finite() && length > 0.0) {
        return None;
    }
    let (mid, at_mid) = half_way(sheets, tracks, &stops, length)?;
    let alone = tracks.iter().all(|t| matches!(t, Track::Alone { .. }));
    let summaries = if alone { Summaries::default() } else { sums(sheets, tracks, &stops, &at_mid, floors) };
    let stations = stops.into_iter().map(|s| s.station).collect();
    Some(Survey { stations, length, mid, edges: edge_shares(sheets, tracks), summaries })
}

fn stop(sheets: &Sheets<'_>, tracks: &[Track], track: usize, x: f64, depth: u32) -> Option<Stop> {
    let m = tracks.get(track)?.at(sheets, x)?;
    let station = Station { along: 0.0, p: m.p(), q: m.q(), measures: m.measures() };
    station.p.is_finite().then(|| Stop { track, x, station, direction: m.a.along.try_normalize().unwrap_or(Vec3::ZERO), depth })
}

/// Stops on all tracks: evenly between breaks, then halved where they are too far apart or values change too fast.
fn lay(sheets: &Sheets<'_>, tracks: &[Track]) -> Option<Vec<Stop>> {
    let rough: Vec<f64> = tracks
        .iter()
        .map(|t| {
            let points: Vec<Point3> = (0..=8).filter_map(|i| t.point(sheets, f64::from(i) / 8.0)).collect();
            points.windows(2).map(|w| w[0].distance(w[1])).sum()
        })
        .collect();
    let total: f64 = rough.iter().sum();
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    let alone = tracks.iter().all(|t| matches!(t, Track::Alone { .. }));
    let spacing = SPACING.max(total / BY_LENGTH) * if alone { 4.0 } else { 1.0 };
    let mut stops: Vec<Stop> = Vec::new();
    for (i, (track, &length)) in tracks.iter().zip(&rough).enumerate() {
        let intervals = (length / spacing).ceil().max((length / total * INTERVALS as f64).ceil()).clamp(1.0, MOST as f64);
        let mut ends = vec![0.0];
        ends.extend(track.breaks(sheets));
        ends.push(1.0);
        for w in ends.windows(2) {
            let n = (intervals * (w[1] - w[0])).ceil().max(1.0) as usize;
            for k in 0..n {
                stops.push(stop(sheets, tracks, i, w[0] + (w[1] - w[0]) * (k as f64 / n as f64), HALVINGS)?);
            }
        }
        stops.push(stop(sheets, tracks, i, 1.0, HALVINGS)?);
    }
    halve(sheets, tracks, stops, spacing, alone)
}

fn halve(sheets: &Sheets<'_>, tracks: &[Track], stops: Vec<Stop>, spacing: f64, alone: bool) -> Option<Vec<Stop>> {
    let free = Floors { curvature: 0.0, slope: 0.0 };
    let mut range = [(f64::INFINITY, f64::NEG_INFINITY); 6];
    for s in &stops {
        for (r, v) in range.iter_mut().zip(values(&s.station.measures, &free)) {
            if let Some(v) = v.filter(|v| v.is_finite()) {
                *r = (r.0.min(v), r.1.max(v));
            }
        }
    }
    let rough = |a: &Stop, b: &Stop| {
        let (va, vb) = (values(&a.station.measures, &free), values(&b.station.measures, &free));
        (0..6).any(|i| match (va[i], vb[i]) {
            (Some(x), Some(y)) => {
                (x - y).abs() > CHANGE * (range[i].1 - range[i].0)
                    && range[i].1 > 100.0 * NOISE[i]
                    && range[i].1 - range[i].0 > 0.01 * range[i].1
            }
            _ => false,
        })
    };
    let mut out: Vec<Stop> = Vec::with_capacity(stops.len());
    let mut ahead: Vec<Stop> = stops.into_iter().rev().collect();
    out.push(ahead.pop()?);
    while let (Some(&here), Some(&next)) = (out.last(), ahead.last()) {
        let depth = next.depth.min(if here.track == next.track { next.depth } else { 0 });
        let room = out.len() + ahead.len() < MOST;
        let far = here.station.p.distance(next.station.p) > 1.001 * spacing;
        if depth > 0 && room && (far || (!alone && rough(&here, &next))) {
            let middle = stop(sheets, tracks, next.track, 0.5 * (here.x + next.x), depth - 1)?;
            if let Some(n) = ahead.last_mut() {
                n.depth = depth - 1;
            }
            ahead.push(middle);
        } else {
            out.push(next);
            ahead.pop();
        }
    }
    Some(out)
}

/// Length of the arc between two stops: the chord times (θ/2)/sin(θ/2) of the turn θ between the tangents, exact on
/// circles, of fourth order elsewhere.
fn arc(a: &Stop, b: &Stop) -> f64 {
    let chord = a.station.p.distance(b.station.p);
    if a.direction == Vec3::ZERO || b.direction == Vec3::ZERO {
        return chord;
    }
    let turn = real::angle_between(a.direction, b.direction);
    let half = 0.5 * turn.min(real::PI - turn);
    if half > 1e-4 { chord * half / real::sin(half) } else { chord }
}

fn number(stops: &mut [Stop]) {
    let mut along = 0.0;
    for i in 1..stops.len() {
        let (before, rest) = stops.split_at_mut(i);
        if let (Some(a), Some(b)) = (before.last(), rest.first_mut()) {
            along += if a.track == b.track { arc(a, b) } else { 0.0 };
            b.station.along = along;
        }
    }
}

/// The point half way by arc length and its measures.
fn half_way(sheets: &Sheets<'_>, tracks: &[Track], stops: &[Stop], length: f64) -> Option<(Point3, Measures)> {
    let half = 0.5 * length;
    let i = stops.partition_point(|s| s.station.along < half).clamp(1, stops.len() - 1);
    let (a, b) = (stops.get(i - 1)?, stops.get(i)?);
    let (mut low, mut high) = (a.x, b.x);
    let mut x = a.x + (b.x - a.x) * ((half - a.station.along) / (b.station.along - a.station.along)).clamp(0.0, 1.0);
    let mut here = stop(sheets, tracks, b.track, x, 0)?;
    for _ in 0..12 {
        let off = a.station.along + arc(a, &here) - half;
        if off.abs() <= 1e-9 * length {
            break;
        }
        if off > 0.0 {
            high = x
        } else {
            low = x
        }
        let newton = x - off * (b.x - a.x) / (b.station.along - a.station.along);
        x = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        here = stop(sheets, tracks, b.track, x, 0)?;
    }
    Some((here.station.p, here.station.measures))
}

fn sums(sheets: &Sheets<'_>, tracks: &[Track], stops: &[Stop], at_mid: &Measures, floors: &Floors) -> Summaries {
    let rows: Vec<[Option<f64>; 6]> = stops.iter().map(|s| values(&s.station.measures, floors)).collect();
    let mid = values(at_mid, floors);
    let sum = |i: usize| {
        Some(Summary {
            max: largest(sheets, tracks, stops, &rows, i, floors)?,
            mean: mean(stops, &rows, i)?,
            mid: mid.get(i).copied().flatten(),
        })
    };
    Summaries {
        gap: sum(0),
        angle: sum(1),
        curvature: sum(2),
        curvature_share: largest(sheets, tracks, stops, &rows, 3, floors),
        slope: sum(4),
        slope_share: largest(sheets, tracks, stops, &rows, 5, floors),
    }
}

/// Mean by arc length over the intervals at both ends of which the measure applies; of the stations where there is
/// no such interval.
fn mean(stops: &[Stop], rows: &[[Option<f64>; 6]], i: usize) -> Option<f64> {
    let (mut sum, mut length) = (0.0, 0.0);
    for (s, r) in stops.windows(2).zip(rows.windows(2)) {
        if let (Some(x), Some(y)) = (r[0][i], r[1][i]) {
            let l = s[1].station.along - s[0].station.along;
            sum += 0.5 * (x + y) * l;
            length += l;
        }
    }
    if length > 0.0 {
        return Some(sum / length);
    }
    let known: Vec<f64> = rows.iter().filter_map(|r| r[i]).collect();
    (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
}

/// The maximum of measure `i`, refined between the stations round each high one.
fn largest(sheets: &Sheets<'_>, tracks: &[Track], stops: &[Stop], rows: &[[Option<f64>; 6]], i: usize, floors: &Floors) -> Option<Peak> {
    let at = |n: usize| rows.get(n).and_then(|r| r[i]).unwrap_or(f64::NEG_INFINITY);
    let top = (0..rows.len()).filter(|&n| at(n).is_finite()).fold(None::<usize>, |best, n| match best {
        Some(b) if at(b) >= at(n) => best,
        _ => Some(n),
    })?;
    let peak = |s: &Stop, value: f64| Peak { value, point: s.station.p, along: s.station.along };
    let mut best = peak(stops.get(top)?, at(top));
    let value = best.value;
    if value <= NOISE[i] {
        return Some(best);
    }
    let highs = (0..rows.len()).filter(|&n| {
        let (before, after) = (n.checked_sub(1).map_or(f64::NEG_INFINITY, at), at(n + 1));
        at(n) >= LOWER_PEAK * value && at(n) >= before && at(n) >= after && at(n) > before.min(after) + PRECISION * value
    });
    for n in highs.take(3).collect::<Vec<_>>() {
        let Some(here) = stops.get(n) else { continue };
        let same = |m: Option<usize>| m.and_then(|m| stops.get(m)).filter(|s| s.track == here.track).map_or(here.x, |s| s.x);
        let (before, after) = (same(n.checked_sub(1)), same(Some(n + 1)));
        let (low, high) = (before.min(after), before.max(after));
        if high - low <= 0.0 {
            continue;
        }
        let measured = |x: f64| values(&tracks.get(here.track)?.at(sheets, x)?.measures(), floors)[i];
        let (x, found) = refine(low, high, (here.x, at(n)), PRECISION, measured);
        if found > best.value
            && let Some(s) = stop(sheets, tracks, here.track, x, 0)
        {
            let along = here.station.along + arc(here, &s) * if x < here.x { -1.0 } else { 1.0 };
            best = Peak { value: found, point: s.station.p, along };
        }
    }
    Some(best)
}
