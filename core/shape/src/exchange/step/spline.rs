//! B-splines of every sub-type. ISO 10303-42, 4.4.43 (curves) and 4.4.76 (surfaces).

use super::reader::Reader;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, Reason};
use crate::math::Point3;
use crate::nurbs::{self, KnotVector, MAX_DEGREE, NurbsError};

impl<'a> Reader<'a, '_> {
    /// True for what [`Reader::spline_curve`] reads.
    pub(super) fn is_spline_curve(instance: &Instance<'a>) -> bool {
        ["B_SPLINE_CURVE", "B_SPLINE_CURVE_WITH_KNOTS", "BEZIER_CURVE", "UNIFORM_CURVE", "QUASI_UNIFORM_CURVE"]
            .iter()
            .any(|n| instance.is(n))
    }

    /// True for what [`Reader::spline_surface`] reads.
    pub(super) fn is_spline_surface(instance: &Instance<'a>) -> bool {
        ["B_SPLINE_SURFACE", "B_SPLINE_SURFACE_WITH_KNOTS", "BEZIER_SURFACE", "UNIFORM_SURFACE", "QUASI_UNIFORM_SURFACE"]
            .iter()
            .any(|n| instance.is(n))
    }

    /// A B-spline curve; `point` reads a control point.
    pub(super) fn spline_curve<const D: usize>(
        &mut self,
        instance: &Instance<'a>,
        point: fn(&mut Self, u64) -> Result<[f64; D], Fault>,
    ) -> Result<nurbs::Curve<D>, Fault> {
        let (base, knots) = parts(instance, "B_SPLINE_CURVE", "B_SPLINE_CURVE_WITH_KNOTS", 6)?;
        let degree = base.count(0)?;
        let ids = base.ids(1)?;
        let knots = match knots {
            Some(f) => expanded(f, degree, ids.len(), f.counts(0)?, f.reals(1)?)?,
            None => Rule::of(instance, "UNIFORM_CURVE", "QUASI_UNIFORM_CURVE").knots(base, degree, ids.len())?,
        };
        let weights = instance.record("RATIONAL_B_SPLINE_CURVE").map(|f| f.reals(0)).transpose()?;
        self.budget.points(ids.len(), instance.at)?;
        let points = ids.into_iter().map(|id| point(self, id)).collect::<Result<_, _>>()?;
        nurbs::Curve::new(knots, points, weights).map_err(|e| base.fault(Reason::Spline(e)))
    }

    /// A B-spline surface.
    pub(super) fn spline_surface(&mut self, instance: &Instance<'a>) -> Result<nurbs::Surface, Fault> {
        let (base, knots) = parts(instance, "B_SPLINE_SURFACE", "B_SPLINE_SURFACE_WITH_KNOTS", 8)?;
        let (degree_u, degree_v) = (base.count(0)?, base.count(1)?);
        let (ids, columns) = base.grid(2, "a net of references", crate::exchange::part21::reference)?;
        let rows = ids.len().checked_div(columns).unwrap_or(0);
        let (knots_u, knots_v) = match knots {
            Some(f) => {
                (expanded(f, degree_u, rows, f.counts(0)?, f.reals(2)?)?, expanded(f, degree_v, columns, f.counts(1)?, f.reals(3)?)?)
            }
            None => {
                let rule = Rule::of(instance, "UNIFORM_SURFACE", "QUASI_UNIFORM_SURFACE");
                (rule.knots(base, degree_u, rows)?, rule.knots(base, degree_v, columns)?)
            }
        };
        let weights = match instance.record("RATIONAL_B_SPLINE_SURFACE") {
            Some(f) => {
                let (weights, across): (Vec<f64>, usize) = f.grid(0, "a net of numbers", crate::exchange::part21::number)?;
                if across != columns {
                    return Err(base.fault(Reason::Geometry("the net of weights has another shape than the net of points")));
                }
                Some(weights)
            }
            None => None,
        };
        self.budget.points(ids.len(), instance.at)?;
        let points: Vec<Point3> = ids.into_iter().map(|id| self.point(id)).collect::<Result<_, _>>()?;
        nurbs::Surface::new(knots_u, knots_v, points, weights).map_err(|e| base.fault(Reason::Spline(e)))
    }
}

/// The values of the plain spline, and those of its knots where it gives any. In a simple entity the name stands in
/// front and the knots from index `knots_at` on.
fn parts<'i, 'a>(
    instance: &'i Instance<'a>,
    base: &'static str,
    with_knots: &'static str,
    knots_at: usize,
) -> Result<(Fields<'i, 'a>, Option<Fields<'i, 'a>>), Fault> {
    if instance.is_simple() {
        let fields = instance.fields();
        return Ok((fields.after(1), instance.is(with_knots).then(|| fields.after(knots_at))));
    }
    let base = instance.record(base).ok_or_else(|| instance.fault(Reason::Geometry("the record of its degree and points is missing")))?;
    Ok((base, instance.record(with_knots)))
}

/// The full knot sequence from distinct knots and how often each stands.
fn expanded(f: Fields<'_, '_>, degree: usize, points: usize, multiplicities: Vec<usize>, knots: Vec<f64>) -> Result<KnotVector, Fault> {
    check_degree(f, degree)?;
    let needed = points.saturating_add(degree + 1);
    let given = multiplicities.iter().try_fold(0usize, |sum, &m| sum.checked_add(m)).unwrap_or(usize::MAX);
    if multiplicities.len() != knots.len() || given != needed {
        return Err(f.fault(Reason::Spline(NurbsError::KnotCount { points, degree, knots: given })));
    }
    let full = knots.iter().zip(&multiplicities).flat_map(|(&k, &m)| core::iter::repeat_n(k, m)).collect();
    KnotVector::new(degree, full).map_err(|e| f.fault(Reason::Spline(e)))
}

fn check_degree(f: Fields<'_, '_>, degree: usize) -> Result<(), Fault> {
    let known = (1..=MAX_DEGREE).contains(&degree);
    if known { Ok(()) } else { Err(f.fault(Reason::Spline(NurbsError::Degree(degree)))) }
}

/// How knots follow from the type where none are written. ISO 10303-42, default_b_spline_knots and _knot_mult.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    /// Pieces that each use degree + 1 points of their own, sharing the ends.
    Pieces,
    /// Equal steps of multiplicity one throughout, from −degree.
    Uniform,
    /// Equal steps, full multiplicity at both ends.
    Clamped,
}

impl Rule {
    fn of(instance: &Instance<'_>, uniform: &str, clamped: &str) -> Self {
        if instance.is(uniform) {
            Rule::Uniform
        } else if instance.is(clamped) {
            Rule::Clamped
        } else {
            Rule::Pieces
        }
    }

    fn knots(self, f: Fields<'_, '_>, degree: usize, points: usize) -> Result<KnotVector, Fault> {
        check_degree(f, degree)?;
        let spans = points.saturating_sub(1) / degree;
        let fits = points > degree && (self != Rule::Pieces || spans * degree + 1 == points);
        if !fits {
            return Err(f.fault(Reason::Geometry("the number of control points does not fit the degree")));
        }
        let knots: Vec<f64> = match self {
            Rule::Uniform => (0..points + degree + 1).map(|i| i as f64 - degree as f64).collect(),
            Rule::Clamped | Rule::Pieces => {
                let (spans, inner) = if self == Rule::Clamped { (points - degree, 1) } else { (spans, degree) };
                let times = |i| if i == 0 || i == spans { degree + 1 } else { inner };
                (0..=spans).flat_map(|i| core::iter::repeat_n(i as f64, times(i))).collect()
            }
        };
        KnotVector::new(degree, knots).map_err(|e| f.fault(Reason::Spline(e)))
    }
}

/// Distinct values with how often each stands: what the file format calls knots and multiplicities.
pub(in crate::exchange) fn compressed(knots: &[f64]) -> (Vec<usize>, Vec<f64>) {
    let (mut multiplicities, mut distinct): (Vec<usize>, Vec<f64>) = (Vec::new(), Vec::new());
    for &k in knots {
        match (distinct.last(), multiplicities.last_mut()) {
            (Some(&last), Some(m)) if last == k => *m += 1,
            _ => {
                distinct.push(k);
                multiplicities.push(1);
            }
        }
    }
    (multiplicities, distinct)
}
