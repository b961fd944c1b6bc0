//! Curves in a plane of parameters, as the file writes them. ISO 10303-42, 4.4.25 to 4.4.49 with two coordinates.

use super::composite::{Cut, PIECE_COST, cut, turned};
use super::curve::{composite, positive};
use super::foot::{foot, inverse_sinh};
use super::plane_spline::{self, Spline2};
use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Conic2, Curve, Line2, Pcurve, Surface, SurfaceSearch};
use crate::math::{Point2, Point3, Vec2, real};

/// A curve in a parameter plane, angles in the file's unit, and the parameters it is cut at.
#[derive(Debug, Clone)]
pub(super) struct PlaneCurve {
    pub shape: Shape2,
    /// Start and end, for a curve with ends of its own.
    pub ends: Option<(f64, f64)>,
}

/// What a curve in a parameter plane can be.
#[derive(Debug, Clone)]
pub(super) enum Shape2 {
    /// One of the model's own kinds.
    Ready(Pcurve),
    /// Vertex, axis (unit), focal distance.
    Parabola(Point2, Vec2, f64),
    /// Centre and both half-axes.
    Hyperbola(Conic2),
}

impl<'a> Reader<'a, '_> {
    /// Plane curve `id`.
    pub(super) fn plane_curve(&mut self, id: u64, units: &Units) -> Result<PlaneCurve, Fault> {
        self.within(id, |reader, instance| {
            let fields = instance.fields();
            let whole = |shape| Ok(PlaneCurve { shape, ends: None });
            if Self::is_spline_curve(instance) {
                return whole(Shape2::Ready(Pcurve::Nurbs(reader.spline_curve(instance, Self::point2)?)));
            }
            if composite(instance).is_some() {
                let spline = reader.plane_composite(instance, units)?;
                return whole(Shape2::Ready(Pcurve::Nurbs(spline)));
            }
            whole(match instance.kind() {
                "LINE" => {
                    let [u, v] = reader.point2(fields.id(1)?)?;
                    let vector = reader.file.get(fields.id(2)?)?;
                    let magnitude = positive(vector.fields(), 2)?;
                    let direction = reader.direction2(vector.fields().id(1)?)? * magnitude;
                    Shape2::Ready(Pcurve::Line(Line2 { origin: Point2::new(u, v), direction }))
                }
                "CIRCLE" => Shape2::Ready(Pcurve::Conic(reader.axes2(fields, positive(fields, 2)?, positive(fields, 2)?)?)),
                "ELLIPSE" => Shape2::Ready(Pcurve::Conic(reader.axes2(fields, positive(fields, 2)?, positive(fields, 3)?)?)),
                "HYPERBOLA" => Shape2::Hyperbola(reader.axes2(fields, positive(fields, 2)?, positive(fields, 3)?)?),
                "PARABOLA" => {
                    let (Conic2 { centre, a, .. }, focal) = (reader.axes2(fields, 1.0, 1.0)?, fields.real(2)?);
                    if focal == 0.0 {
                        return Err(fields.fault(Reason::Argument { index: 2, expected: "a number other than zero" }));
                    }
                    Shape2::Parabola(centre, if focal < 0.0 { -a } else { a }, focal.abs())
                }
                "POLYLINE" => Shape2::Ready(Pcurve::Nurbs(reader.points_joined(fields, Self::point2)?)),
                "TRIMMED_CURVE" => return reader.plane_trimmed(fields, units),
                _ => return Err(instance.fault(Reason::Unsupported)),
            })
        })
    }

    /// Centre and half-axes from the placement of a conic.
    fn axes2(&mut self, fields: Fields<'_, '_>, semi_x: f64, semi_y: f64) -> Result<Conic2, Fault> {
        let ([u, v], x) = self.frame2(fields.id(1)?)?;
        Ok(Conic2 { centre: Point2::new(u, v), a: x * semi_x, b: x.perp() * semi_y })
    }

    fn plane_trimmed(&mut self, fields: Fields<'_, 'a>, units: &Units) -> Result<PlaneCurve, Fault> {
        let PlaneCurve { shape, .. } = self.plane_curve(fields.id(1)?, units)?;
        let turns = matches!(shape, Shape2::Ready(Pcurve::Conic(_)));
        let mut end = |index| match cut(fields, index, if turns { units.angle } else { 1.0 })? {
            Cut::Parameter(t) => Ok(t),
            Cut::Point(id) => {
                let [u, v] = self.point2(id)?;
                Ok(shape.parameter(Point2::new(u, v)))
            }
        };
        let (start, mut stop) = (end(2)?, end(3)?);
        if turns {
            stop = turned(start, stop, fields.flag(4)?);
        }
        if start == stop {
            return Err(fields.fault(Reason::Geometry("it is cut to a point")));
        }
        Ok(PlaneCurve { shape, ends: Some((start, stop)) })
    }

    /// The segments of a composite curve as one spline.
    fn plane_composite(&mut self, instance: &Instance<'a>, units: &Units) -> Result<Spline2, Fault> {
        let fields = composite(instance).ok_or_else(|| instance.fault(Reason::Unsupported))?;
        let mut pieces = Vec::new();
        for id in fields.ids(0)? {
            let segment = self.segment(id)?;
            let PlaneCurve { shape, ends } = self.plane_curve(segment.curve, units)?;
            let no_ends = || instance.fault(Reason::Geometry("one of its segments has no ends"));
            let (a, b) = ends.or_else(|| shape.natural_ends()).ok_or_else(no_ends)?;
            let (a, b) = if segment.forward { (a, b) } else { (b, a) };
            let piece = shape.piece(a, b).map_err(|e| instance.fault(Reason::Spline(e)))?;
            self.budget.points(piece.points().len().max(PIECE_COST), instance.at)?;
            pieces.push(piece);
        }
        if pieces.is_empty() {
            return Err(instance.fault(Reason::Geometry("it has no segment")));
        }
        plane_spline::join(&pieces).map_err(|e| instance.fault(Reason::Spline(e)))
    }
}

impl Shape2 {
    /// The curve as one of the model's kinds, and its ends there. Parabolas and hyperbolas become splines, exactly,
    /// between their ends or, where they have none, the points that `between` gives.
    pub(super) fn bounded(
        self,
        ends: Option<(f64, f64)>,
        between: impl FnOnce() -> Option<[Point2; 2]>,
    ) -> Result<(Pcurve, Option<(f64, f64)>), Reason> {
        if let Shape2::Ready(curve) = self {
            return Ok((curve, ends));
        }
        let ends = ends.or_else(|| between().map(|[p, q]| (self.parameter(p), self.parameter(q))));
        let (a, b) = ends.ok_or(Reason::Geometry("it has no ends"))?;
        let piece = self.piece(a, b).map_err(Reason::Spline)?;
        Ok((Pcurve::Nurbs(piece), Some((0.0, 1.0))))
    }

    fn natural_ends(&self) -> Option<(f64, f64)> {
        match self {
            Shape2::Ready(Pcurve::Nurbs(c)) => Some((c.domain().low, c.domain().high)),
            Shape2::Ready(Pcurve::Conic(_)) => Some((0.0, real::TAU)),
            _ => None,
        }
    }

    fn piece(&self, a: f64, b: f64) -> Result<Spline2, crate::nurbs::NurbsError> {
        match self {
            Shape2::Ready(curve) => plane_spline::piece(curve, a, b),
            Shape2::Parabola(vertex, axis, focal) => plane_spline::parabola(*vertex, *axis, *focal, a, b),
            Shape2::Hyperbola(axes) => axes.hyperbola(a, b),
        }
    }

    /// The parameter of a point on the curve.
    fn parameter(&self, p: Point2) -> f64 {
        match self {
            Shape2::Parabola(vertex, axis, focal) => (p - *vertex).dot(axis.perp()) / (2.0 * focal),
            Shape2::Hyperbola(c) => inverse_sinh((p - c.centre).dot(c.b) / c.b.length_squared()),
            Shape2::Ready(Pcurve::Line(line)) => (p - line.origin).dot(line.direction) / line.direction.length_squared(),
            Shape2::Ready(Pcurve::Conic(c)) => {
                let d = p - c.centre;
                real::atan2(d.dot(c.b) / c.b.length_squared(), d.dot(c.a) / c.a.length_squared())
            }
            Shape2::Ready(Pcurve::Nurbs(c)) => {
                let points = c.points().iter().map(|&[u, v]| [u, v, 0.0]).collect();
                let space = crate::nurbs::Curve::new(c.knots().clone(), points, c.weights().map(<[f64]>::to_vec));
                space.map_or(c.domain().low, |s| foot(&Curve::Nurbs(s), Point3::new(p.u, p.v, 0.0)).t)
            }
        }
    }
}

/// Parameters, as the file would write them, of the foot of a point on a surface whose parameters count `factor_u` and
/// `factor_v` of ours.
pub(super) fn written_foot(surface: &Surface, p: Point3, factor_u: f64, factor_v: f64) -> Point2 {
    let uv = SurfaceSearch::new(surface).closest(surface, p).uv;
    Point2::new(uv.u / factor_u, uv.v / factor_v)
}
