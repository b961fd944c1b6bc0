//! A surface fitted to points.

use super::fairness::product;
use super::system::{System, centre_of, check_parameters, check_weights, interlaced};
use super::{Constraint, Fairness, FitError};
use crate::math::least_squares::LeastSquares;
use crate::math::{Arrange, Point2, Point3};
use crate::nurbs::{BasisDerivs, KnotVector, Surface};

/// A point a surface should pass near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceSample {
    /// Parameters at which it should.
    pub uv: Point2,
    /// The place, mm.
    pub point: Point3,
    /// Weight of its squared distance, > 0; only its share of all weights counts.
    pub weight: f64,
}

/// Points over a grid of parameters.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceGrid {
    /// Parameters in u.
    pub u: Vec<f64>,
    /// Parameters in v.
    pub v: Vec<f64>,
    /// Places, mm: row by row, that of the i-th u and the j-th v is number i · v.len() + j.
    pub points: Vec<Point3>,
    /// Weights of the lines at u, > 0, or none for equal ones; a point's weight is the product of its two.
    pub weights_u: Option<Vec<f64>>,
    /// Weights of the lines at v.
    pub weights_v: Option<Vec<f64>>,
}

/// The surface over the knots with the least weighted mean square distance from the samples at their parameters, plus
/// fairness, that keeps the constraints (see the module's head). NB §9.4.3 asks for a grid; this asks for none.
///
/// # Errors
/// See [`FitError`]; samples that bunch together leave [`FitError::Singular`].
pub fn fit_surface(
    ku: &KnotVector,
    kv: &KnotVector,
    samples: &[SurfaceSample],
    fairness: Option<Fairness>,
    constraints: &[Constraint<3>],
) -> Result<Surface, FitError> {
    check_parameters(ku, samples.iter().map(|s| s.uv.u))?;
    check_parameters(kv, samples.iter().map(|s| s.uv.v))?;
    check_weights(samples.iter().map(|s| s.weight))?;
    let centre = centre_of(samples.iter().map(|s| s.point.to_array()))?;
    let columns = kv.point_count();
    let mut system = System::new(ku.point_count().saturating_mul(columns), constraints, centre)?;
    let sum: f64 = samples.iter().map(|s| s.weight).sum();
    for s in samples {
        let bu = BasisDerivs::<1>::at(ku, ku.span(s.uv.u), s.uv.u, 0);
        let bv = BasisDerivs::<1>::at(kv, kv.span(s.uv.v), s.uv.v, 0);
        let (first, entries) = product(&bu, &bv, (0, 0), (ku.degree(), kv.degree()), columns, 1.0);
        system.add(first, &entries, &s.point.to_array(), (s.weight / sum).sqrt());
    }
    finish(ku, kv, system, samples.len(), fairness)
}

/// As [`fit_surface`], of points over a grid: two small banded fits, one in each direction, in place of one in all
/// control points (NB §9.4.3). With fairness or constraints, what the two leave of the data, one row a control point, joins those.
///
/// # Errors
/// See [`FitError`]; each direction must hold the condition of Schoenberg and Whitney.
pub fn fit_grid(
    ku: &KnotVector,
    kv: &KnotVector,
    grid: &SurfaceGrid,
    fairness: Option<Fairness>,
    constraints: &[Constraint<3>],
) -> Result<Surface, FitError> {
    let (rows, columns) = (grid.u.len(), grid.v.len());
    let count = |expected: usize, given: usize| if expected == given { Ok(()) } else { Err(FitError::Count { expected, given }) };
    count(rows.saturating_mul(columns), grid.points.len())?;
    let weights_u = weights(&grid.weights_u, rows)?;
    let weights_v = weights(&grid.weights_v, columns)?;
    for (knots, at) in [(ku, &grid.u), (kv, &grid.v)] {
        check_parameters(knots, at.iter().copied())?;
        interlaced(knots, at)?;
    }
    let centre = centre_of(grid.points.iter().map(|p| p.to_array()))?;
    // Along u first, every line of the grid at once; then along v, every row of what that leaves.
    let lines = grid.points.chunks(columns.max(1));
    let lines = lines.map(|line| line.iter().flat_map(|p| (*p - Point3::from_vec(centre.into())).to_array()).collect());
    let along_u = reduced(ku, &grid.u, &weights_u, lines.collect());
    if fairness.is_none() && constraints.is_empty() {
        let half = along_u.solve()?;
        let along_v = reduced(kv, &grid.v, &weights_v, turned(&half, 3));
        let whole = turned(&along_v.solve()?, 3);
        let points = whole.iter().flat_map(|row| row.chunks_exact(3)).map(|p| moved(p, &centre)).collect();
        return Ok(Surface::new(ku.clone(), kv.clone(), points, None)?);
    }
    let right: Vec<Vec<f64>> = along_u.rows().map(|(_, _, right)| right.to_vec()).collect();
    let along_v = reduced(kv, &grid.v, &weights_v, turned(&right, 3));
    let right: Vec<Vec<f64>> = along_v.rows().map(|(_, _, right)| right.to_vec()).collect();
    let right = turned(&right, 3);
    let mut system = System::new(ku.point_count() * kv.point_count(), constraints, centre)?;
    let stride = kv.point_count();
    for ((i, a, _), line) in along_u.rows().zip(&right) {
        for ((j, b, _), value) in along_v.rows().zip(line.chunks_exact(3)) {
            let mut entries = vec![0.0; (a.len() - 1) * stride + b.len()];
            for (block, x) in entries.chunks_mut(stride).zip(a) {
                block.iter_mut().zip(b).for_each(|(entry, y)| *entry = x * y);
            }
            // The reduced data count from the centre; the system takes places, and the row's sum tells how far.
            let sum: f64 = entries.iter().sum();
            let place = moved(value, &centre.map(|c| sum * c)).to_array();
            system.add(i * stride + j, &entries, &place, 1.0);
        }
    }
    finish(ku, kv, system, grid.points.len(), fairness)
}

/// Adds the energy and solves.
fn finish(ku: &KnotVector, kv: &KnotVector, mut system: System<3>, given: usize, fairness: Option<Fairness>) -> Result<Surface, FitError> {
    let unknowns = ku.point_count() * kv.point_count();
    if let Some(fairness) = fairness {
        for row in fairness.surface_rows(ku, kv)? {
            system.add(row.first, &row.entries, &[0.0; 3], 1.0);
        }
    } else if given < system.free() {
        return Err(FitError::TooFew { unknowns, given: given + unknowns - system.free() });
    }
    let points = system.solve()?.into_iter().map(|[x, y, z]| Point3::new(x, y, z)).collect();
    Ok(Surface::new(ku.clone(), kv.clone(), points, None)?)
}

/// Weights as square roots of their shares of the sum.
fn weights(given: &Option<Vec<f64>>, expected: usize) -> Result<Vec<f64>, FitError> {
    let Some(given) = given else { return Ok(vec![(1.0 / expected.max(1) as f64).sqrt(); expected]) };
    if given.len() != expected {
        return Err(FitError::Count { expected, given: given.len() });
    }
    check_weights(given.iter().copied())?;
    let sum: f64 = given.iter().sum();
    Ok(given.iter().map(|w| (w / sum).sqrt()).collect())
}

/// The triangle of one direction's fit, with all lines of the grid as right sides; `weights` are square roots.
pub(super) fn reduced(knots: &KnotVector, at: &[f64], weights: &[f64], right: Vec<Vec<f64>>) -> LeastSquares {
    let mut rows: Vec<(usize, Vec<f64>, Vec<f64>)> = Vec::new();
    for ((&t, &w), line) in at.iter().zip(weights).zip(right) {
        let basis = BasisDerivs::<1>::at(knots, knots.span(t), t, 0);
        let entries = basis.rows[0].iter().take(knots.degree() + 1).map(|x| w * x).collect();
        rows.push((basis.first, entries, line.into_iter().map(|x| w * x).collect()));
    }
    rows.arrange_by_key(|row| row.0);
    let sides = rows.first().map_or(0, |row| row.2.len());
    let mut triangle = LeastSquares::new(knots.point_count(), sides);
    for (first, entries, right) in &rows {
        triangle.add(*first, entries, right);
    }
    triangle
}

/// Rows of groups of `width` numbers as columns of such groups.
pub(super) fn turned(rows: &[Vec<f64>], width: usize) -> Vec<Vec<f64>> {
    let columns = rows.first().map_or(0, Vec::len) / width.max(1);
    let column = |j: usize| rows.iter().flat_map(move |row| row.iter().skip(width * j).take(width).copied()).collect();
    (0..columns).map(column).collect()
}

fn moved(p: &[f64], by: &[f64; 3]) -> Point3 {
    let [x, y, z] = core::array::from_fn(|d| p.get(d).copied().unwrap_or(0.0) + by[d]);
    Point3::new(x, y, z)
}
