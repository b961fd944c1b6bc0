//! Waves of a face about its fair reference: what makes stripes wiggle, seen without a lamp.

use super::extrema::extrema;
use crate::geometry::{Domain, FairReference, Region, Surface};
use crate::math::{Interval, Point2, Point3, Vec3, real};

/// The steepest wave on a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ripple {
    /// Half its height from crest to trough, mm, between three neighbouring extrema, so that a slope below it does not count.
    pub amplitude: f64,
    /// From crest to crest, square to the crests, mm.
    pub wavelength: f64,
    /// Largest slope against the fair reference between them, degrees: 2πa/λ of a cosine.
    pub tilt: f64,
    /// Where that is.
    pub point: Point3,
    /// There, in the face's parameters.
    pub uv: Point2,
    /// Unit tangent vector across the crests there.
    pub across: Vec3,
    /// Length of the line on which waves as strong as half of it follow one another, mm.
    pub extent: f64,
}

/// Lines each way. Larger: slower; smaller: a wave narrower than two lines is missed, or measured beside its crest.
const LINES: usize = 25;

/// Samples along a line. A wave needs six of them. Larger: slower; smaller: short waves are missed.
const SAMPLES: usize = 151;

/// Least height from crest to trough, mm. Larger: faint waves go unseen; smaller: what a single patch leaves of a
/// cylinder counts. Common practice, no source.
const LEAST: f64 = 2e-3;

/// Share of a line's strongest swing below which its extrema are taken for noise. Larger: a faint wave beside a strong one
/// is lost; smaller: strong ones are cut in two by noise.
const NOISE: f64 = 0.2;

/// Longest wave, as a share of the line. The fair reference takes up what is longer, and what it leaves of it looks like a wave
/// of about a third of the line: larger: form is taken for ripples.
const LONGEST: f64 = 0.22;

/// Least cosine between a line and the way across the crests. Smaller: waves are judged on lines that run along them, where a
/// small error of direction is a large one of length; the lines of the other way see those.
const SQUARE: f64 = 0.5;

/// Least number of like waves, each of three neighbouring extrema, on one line. Larger: short stretches of ripple go unseen;
/// smaller: a local feature of the form is taken for one. Common practice, no source.
const REPEATS: usize = 2;

/// Least samples from the first to the third extremum. Smaller: a jump of the foot from one part of the reference to another
/// passes for a short wave.
const RESOLVED: f64 = 5.0;

/// Largest amplitude as a share of the wave, 2πa/λ of 29°. Larger: a jump of the foot beside a pole, where lines are short, passes
/// for a wave; smaller: creases are left out that are no ripples either.
const FOLD: f64 = 0.08;

/// Largest slope, as a multiple of 2πa/λ, that still belongs to the wave. Larger: such a jump counts; smaller: waves with steep
/// flanks are read too low.
const STEEPEST: f64 = 4.0;

/// Least share of |Su × Sv| in |Su| |Sv|, and of the shorter in the longer, for slopes: beside a pole they have no meaning.
const COLLAPSED: f64 = 1e-4;

/// The steepest wave of a face about its reference. None without at least four neighbouring extrema of one line that stand
/// out alike. Sampled on 25 lines a way, 151 places each; between them nothing is seen.
pub fn ripple(surface: &Surface, domain: &Domain, fair: &FairReference) -> Option<Ripple> {
    let region = Region::new(domain);
    let field = Field { surface, fair, bounds: region.bounds() };
    let mut best: Option<(f64, Wave)> = None;
    for along_u in [true, false] {
        for k in 0..LINES {
            let across = (k as f64 + 0.5) / LINES as f64;
            for wave in field.line(&region, along_u, across) {
                let strength = wave.amplitude / wave.wavelength;
                if best.as_ref().is_none_or(|b| strength > b.0) {
                    best = Some((strength, wave));
                }
            }
        }
    }
    field.steepest(&best?.1)
}

/// Three neighbouring extrema on a line.
#[derive(Debug, Clone, Copy)]
struct Wave {
    amplitude: f64,
    wavelength: f64,
    /// Parameters of the three.
    at: [Point2; 3],
    extent: f64,
}

struct Field<'a> {
    surface: &'a Surface,
    fair: &'a FairReference,
    bounds: (Interval, Interval),
}

impl Field<'_> {
    /// The waves on one line of constant u or v, `across` being the share of the other parameter.
    fn line(&self, region: &Region, along_u: bool, across: f64) -> Vec<Wave> {
        let (bu, bv) = self.bounds;
        let place = |share: f64| {
            if along_u { Point2::new(bu.at(share), bv.at(across)) } else { Point2::new(bu.at(across), bv.at(share)) }
        };
        let mut all = Vec::new();
        let mut run: Vec<(f64, f64)> = Vec::new();
        let mut shares: Vec<f64> = Vec::new();
        let (mut length, mut last) = (0.0, None::<Point3>);
        for i in 0..=SAMPLES {
            let share = (i as f64 + 0.5) / SAMPLES as f64;
            let uv = place(share);
            let value = (i < SAMPLES && region.contains(uv)).then(|| self.fair.residual(self.surface, uv)).flatten();
            match value {
                Some(r) => {
                    let p = self.surface.point(uv.u, uv.v);
                    length += last.map_or(0.0, |q| q.distance(p));
                    last = Some(p);
                    run.push((length, r));
                    shares.push(share);
                }
                // The trim, or the end: one run of samples is done.
                None => {
                    all.extend(self.waves(&run, &shares, &place));
                    (run, shares, length, last) = (Vec::new(), Vec::new(), 0.0, None);
                }
            }
        }
        all
    }

    fn waves(&self, run: &[(f64, f64)], shares: &[f64], place: &dyn Fn(f64) -> Point2) -> Vec<Wave> {
        let Some(&(length, _)) = run.last() else { return Vec::new() };
        let swing = run.windows(2).map(|w| (w[1].1 - w[0].1).abs()).fold(0.0, f64::max);
        let (low, high) = run.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s.1), h.max(s.1)));
        if high - low < LEAST || swing == 0.0 {
            return Vec::new();
        }
        let found = extrema(run, LEAST.max(NOISE * (high - low)));
        let share_at = |x: f64| {
            let after = run.partition_point(|s| s.0 < x).clamp(1, run.len() - 1);
            let (a, b) = (run[after - 1].0, run[after].0);
            let t = if b > a { (x - a) / (b - a) } else { 0.0 };
            shares[after - 1] + (shares[after] - shares[after - 1]) * t
        };
        let raw: Vec<(f64, f64)> =
            found.windows(3).map(|w| (0.5 * (w[1].value - 0.5 * (w[0].value + w[2].value)).abs(), w[2].at - w[0].at)).collect();
        let mut all = Vec::new();
        for (k, w) in found.windows(3).enumerate() {
            let (amplitude, along) = raw[k];
            let samples = (share_at(w[2].at) - share_at(w[0].at)) * SAMPLES as f64;
            if along > LONGEST * length || samples < RESOLVED || amplitude > FOLD * along {
                continue;
            }
            let at = [w[0], w[1], w[2]].map(|e| place(share_at(e.at)));
            // The way across the crests is that of the gradient between crest and trough.
            let middle = place(share_at(0.5 * (w[0].at + w[1].at)));
            let Some((_, across)) = self.slope(middle) else { continue };
            let d = self.surface.derivs(middle.u, middle.v, 1);
            let way = (at[1] - at[0]).normalize_or_zero();
            let Some(tangent) = (d.su * way.x + d.sv * way.y).try_normalize() else { continue };
            let square = tangent.dot(across).abs();
            if square < SQUARE {
                continue;
            }
            let like = |r: &&(f64, f64)| r.0 >= 0.5 * amplitude && r.1 <= 2.0 * along && r.1 >= 0.5 * along;
            let strong = raw.iter().filter(like).count();
            // A form that one patch cannot follow leaves a lone hump; a ripple comes again.
            if strong < REPEATS {
                continue;
            }
            let extent = 0.5 * along * (strong as f64 + 1.0);
            all.push(Wave { amplitude, wavelength: along * square, at, extent });
        }
        all
    }

    /// Slope of the residual on the face, a pure number, and the unit tangent vector it rises along.
    fn slope(&self, uv: Point2) -> Option<(f64, Vec3)> {
        let (bu, bv) = self.bounds;
        // Far below any wave that the samples show, far above rounding.
        let (hu, hv) = (1e-4 * bu.length(), 1e-4 * bv.length());
        let r = |u: f64, v: f64| self.fair.residual(self.surface, Point2::new(u, v));
        let ru = (r(uv.u + hu, uv.v)? - r(uv.u - hu, uv.v)?) / (2.0 * hu);
        let rv = (r(uv.u, uv.v + hv)? - r(uv.u, uv.v - hv)?) / (2.0 * hv);
        let d = self.surface.derivs(uv.u, uv.v, 1);
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let (shorter, longer) = (e.min(g), e.max(g));
        if det.is_nan() || det <= COLLAPSED * COLLAPSED * e * g || shorter <= COLLAPSED * COLLAPSED * longer {
            return None;
        }
        let (a, b) = ((g * ru - f * rv) / det, (e * rv - f * ru) / det);
        let way = d.su * a + d.sv * b;
        Some((way.length(), way.try_normalize()?))
    }

    /// The steepest place between the extrema of a wave, and along its crests as far as a line's distance.
    fn steepest(&self, wave: &Wave) -> Option<Ripple> {
        let (bu, bv) = self.bounds;
        let near = |x: f64, from: f64, over: Interval| (x - from).abs() <= over.length() / LINES as f64;
        let within = |p: Point2| {
            let inside = p.u > bu.low && p.u < bu.high && p.v > bv.low && p.v < bv.high;
            inside && (near(p.u, wave.at[1].u, bu) || near(p.v, wave.at[1].v, bv))
        };
        let most = STEEPEST * real::TAU * wave.amplitude / wave.wavelength;
        let mut best: Option<(f64, Point2, Vec3)> = None;
        let mut better = |uv: Point2| {
            let slope = within(uv).then(|| self.slope(uv)).flatten();
            let found = slope.filter(|s| s.0 <= most && best.is_none_or(|b| s.0 > b.0));
            if let Some((s, across)) = found {
                best = Some((s, uv, across));
            }
            found.is_some()
        };
        let mix = |a: Point2, b: Point2, t: f64| Point2::new(a.u + (b.u - a.u) * t, a.v + (b.v - a.v) * t);
        let mut here = wave.at[1];
        for i in 1..16 {
            let t = f64::from(i) / 16.0;
            for uv in [mix(wave.at[0], wave.at[1], t), mix(wave.at[1], wave.at[2], t)] {
                if better(uv) {
                    here = uv;
                }
            }
        }
        let mut step = 1.0 / LINES as f64;
        while step > 1e-4 {
            let (du, dv) = (step * bu.length(), step * bv.length());
            let around = [(du, 0.0), (-du, 0.0), (0.0, dv), (0.0, -dv)].map(|(x, y)| Point2::new(here.u + x, here.v + y));
            match around.into_iter().find(|uv| better(*uv)) {
                Some(uv) => here = uv,
                None => step *= 0.5,
            }
        }
        let (slope, uv, across) = best?;
        Some(Ripple {
            amplitude: wave.amplitude,
            wavelength: wave.wavelength,
            tilt: real::atan(slope).to_degrees(),
            point: self.surface.point(uv.u, uv.v),
            uv,
            across,
            extent: wave.extent,
        })
    }
}
