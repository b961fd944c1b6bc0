//! Homogeneous values over a grid of parameters, and splines fitted to them, rational or not: one small banded system a
//! direction, as in [`super::fit_grid`].

use super::FitError;
use super::surface::{reduced, turned};
use crate::math::{Interval, Point2, Point3, Vec3, quadrature};
use crate::nurbs::{BasisDerivs, KnotVector, Surface};

/// Parameters with their weights.
pub type Nodes = Vec<(f64, f64)>;

/// Gauss' nodes and weights over each span between `breaks`, `count` a span, so that sums stand for integrals.
pub fn nodes(breaks: &[f64], count: usize) -> Nodes {
    let rule = quadrature::gauss_legendre(count.max(1));
    let mut all = Vec::with_capacity(rule.len() * breaks.len());
    for w in breaks.windows(2) {
        if let [low, high] = *w {
            let over = Interval::new(low, high);
            all.extend(rule.iter().map(|&(x, weight)| (over.at(0.5 + 0.5 * x), 0.5 * weight * over.length())));
        }
    }
    all
}

/// Points and weights of a surface over a grid: a row for each u, in it (w x, w y, w z, w) for each v; no w where the surface is
/// polynomial. Places count from `centre`.
#[derive(Debug, Clone)]
pub struct Lines {
    u: Nodes,
    v: Nodes,
    centre: Vec3,
    width: usize,
    rows: Vec<Vec<f64>>,
}

/// The control rows of lines fitted along one parameter.
#[derive(Debug, Clone)]
struct Fitted {
    knots: KnotVector,
    rows: Vec<Vec<f64>>,
}

impl Lines {
    /// The values of `at(u, v)`: a place and its weight, which is not looked at unless `rational`.
    pub fn new(u: Nodes, v: Nodes, rational: bool, at: impl Fn(f64, f64) -> (Point3, f64)) -> Self {
        let width = if rational { 4 } else { 3 };
        let centre = match (u.get(u.len() / 2), v.get(v.len() / 2)) {
            (Some(a), Some(b)) => at(a.0, b.0).0.to_vec(),
            _ => Vec3::ZERO,
        };
        let value = |a: f64, b: f64| {
            let (p, w) = at(a, b);
            let [x, y, z] = ((p.to_vec() - centre) * if rational { w } else { 1.0 }).to_array();
            [x, y, z, w].into_iter().take(width)
        };
        let rows = u.iter().map(|a| v.iter().flat_map(|b| value(a.0, b.0)).collect()).collect();
        Self { u, v, centre, width, rows }
    }

    /// The same with u and v exchanged.
    pub fn turned(&self) -> Self {
        Self { u: self.v.clone(), v: self.u.clone(), rows: turned(&self.rows, self.width), ..*self }
    }

    /// Largest distance, mm, between the lines and their best fit over knots in u, at the nodes; None where these do not reach
    /// every control point.
    pub fn off_along_u(&self, knots: &KnotVector) -> Option<f64> {
        let fitted = fit(knots, &self.u, &self.rows).ok()?;
        let distances = self.u.iter().zip(&self.rows).flat_map(|(&(t, _), row)| {
            let value = fitted.at(t);
            let off = |(a, b): (&[f64], &[f64])| (place(a) - place(b)).length();
            row.chunks(self.width).zip(value.chunks(self.width)).map(off).collect::<Vec<f64>>()
        });
        Some(distances.fold(0.0, f64::max))
    }

    /// The control rows of the best fit over knots in u.
    pub fn rows_along_u(&self, knots: &KnotVector) -> Option<Vec<Vec<f64>>> {
        fit(knots, &self.u, &self.rows).ok().map(|f| f.rows)
    }

    /// The surface with the least squares from the grid.
    ///
    /// # Errors
    /// See [`FitError`].
    pub fn surface(&self, ku: &KnotVector, kv: &KnotVector) -> Result<Surface, FitError> {
        let half = fit(ku, &self.u, &self.rows)?;
        let whole = fit(kv, &self.v, &turned(&half.rows, self.width))?;
        let net = turned(&whole.rows, self.width);
        let all: Vec<&[f64]> = net.iter().flat_map(|row| row.chunks(self.width)).collect();
        let points = all.iter().map(|c| Point3::from_vec(place(c) + self.centre)).collect();
        let weights = (self.width == 4).then(|| all.iter().map(|c| c.get(3).copied().unwrap_or(1.0)).collect());
        Ok(Surface::new(ku.clone(), kv.clone(), points, weights)?)
    }

    /// Largest distance, mm, of a surface from the grid, point for point.
    pub fn off(&self, surface: &Surface) -> f64 {
        self.places().map(|(uv, p)| surface.derivs(uv.u, uv.v, 0).s.distance(p)).fold(0.0, f64::max)
    }

    /// The grid's places with their parameters and weights.
    pub fn places(&self) -> impl Iterator<Item = (Point2, Point3)> {
        self.u.iter().zip(&self.rows).flat_map(move |(a, row)| {
            let at = move |(b, c): (&(f64, f64), &[f64])| (Point2::new(a.0, b.0), Point3::from_vec(place(c) + self.centre));
            self.v.iter().zip(row.chunks(self.width)).map(at)
        })
    }
}

impl Fitted {
    fn at(&self, t: f64) -> Vec<f64> {
        let basis = BasisDerivs::<1>::at(&self.knots, self.knots.span(t), t, 0);
        combined(basis.rows[0].get(..=self.knots.degree()).unwrap_or(&[]), &self.rows, basis.first)
    }
}

fn fit(knots: &KnotVector, at: &Nodes, values: &[Vec<f64>]) -> Result<Fitted, FitError> {
    let (places, weights): (Vec<f64>, Vec<f64>) = at.iter().map(|&(t, w)| (t, w.sqrt())).unzip();
    Ok(Fitted { knots: knots.clone(), rows: reduced(knots, &places, &weights, values.to_vec()).solve()? })
}

/// The sum of control rows from `first` on, each times its factor.
pub(in crate::nurbs) fn combined(factors: &[f64], rows: &[Vec<f64>], first: usize) -> Vec<f64> {
    let mut sum = vec![0.0; rows.first().map_or(0, Vec::len)];
    for (n, row) in factors.iter().zip(rows.iter().skip(first)) {
        sum.iter_mut().zip(row).for_each(|(s, x)| *s += n * x);
    }
    sum
}

fn place(homogeneous: &[f64]) -> Vec3 {
    match *homogeneous {
        [x, y, z, w] => Vec3::new(x, y, z) / w,
        [x, y, z] => Vec3::new(x, y, z),
        _ => Vec3::ZERO,
    }
}
