//! Space curves. ISO 10303-42, 4.4.25 to 4.4.49.

use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::Fields;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Chain, Circle, Curve, Ellipse, Line};
use crate::nurbs::{self, KnotVector};

/// A curve with the direction it is meant in.
#[derive(Debug, Clone)]
pub(super) struct Directed {
    pub curve: Curve,
    /// False when the entity runs against `curve`.
    pub agrees: bool,
}

impl Reader<'_, '_> {
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
            let curve = match instance.kind() {
                "LINE" => {
                    let direction = vector(reader, fields.id(2)?)?;
                    Curve::Line(Line { origin: reader.point(fields.id(1)?)?, direction })
                }
                "CIRCLE" => Curve::Circle(Circle { frame: reader.frame(fields.id(1)?)?, radius: positive(fields, 2)? }),
                "ELLIPSE" => {
                    let frame = reader.frame(fields.id(1)?)?;
                    Curve::Ellipse(Ellipse { frame, semi_x: positive(fields, 2)?, semi_y: positive(fields, 3)? })
                }
                "POLYLINE" => Curve::Nurbs(reader.polyline(fields)?),
                "TRIMMED_CURVE" => {
                    let whole = reader.curve(fields.id(1)?, units)?;
                    let agrees = whole.agrees == fields.flag(4)?;
                    return Ok(Directed { agrees, ..whole });
                }
                "COMPOSITE_CURVE" => Curve::Chain(Chain { pieces: reader.pieces(instance, units)? }),
                _ => return Err(instance.fault(Reason::Unsupported)),
            };
            Ok(Directed { curve, agrees: true })
        })
    }

    /// Points joined by lines: a spline of degree one over 0, 1, 2, … as the standard parametrises it.
    pub(super) fn polyline(&mut self, fields: Fields<'_, '_>) -> Result<nurbs::Curve<3>, Fault> {
        let ids = fields.ids(1)?;
        self.budget.points(ids.len(), fields.at())?;
        let points = ids.into_iter().map(|id| self.point3(id)).collect::<Result<Vec<_>, _>>()?;
        if points.len() < 2 {
            return Err(fields.fault(Reason::Geometry("it needs two points at least")));
        }
        let last = points.len() - 1;
        let knots = (0..points.len()).map(|i| i as f64);
        let knots: Vec<f64> = core::iter::once(0.0).chain(knots).chain([last as f64]).collect();
        let spline = KnotVector::new(1, knots).and_then(|k| nurbs::Curve::new(k, points, None));
        spline.map_err(|e| fields.fault(Reason::Spline(e)))
    }
}

/// The values of a curve that lies on surfaces (curve in space, parameter-plane curves or surfaces, which one leads),
/// if the entity is one.
pub(super) fn on_surface<'i, 'a>(instance: &'i crate::exchange::part21::Instance<'a>) -> Option<Fields<'i, 'a>> {
    if !instance.is_simple() {
        return instance.record("SURFACE_CURVE");
    }
    matches!(instance.kind(), "SURFACE_CURVE" | "SEAM_CURVE" | "INTERSECTION_CURVE" | "BOUNDED_SURFACE_CURVE")
        .then(|| instance.fields().after(1))
}

pub(super) fn positive(fields: Fields<'_, '_>, index: usize) -> Result<f64, Fault> {
    let x = fields.real(index)?;
    if x > 0.0 { Ok(x) } else { Err(fields.fault(Reason::Argument { index, expected: "a positive number" })) }
}

/// A vector entity: its direction made unit, times its magnitude.
fn vector(reader: &mut Reader<'_, '_>, id: u64) -> Result<crate::math::Vec3, Fault> {
    let instance = reader.file.get(id)?;
    let fields = instance.fields();
    let direction = reader.direction3(fields.id(1)?)?;
    Ok(direction * positive(fields, 2)?)
}
