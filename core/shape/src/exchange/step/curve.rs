//! Space curves. ISO 10303-42, 4.4.25 to 4.4.49.

use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Chain, Circle, Curve, Ellipse, Hyperbola, Line, OffsetCurve, Parabola};
use crate::math::{Similarity, Vec3};
use crate::nurbs::{self, KnotVector};

/// A curve with the direction it is meant in.
#[derive(Debug, Clone)]
pub(super) struct Directed {
    pub curve: Curve,
    /// False when the entity runs against `curve`.
    pub agrees: bool,
}

impl<'a> Reader<'a, '_> {
    /// True for what [`Reader::curve`] reads.
    pub(super) fn is_curve(instance: &Instance<'a>) -> bool {
        const KINDS: [&str; 9] =
            ["LINE", "CIRCLE", "ELLIPSE", "PARABOLA", "HYPERBOLA", "POLYLINE", "TRIMMED_CURVE", "OFFSET_CURVE_3D", "CURVE_REPLICA"];
        KINDS.contains(&instance.kind())
            || Self::is_spline_curve(instance)
            || composite(instance).is_some()
            || on_surface(instance).is_some()
            || instance.is("PCURVE")
    }

    /// Space curve `id` in units of its file, angles in radians. Of a trimmed curve the whole curve it is cut from:
    /// the edge on it has vertices of its own.
    pub(super) fn curve(&mut self, id: u64, units: &Units) -> Result<Directed, Fault> {
        self.within(id, |reader, instance| {
            let fields = instance.fields();
            if Self::is_spline_curve(instance) {
                let curve = Curve::Nurbs(reader.spline_curve(instance, Self::point3)?);
                return Ok(Directed { curve, agrees: true });
            }
            if let Some(surface_curve) = on_surface(instance) {
                return reader.curve(surface_curve.id(0)?, units);
            }
            if composite(instance).is_some() {
                return Ok(Directed { curve: Curve::Chain(Chain { pieces: reader.pieces(instance, units)? }), agrees: true });
            }
            if instance.is("PCURVE") {
                return Ok(Directed { curve: reader.lifted_pcurve(instance, units)?.0, agrees: true });
            }
            let curve = match instance.kind() {
                "LINE" => {
                    let direction = reader.vector(fields.id(2)?)?;
                    Curve::Line(Line { origin: reader.point(fields.id(1)?)?, direction })
                }
                "CIRCLE" => Curve::Circle(Circle { frame: reader.frame(fields.id(1)?)?, radius: positive(fields, 2)? }),
                "ELLIPSE" => {
                    let frame = reader.frame(fields.id(1)?)?;
                    Curve::Ellipse(Ellipse { frame, semi_x: positive(fields, 2)?, semi_y: positive(fields, 3)? })
                }
                "PARABOLA" => {
                    // The standard allows a negative focal distance: the mouth then opens the other way.
                    let (mut frame, focal) = (reader.frame(fields.id(1)?)?, fields.real(2)?);
                    if focal == 0.0 {
                        return Err(fields.fault(Reason::Argument { index: 2, expected: "a number other than zero" }));
                    }
                    if focal < 0.0 {
                        (frame.x, frame.y) = (-frame.x, -frame.y);
                    }
                    Curve::Parabola(Parabola { frame, focal: focal.abs() })
                }
                "HYPERBOLA" => {
                    let frame = reader.frame(fields.id(1)?)?;
                    Curve::Hyperbola(Hyperbola { frame, semi_x: positive(fields, 2)?, semi_y: positive(fields, 3)? })
                }
                "POLYLINE" => Curve::Nurbs(reader.polyline(fields)?),
                "OFFSET_CURVE_3D" => {
                    let basis = reader.curve(fields.id(1)?, units)?;
                    let curve = reader.offset(fields, basis.curve, basis.agrees)?;
                    return Ok(Directed { curve, agrees: basis.agrees });
                }
                "CURVE_REPLICA" => {
                    let parent = reader.curve(fields.id(1)?, units)?;
                    let by = reader.own_operator(fields.id(2)?)?;
                    return Ok(Directed { curve: parent.curve.transformed(&by), ..parent });
                }
                "TRIMMED_CURVE" => {
                    let whole = reader.curve(fields.id(1)?, units)?;
                    let agrees = whole.agrees == fields.flag(4)?;
                    return Ok(Directed { agrees, ..whole });
                }
                _ => return Err(instance.fault(Reason::Unsupported)),
            };
            Ok(Directed { curve, agrees: true })
        })
    }

    /// The offset, as the fields of an OFFSET_CURVE_3D say, of a basis that runs with its entity or against it.
    pub(super) fn offset(&mut self, fields: Fields<'_, '_>, basis: Curve, agrees: bool) -> Result<Curve, Fault> {
        let (distance, reference) = (fields.real(2)?, self.direction3(fields.id(4)?)?);
        let distance = if agrees { distance } else { -distance };
        let offset = OffsetCurve::new(basis, distance, reference);
        let offset = offset.ok_or_else(|| fields.fault(Reason::Geometry("offsets of offsets are nested deeper than two")))?;
        Ok(Curve::Offset(offset))
    }

    /// The transformation of a replica, in the units it is itself written in.
    pub(super) fn own_operator(&mut self, id: u64) -> Result<Similarity, Fault> {
        let operator = self.file.get(id)?;
        if !operator.is("CARTESIAN_TRANSFORMATION_OPERATOR_3D") {
            return Err(operator.fault(Reason::Geometry("a CARTESIAN_TRANSFORMATION_OPERATOR_3D was expected")));
        }
        self.operator(&operator, &Units::default())
    }

    /// Points joined by lines: a spline of degree one over 0, 1, 2, … as the standard parametrises it.
    pub(super) fn polyline(&mut self, fields: Fields<'_, '_>) -> Result<nurbs::Curve<3>, Fault> {
        self.points_joined(fields, Self::point3)
    }

    /// The same in space or in a plane; `point` reads one corner.
    pub(super) fn points_joined<const D: usize>(
        &mut self,
        fields: Fields<'_, '_>,
        point: fn(&mut Self, u64) -> Result<[f64; D], Fault>,
    ) -> Result<nurbs::Curve<D>, Fault> {
        let ids = fields.ids(1)?;
        self.budget.points(ids.len(), fields.at())?;
        let points = ids.into_iter().map(|id| point(self, id)).collect::<Result<Vec<_>, _>>()?;
        if points.len() < 2 {
            return Err(fields.fault(Reason::Geometry("it needs two points at least")));
        }
        let last = points.len() - 1;
        let knots = (0..points.len()).map(|i| i as f64);
        let knots: Vec<f64> = core::iter::once(0.0).chain(knots).chain([last as f64]).collect();
        let spline = KnotVector::new(1, knots).and_then(|k| nurbs::Curve::new(k, points, None));
        spline.map_err(|e| fields.fault(Reason::Spline(e)))
    }

    /// A vector entity: its direction made unit, times its magnitude.
    pub(super) fn vector(&mut self, id: u64) -> Result<Vec3, Fault> {
        let instance = self.file.get(id)?;
        let fields = instance.fields();
        let direction = self.direction3(fields.id(1)?)?;
        Ok(direction * positive(fields, 2)?)
    }
}

/// The values of a curve that lies on surfaces (curve in space, parameter-plane curves or surfaces, which one leads),
/// if the entity is one.
pub(super) fn on_surface<'i, 'a>(instance: &'i Instance<'a>) -> Option<Fields<'i, 'a>> {
    if !instance.is_simple() {
        return instance.record("SURFACE_CURVE");
    }
    matches!(instance.kind(), "SURFACE_CURVE" | "SEAM_CURVE" | "INTERSECTION_CURVE" | "BOUNDED_SURFACE_CURVE")
        .then(|| instance.fields().after(1))
}

/// The values of a composite curve, on a surface or not (segments, whether it meets itself), if the entity is one.
pub(super) fn composite<'i, 'a>(instance: &'i Instance<'a>) -> Option<Fields<'i, 'a>> {
    if !instance.is_simple() {
        return instance.record("COMPOSITE_CURVE");
    }
    matches!(instance.kind(), "COMPOSITE_CURVE" | "COMPOSITE_CURVE_ON_SURFACE" | "BOUNDARY_CURVE" | "OUTER_BOUNDARY_CURVE")
        .then(|| instance.fields().after(1))
}

pub(super) fn positive(fields: Fields<'_, '_>, index: usize) -> Result<f64, Fault> {
    let x = fields.real(index)?;
    if x > 0.0 { Ok(x) } else { Err(fields.fault(Reason::Argument { index, expected: "a positive number" })) }
}
