//! A coarse lattice of samples over a box in (u, v): how dense a mesh each place needs.

use super::Tolerance;
use super::steps::{Density, density};
use crate::geometry::Surface;
use crate::math::{Interval, Vec2};

/// Samples in each cell of a lattice that follows the surface's own spans.
#[derive(Debug, Clone)]
pub(super) struct Lattice {
    /// Cells along u.
    pub u: Axis,
    /// Cells along v.
    pub v: Axis,
    /// Mean density over the box.
    pub mean: Density,
    /// Mean |Su| and |Sv|, mm per unit.
    pub speed: Vec2,
    samples: Vec<Density>,
}

/// Cuts of one parameter range.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    cuts: Vec<f64>,
    /// Indices of cuts where the surface may have a crease, both ends included.
    creases: Vec<usize>,
}

/// Fewest samples in a direction. Smaller: a short bend between samples goes unseen (the later check then has to
/// mend it point by point). Larger: small faces cost more to sample than to mesh.
const MIN_SAMPLES: usize = 12;

/// Most samples in a direction. Larger: a face of many spans costs its square. Smaller: spans are passed over.
const MAX_SAMPLES: usize = 96;

impl Lattice {
    /// Samples the surface at the centre of each cell.
    pub fn new(surface: &Surface, u: Interval, v: Interval, tolerance: &Tolerance) -> Self {
        let (spans_u, spans_v) = surface.spans();
        let (u, v) = (Axis::new(u, spans_u), Axis::new(v, spans_v));
        let mut samples = Vec::with_capacity(u.cells() * v.cells());
        let (mut mean, mut speed, mut area) = (Density::default(), Vec2::ZERO, 0.0);
        for j in 0..v.cells() {
            for i in 0..u.cells() {
                let d = surface.derivs(u.start(i) + 0.5 * u.width(i), v.start(j) + 0.5 * v.width(j), 2);
                let here = density(&d, tolerance);
                let part = u.width(i) * v.width(j);
                mean.u += here.u * part;
                mean.v += here.v * part;
                speed += Vec2::new(d.su.length(), d.sv.length()) * part;
                area += part;
                samples.push(here);
            }
        }
        mean = Density { u: mean.u / area, v: mean.v / area };
        Self { u, v, mean, speed: speed / area, samples }
    }

    /// Density in cell (i, j).
    pub fn density(&self, i: usize, j: usize) -> Density {
        self.samples.get(j * self.u.cells() + i).copied().unwrap_or_default()
    }
}

impl Axis {
    /// Cuts of a range on a surface whose spans meet at the given places, with or without a crease.
    fn new(range: Interval, mut inner: Vec<(f64, bool)>) -> Self {
        inner.retain(|&(t, _)| t > range.low && t < range.high);
        let spans = inner.len() + 1;
        let stride = spans.div_ceil(MAX_SAMPLES);
        // Straight spans of degree one need one sample; others at least two while there are few.
        let per_span = MIN_SAMPLES.div_ceil(spans).max(if spans * 2 <= MAX_SAMPLES { 2 } else { 1 });
        let mut ends = vec![(range.low, true)];
        // Creases are kept beyond the stride up to a bound of their own.
        let keep_creases = inner.iter().filter(|c| c.1).count() <= 2 * MAX_SAMPLES;
        ends.extend(inner.iter().enumerate().filter(|(i, c)| (i + 1) % stride == 0 || (c.1 && keep_creases)).map(|(_, &c)| c));
        ends.push((range.high, true));
        let mut axis = Self { cuts: vec![range.low], creases: vec![0] };
        for pair in ends.windows(2) {
            if let [(from, _), (to, crease)] = *pair {
                let part = |k: usize| Interval::new(from, to).at(k as f64 / per_span as f64);
                axis.cuts.extend((1..per_span).map(part));
                axis.cuts.push(to);
                if crease && keep_creases || to == range.high {
                    axis.creases.push(axis.cuts.len() - 1);
                }
            }
        }
        axis
    }

    /// Number of cells, at least one.
    pub fn cells(&self) -> usize {
        self.cuts.len() - 1
    }

    /// Lower end of the range.
    pub fn low(&self) -> f64 {
        self.start(0)
    }

    /// Where cell `i` starts; the upper end of the range for i = [`Axis::cells`].
    pub fn start(&self, i: usize) -> f64 {
        self.cuts.get(i).or(self.cuts.last()).copied().unwrap_or(0.0)
    }

    /// Width of cell `i`.
    pub fn width(&self, i: usize) -> f64 {
        self.start(i + 1) - self.start(i)
    }

    /// The cell that holds a parameter; outside the range the end cell.
    pub fn cell(&self, t: f64) -> usize {
        self.cuts.partition_point(|&c| c <= t).saturating_sub(1).min(self.cells() - 1)
    }

    /// Runs of cells between creases.
    pub fn pieces(&self) -> impl Iterator<Item = core::ops::Range<usize>> + '_ {
        self.creases.windows(2).map(|w| w[0]..w[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nurbs::KnotVector;

    #[test]
    fn cuts_follow_spans_and_mark_creases() {
        for (spans, degree) in [(1, 3), (2, 1), (7, 4), (30, 2), (96, 3), (97, 3), (1000, 5)] {
            let inner = |k: KnotVector| k.interior().into_iter().map(|(t, m)| (t, m >= degree)).collect();
            let axis = Axis::new(Interval::new(0.0, 1.0), inner(KnotVector::uniform(degree, spans).unwrap()));
            assert!(axis.cells() >= MIN_SAMPLES && axis.cells() <= 2 * MAX_SAMPLES, "{spans}: {}", axis.cells());
            assert!(axis.cuts.windows(2).all(|w| w[0] < w[1]));
            assert_eq!(axis.start(axis.cells()), 1.0);
            for i in 0..axis.cells() {
                assert_eq!(axis.cell(axis.start(i) + 0.5 * axis.width(i)), i);
            }
            let pieces = axis.pieces().count();
            assert_eq!(pieces, if degree == 1 { spans } else { 1 });
            assert_eq!(axis.pieces().map(|p| p.len()).sum::<usize>(), axis.cells());
        }
        let part = Axis::new(Interval::new(0.25, 0.26), vec![(0.25, false), (0.5, false), (0.75, false)]);
        assert_eq!((part.low(), part.cell(-9.0), part.cell(9.0)), (0.25, 0, part.cells() - 1));
    }
}
