//! Linear least squares by orthogonal rotations, one row at a time.

use super::real;
use core::fmt;

/// Minimises |A x − B|² column by column of B, with A never stored: each row is turned into an upper triangle by Givens
/// rotations as it comes (Golub & Van Loan, *Matrix Computations*, 4th ed., §5.1.8 and 5.2.5), so the condition number is
/// that of A, not its square. Every row of the triangle is kept from its diagonal to its last entry: where rows come
/// sorted by their first column, a banded matrix costs what its band costs, and any other matrix still works.
#[derive(Debug, Clone)]
pub struct LeastSquares {
    triangle: Vec<Row>,
    right_sides: usize,
    /// Squared length of each column of A, which tells what a small diagonal is.
    columns: Vec<f64>,
}

/// A row of the triangle: entries from the diagonal on (none while no row has come for it) and its right sides.
#[derive(Debug, Clone, Default)]
struct Row {
    entries: Vec<f64>,
    right: Vec<f64>,
}

/// An unknown that the rows do not determine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Undetermined(
    /// Its index.
    pub usize,
);

impl fmt::Display for Undetermined {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "unknown {} is not determined", self.0)
    }
}

impl std::error::Error for Undetermined {}

/// Diagonal below this share of its column's length: undetermined. Larger: sound but stiff systems (high degrees with few
/// data) are refused; smaller: rounding noise is taken for a solution.
const SINGULAR: f64 = 1e-13;

impl LeastSquares {
    /// An empty system in `unknowns` unknowns with `right_sides` right-hand sides.
    pub fn new(unknowns: usize, right_sides: usize) -> Self {
        Self { triangle: vec![Row::default(); unknowns], right_sides, columns: vec![0.0; unknowns] }
    }

    /// Adds the row whose entries start at column `first`; entries beyond the last unknown are ignored, and missing
    /// right sides are 0.
    pub fn add(&mut self, first: usize, entries: &[f64], right: &[f64]) {
        let mut row: Vec<f64> = entries.iter().take(self.triangle.len().saturating_sub(first)).copied().collect();
        let mut right: Vec<f64> = right.iter().take(self.right_sides).copied().collect();
        right.resize(self.right_sides, 0.0);
        for (column, x) in self.columns.iter_mut().skip(first).zip(&row) {
            *column += x * x;
        }
        // A longer pivot lengthens the row on the way.
        for (done, pivot) in self.triangle.iter_mut().skip(first).enumerate() {
            let Some(rest) = row.get_mut(done..) else { return };
            let Some(&b) = rest.first() else { return };
            if b == 0.0 {
                continue;
            }
            let Some(&a) = pivot.entries.first() else {
                *pivot = Row { entries: rest.to_vec(), right };
                return;
            };
            if pivot.entries.len() < rest.len() {
                pivot.entries.resize(rest.len(), 0.0);
            } else if pivot.entries.len() > rest.len() {
                row.resize(done + pivot.entries.len(), 0.0);
            }
            let Some(rest) = row.get_mut(done..) else { return };
            let length = real::hypot(a, b);
            let (cos, sin) = (a / length, b / length);
            rotate(&mut pivot.entries, rest, cos, sin);
            rotate(&mut pivot.right, &mut right, cos, sin);
            if let (Some(x), Some(y)) = (pivot.entries.first_mut(), rest.first_mut()) {
                (*x, *y) = (length, 0.0);
            }
        }
    }

    /// Rows of the triangle: first column, entries from there on, right sides. The system they make has the same
    /// solutions as all rows added so far.
    pub fn rows(&self) -> impl Iterator<Item = (usize, &[f64], &[f64])> {
        self.triangle.iter().enumerate().filter(|(_, r)| !r.entries.is_empty()).map(|(i, r)| (i, &r.entries[..], &r.right[..]))
    }

    /// The solutions: unknown by unknown, each with its right sides in turn.
    ///
    /// # Errors
    /// Names the last unknown that the rows leave open, to rounding.
    pub fn solve(&self) -> Result<Vec<Vec<f64>>, Undetermined> {
        let mut x: Vec<Vec<f64>> = vec![Vec::new(); self.triangle.len()];
        for (i, row) in self.triangle.iter().enumerate().rev() {
            let size = self.columns.get(i).map_or(0.0, |c| c.sqrt());
            let diagonal = row.entries.first().copied().unwrap_or(0.0);
            // What is no number is not sound either.
            let sound = diagonal.abs() > SINGULAR * size;
            if !sound {
                return Err(Undetermined(i));
            }
            let mut value = row.right.clone();
            for (entry, known) in row.entries.iter().skip(1).zip(x.iter().skip(i + 1)) {
                for (sum, k) in value.iter_mut().zip(known) {
                    *sum -= entry * k;
                }
            }
            for sum in &mut value {
                *sum /= diagonal;
            }
            if let Some(place) = x.get_mut(i) {
                *place = value;
            }
        }
        Ok(x)
    }
}

fn rotate(a: &mut [f64], b: &mut [f64], cos: f64, sin: f64) {
    for (x, y) in a.iter_mut().zip(b) {
        let turned = cos * *x + sin * *y;
        *y = cos * *y - sin * *x;
        *x = turned;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_residual_is_square_to_every_column(
            n in 1usize..=9, extra in 0usize..20, numbers in proptest::collection::vec(-1.0f64..1.0, 260), starts in proptest::collection::vec(0usize..9, 29),
        ) {
            let at = |i: usize| numbers[i % numbers.len()];
            let mut rows: Vec<(usize, Vec<f64>, [f64; 2])> = Vec::new();
            for r in 0..n + extra {
                // The first n rows fix every unknown; the others start and end anywhere.
                let first = if r < n { r } else { starts[r % starts.len()] % n };
                let length = 1 + (r * 7) % (n - first);
                let mut entries: Vec<f64> = (0..length).map(|k| at(13 * r + k)).collect();
                if r < n {
                    entries[0] = 2.0 + at(r);
                }
                rows.push((first, entries, [at(31 * r + 5), 40.0 * at(17 * r + 3)]));
            }
            let mut system = LeastSquares::new(n, 2);
            for (first, entries, right) in &rows {
                system.add(*first, entries, right);
            }
            let x = system.solve().unwrap();
            for side in 0..2 {
                let mut dots = vec![0.0; n];
                for (first, entries, right) in &rows {
                    let miss = entries.iter().enumerate().map(|(k, e)| e * x[first + k][side]).sum::<f64>() - right[side];
                    for (k, e) in entries.iter().enumerate() {
                        dots[first + k] += e * miss;
                    }
                }
                for d in dots {
                    prop_assert!(d.abs() < 1e-11, "{d}");
                }
            }
        }
    }

    #[test]
    fn names_an_unknown_left_open() {
        let mut system = LeastSquares::new(3, 1);
        system.add(0, &[1.0, 1.0], &[2.0]);
        system.add(2, &[1.0], &[5.0]);
        assert_eq!(system.solve(), Err(Undetermined(1)));
        // Twice the same information is none.
        system.add(0, &[2.0, 2.0], &[4.0]);
        assert_eq!(system.solve(), Err(Undetermined(1)));
        system.add(0, &[1.0, -1.0], &[0.0]);
        let x = system.solve().unwrap();
        assert!((x[0][0] - 1.0).abs() < 1e-15 && (x[1][0] - 1.0).abs() < 1e-15 && (x[2][0] - 5.0).abs() < 1e-15);
    }
}
