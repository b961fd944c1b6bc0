//! Polar forms (blossoms) of spline rows: the one step behind knot insertion, splitting and degree elevation.
//!
//! Ramshaw, *Blossoming: a connect-the-dots approach to splines*, DEC SRC 19, 1987: control point i of a spline is
//! the polar form of any of its pieces at the knots i + 1 to i + degree.

use super::{Curve, KnotVector, NurbsError, Surface};
use crate::math::Point3;

/// A spline whose control points are rows of homogeneous numbers (a curve's points, or whole lines of a net).
#[derive(Debug, Clone)]
pub(super) struct Rows {
    pub knots: KnotVector,
    pub rows: Vec<Vec<f64>>,
}

/// Which parameter of a surface an operation runs along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Along u.
    U,
    /// Along v.
    V,
}

impl Rows {
    /// The polar form of the piece on `span` at `degree` rising arguments (de Boor's scheme with one argument a level).
    ///
    /// The order of arguments changes nothing but rounding: the largest come first, where the intervals are widest.
    /// The other way round the last level reaches far beyond its one span and uneven knots cost eight digits.
    pub fn blossom(&self, span: usize, arguments: &[f64]) -> Vec<f64> {
        let (p, k) = (self.knots.degree(), self.knots.knots());
        let mut d: Vec<Vec<f64>> = self.rows[span - p..=span].to_vec();
        for (r, &t) in arguments.iter().rev().enumerate() {
            // Level r + 1 combines p − r neighbours; knot spacing never vanishes on a span of positive length.
            for j in 0..p - r {
                let (low, high) = (k[span - p + 1 + j + r], k[span + 1 + j]);
                let share = (t - low) / (high - low);
                let next = d[j + 1].clone();
                for (x, y) in d[j].iter_mut().zip(next) {
                    *x = *x * (1.0 - share) + y * share;
                }
            }
        }
        d.swap_remove(0)
    }

    /// The same spline over another knot vector of the same degree that holds every knot inside its domain at least
    /// as often as this one's does there.
    pub fn over(&self, knots: KnotVector) -> Rows {
        let p = knots.degree();
        let rows = (0..knots.point_count())
            .map(|i| self.blossom(self.span_for(&knots, i), knots.knots().get(i + 1..=i + p).unwrap_or(&[])))
            .collect();
        Rows { knots, rows }
    }

    /// The piece on which control point `i` over `knots` first counts: combinations are convex from there
    /// (Cohen, Lyche & Riesenfeld, CGIP 14, 1980).
    pub fn span_for(&self, knots: &KnotVector, i: usize) -> usize {
        let first = knots.knots().get(i).copied().unwrap_or(0.0);
        self.knots.span(first.max(knots.domain().low).max(self.knots.domain().low))
    }
}

impl<const D: usize> Curve<D> {
    pub(super) fn rows(&self) -> Rows {
        let weight = |i: usize| self.weights().and_then(|w| w.get(i)).copied();
        let row = |(i, p): (usize, &[f64; D])| match weight(i) {
            Some(w) => p.iter().map(|x| x * w).chain([w]).collect(),
            None => p.to_vec(),
        };
        Rows { knots: self.knots().clone(), rows: self.points().iter().enumerate().map(row).collect() }
    }

    pub(super) fn from_rows(rows: Rows, rational: bool) -> Result<Self, NurbsError> {
        let mut points = Vec::with_capacity(rows.rows.len());
        let mut weights = Vec::new();
        for row in &rows.rows {
            let w = if rational { row.get(D).copied().unwrap_or(1.0) } else { 1.0 };
            let mut p = [0.0; D];
            for (x, y) in p.iter_mut().zip(row) {
                *x = y / w;
            }
            points.push(p);
            weights.push(w);
        }
        Curve::new(rows.knots, points, rational.then_some(weights))
    }
}

impl Surface {
    /// Lines of the net as rows; along v the net is turned.
    pub(super) fn rows(&self, along: Direction) -> Rows {
        let (nu, nv) = self.size();
        let number = |i: usize, j: usize| -> Vec<f64> {
            let k = i * nv + j;
            let Some(p) = self.points().get(k) else { return Vec::new() };
            match self.weights().and_then(|w| w.get(k)) {
                Some(w) => vec![p.x * w, p.y * w, p.z * w, *w],
                None => vec![p.x, p.y, p.z],
            }
        };
        match along {
            Direction::U => {
                Rows { knots: self.knots_u().clone(), rows: (0..nu).map(|i| (0..nv).flat_map(|j| number(i, j)).collect()).collect() }
            }
            Direction::V => {
                Rows { knots: self.knots_v().clone(), rows: (0..nv).map(|j| (0..nu).flat_map(|i| number(i, j)).collect()).collect() }
            }
        }
    }

    /// The surface with its lines along one direction replaced.
    pub(super) fn with_rows(&self, along: Direction, rows: Rows) -> Result<Self, NurbsError> {
        let width = if self.weights().is_some() { 4 } else { 3 };
        let lines = rows.rows.len();
        let across = match along {
            Direction::U => self.size().1,
            Direction::V => self.size().0,
        };
        let (mut points, mut weights) = (Vec::with_capacity(lines * across), Vec::new());
        let mut take = |line: usize, place: usize| {
            let row = rows.rows.get(line).and_then(|r| r.get(place * width..(place + 1) * width)).unwrap_or(&[]);
            if let [x, y, z, rest @ ..] = row {
                let w = rest.first().copied().unwrap_or(1.0);
                points.push(Point3::new(x / w, y / w, z / w));
                weights.push(w);
            }
        };
        match along {
            Direction::U => (0..lines).for_each(|i| (0..across).for_each(|j| take(i, j))),
            Direction::V => (0..across).for_each(|i| (0..lines).for_each(|j| take(j, i))),
        }
        let (ku, kv) = match along {
            Direction::U => (rows.knots, self.knots_v().clone()),
            Direction::V => (self.knots_u().clone(), rows.knots),
        };
        Surface::new(ku, kv, points, self.weights().is_some().then_some(weights))
    }

    /// The knot vector along a direction.
    pub fn knots_along(&self, along: Direction) -> &KnotVector {
        match along {
            Direction::U => self.knots_u(),
            Direction::V => self.knots_v(),
        }
    }
}
