//! Linear equations among control points that a fit keeps exactly.

use super::FitError;
use crate::nurbs::{BasisDerivs, KnotVector};

/// One equation Σ cᵢ Pᵢ = value between control points, in every coordinate alike.
///
/// Control points of a surface are numbered as in [`crate::nurbs::Surface`]. A locked control point is one term; a
/// prescribed point or derivative is [`Constraint::on_curve`] or [`Constraint::on_surface`].
#[derive(Debug, Clone, PartialEq)]
pub struct Constraint<const D: usize> {
    /// Index of a control point and its factor; the same index may stand more than once.
    pub terms: Vec<(usize, f64)>,
    /// The right side, mm times the factors' unit.
    pub value: [f64; D],
}

impl<const D: usize> Constraint<D> {
    /// Control point `index` stands at `value`.
    pub fn locked(index: usize, value: [f64; D]) -> Self {
        Self { terms: vec![(index, 1.0)], value }
    }

    /// The `order`-th derivative (≤ 3) of a curve at `t`, from the right at inner knots, is `value`.
    pub fn on_curve(knots: &KnotVector, t: f64, order: usize, value: [f64; D]) -> Self {
        let basis = BasisDerivs::<4>::at(knots, knots.span(t), t, order);
        Self { terms: row(&basis, order, knots.degree()).collect(), value }
    }

    /// The derivative of a surface at (u, v), `orders` (each ≤ 3) times by u and v, from the right at inner knots, is
    /// `value`.
    pub fn on_surface(knots: (&KnotVector, &KnotVector), (u, v): (f64, f64), orders: (usize, usize), value: [f64; D]) -> Self {
        let (ku, kv) = knots;
        let bu = BasisDerivs::<4>::at(ku, ku.span(u), u, orders.0);
        let bv = BasisDerivs::<4>::at(kv, kv.span(v), v, orders.1);
        let columns = kv.point_count();
        let terms = row(&bu, orders.0, ku.degree())
            .flat_map(|(i, a)| row(&bv, orders.1, kv.degree()).map(move |(j, b)| (i * columns + j, a * b)))
            .collect();
        Self { terms, value }
    }
}

fn row(basis: &BasisDerivs<4>, order: usize, degree: usize) -> impl Iterator<Item = (usize, f64)> {
    let values = basis.rows.get(order).into_iter().flatten();
    values.take(degree + 1).enumerate().map(|(r, &n)| (basis.first + r, n))
}

/// Constraints solved for as many unknowns as they fix: each is a value less factors of unknowns that stay free.
#[derive(Debug, Clone)]
pub(super) struct Elimination<const D: usize> {
    /// For every unknown: its place among the free ones, or its equation.
    unknowns: Vec<Unknown<D>>,
    free: usize,
}

#[derive(Debug, Clone)]
enum Unknown<const D: usize> {
    Free(usize),
    Fixed { value: [f64; D], terms: Vec<(usize, f64)> },
}

/// Below this share of the largest factor, what is left of an equation is rounding: it depends on those before. Larger:
/// nearly equal equations are dropped; smaller: their difference, which is noise, is solved for.
const DEPENDENT: f64 = 1e-11;

/// A dependent equation may miss its value by this share of the largest value. Larger: contradictions are dropped
/// unsaid; smaller: the same derivative stated twice, rounded apart, is refused.
const AGREES: f64 = 1e-9;

impl<const D: usize> Elimination<D> {
    /// Gauss–Jordan elimination with pivots chosen from all entries left (Golub & Van Loan, §3.4.8). `shift` is taken
    /// from every control point first.
    pub(super) fn new(count: usize, constraints: &[Constraint<D>], shift: &[f64; D]) -> Result<Self, FitError> {
        let mut rows: Vec<(usize, Vec<f64>, [f64; D])> = Vec::new();
        for (index, constraint) in constraints.iter().enumerate() {
            let mut row = vec![0.0; count];
            for &(i, factor) in &constraint.terms {
                *row.get_mut(i).ok_or(FitError::NoSuchPoint(index))? += factor;
            }
            let mut value = constraint.value;
            let sum: f64 = row.iter().sum();
            value.iter_mut().zip(shift).for_each(|(v, s)| *v -= sum * s);
            let size = largest(&row);
            if !(size.is_finite() && value.iter().all(|x| x.is_finite())) {
                return Err(FitError::NotFinite);
            }
            if size > 0.0 {
                row.iter_mut().chain(&mut value).for_each(|x| *x /= size);
            }
            rows.push((index, row, value));
        }
        let scale = rows.iter().map(|(_, _, v)| largest(v)).fold(0.0, f64::max);
        let mut done: Vec<(usize, Vec<f64>, [f64; D])> = Vec::new();
        while let Some((at, pivot)) = pivot(&rows) {
            let (_, mut row, mut value) = rows.swap_remove(at);
            let by = row.get(pivot).copied().unwrap_or(1.0);
            row.iter_mut().chain(&mut value).for_each(|x| *x /= by);
            for (_, other, right) in rows.iter_mut().chain(&mut done) {
                let by = other.get(pivot).copied().unwrap_or(0.0);
                if by != 0.0 {
                    other.iter_mut().zip(&row).for_each(|(x, y)| *x -= by * y);
                    right.iter_mut().zip(&value).for_each(|(x, y)| *x -= by * y);
                }
                if let Some(x) = other.get_mut(pivot) {
                    *x = 0.0;
                }
            }
            done.push((pivot, row, value));
        }
        let wrong = rows.iter().filter(|(_, _, v)| largest(v) > AGREES * scale).map(|&(index, ..)| index).min();
        if let Some(index) = wrong {
            return Err(FitError::Contradiction(index));
        }
        let mut fixed: Vec<Option<(Vec<f64>, [f64; D])>> = vec![None; count];
        for (pivot, row, value) in done {
            if let Some(place) = fixed.get_mut(pivot) {
                *place = Some((row, value));
            }
        }
        let mut free = 0;
        let mut unknowns = Vec::with_capacity(count);
        for (i, own) in fixed.into_iter().enumerate() {
            unknowns.push(match own {
                None => {
                    free += 1;
                    Unknown::Free(free - 1)
                }
                Some((row, value)) => {
                    let terms = row.into_iter().enumerate().filter(|&(k, f)| k != i && f.abs() > 1e-300).collect();
                    Unknown::Fixed { value, terms }
                }
            });
        }
        Ok(Self { unknowns, free })
    }

    /// Unknowns left.
    pub(super) fn free(&self) -> usize {
        self.free
    }

    /// A row over all unknowns as one over the free ones: its first column, its entries, its right sides.
    pub(super) fn reduce(&self, first: usize, entries: &[f64], right: &[f64; D]) -> (usize, Vec<f64>, [f64; D]) {
        let mut terms: Vec<(usize, f64)> = Vec::with_capacity(entries.len());
        let mut right = *right;
        for (unknown, &entry) in self.unknowns.iter().skip(first).zip(entries) {
            match unknown {
                _ if entry == 0.0 => {}
                Unknown::Free(place) => terms.push((*place, entry)),
                Unknown::Fixed { value, terms: own } => {
                    right.iter_mut().zip(value).for_each(|(r, v)| *r -= entry * v);
                    terms.extend(own.iter().filter_map(|&(k, factor)| Some((self.place(k)?, -entry * factor))));
                }
            }
        }
        let low = terms.iter().map(|t| t.0).min().unwrap_or(0);
        let high = terms.iter().map(|t| t.0 + 1).max().unwrap_or(0);
        let mut dense = vec![0.0; high.saturating_sub(low)];
        for (place, factor) in terms {
            if let Some(x) = dense.get_mut(place - low) {
                *x += factor;
            }
        }
        (low, dense, right)
    }

    /// All unknowns from the free ones.
    pub(super) fn expand(&self, free: &[[f64; D]]) -> Vec<[f64; D]> {
        let known = |k: usize| self.place(k).and_then(|place| free.get(place)).copied().unwrap_or([0.0; D]);
        let all = self.unknowns.iter().enumerate().map(|(i, unknown)| match unknown {
            Unknown::Free(_) => known(i),
            Unknown::Fixed { value, terms } => terms.iter().fold(*value, |mut sum, &(k, factor)| {
                sum.iter_mut().zip(known(k)).for_each(|(s, x)| *s -= factor * x);
                sum
            }),
        });
        all.collect()
    }

    /// Index among all unknowns of a free one.
    pub(super) fn original(&self, free: usize) -> usize {
        self.unknowns.iter().position(|u| matches!(u, Unknown::Free(place) if *place == free)).unwrap_or(free)
    }

    fn place(&self, index: usize) -> Option<usize> {
        match self.unknowns.get(index) {
            Some(Unknown::Free(place)) => Some(*place),
            _ => None,
        }
    }
}

/// The largest entry of the rows left, unless all are rounding: row and column.
fn pivot<const D: usize>(rows: &[(usize, Vec<f64>, [f64; D])]) -> Option<(usize, usize)> {
    let mut best = (DEPENDENT, None);
    for (at, (_, row, _)) in rows.iter().enumerate() {
        for (column, x) in row.iter().enumerate() {
            if x.abs() > best.0 {
                best = (x.abs(), Some((at, column)));
            }
        }
    }
    best.1
}

fn largest(x: &[f64]) -> f64 {
    x.iter().fold(0.0, |m, v| if v.is_nan() { f64::INFINITY } else { v.abs().max(m) })
}
