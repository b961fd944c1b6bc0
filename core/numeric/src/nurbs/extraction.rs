//! What the functions of each span are in Bernstein's polynomials of that span: made once a knot vector, so that evaluation needs no
//! divisions and no knots. Borden et al., Isogeometric finite element data structures based on Bézier extraction, 2011, §4.

use super::functions::{LOW, raise};

/// The extraction of all spans of a vector of degree below [`LOW`].
#[derive(Debug, Clone)]
pub(super) struct Extraction {
    degree: usize,
    /// Number of each span among those of positive length, by its first knot.
    ranks: Vec<u32>,
    /// 1 / length of each.
    inverses: Vec<f64>,
    /// Of each, function by function, its coefficients.
    shares: Vec<f64>,
}

impl Extraction {
    /// For all spans from `knots[degree]` on.
    pub fn new(degree: usize, knots: &[f64]) -> Self {
        let last = knots.len() - degree - 2;
        let mut made = Self { degree, ranks: vec![0; last + 1], inverses: Vec::new(), shares: Vec::new() };
        for span in degree..=last {
            let (low, high) = (knots[span], knots[span + 1]);
            made.ranks[span] = made.inverses.len() as u32;
            if high <= low {
                continue;
            }
            made.inverses.push(1.0 / (high - low));
            // Coefficient j is the polar form at p − j times the low end and j times the high one: raised by a degree for each.
            let column = |j: usize| {
                let mut n = [0.0; LOW];
                n[0] = 1.0;
                (1..=degree).for_each(|d| raise(&mut n, knots, span, if d <= degree - j { low } else { high }, d));
                n
            };
            let columns: [[f64; LOW]; LOW] = core::array::from_fn(|j| if j <= degree { column(j) } else { [0.0; LOW] });
            made.shares.extend((0..=degree).flat_map(|r| columns[..=degree].iter().map(move |column| column[r])));
        }
        made
    }

    /// 1 / length of a span of positive length, and its (p + 1)² coefficients.
    #[inline]
    pub fn of(&self, span: usize) -> (f64, &[f64]) {
        let rank = self.ranks[span] as usize;
        let size = (self.degree + 1) * (self.degree + 1);
        (self.inverses[rank], &self.shares[rank * size..(rank + 1) * size])
    }
}
