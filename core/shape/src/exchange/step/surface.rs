//! Surfaces. ISO 10303-42, 4.4.50 to 4.4.76.

use super::composite::joined;
use super::curve::positive;
use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Circle, Cone, Curve, Cylinder, Extrusion, Offset, Plane, Revolution, Sphere, Surface, Torus};
use crate::math::{Frame, Interval, real};

/// A surface with what the file says of it beside its shape.
#[derive(Debug, Clone)]
pub(super) struct Patch {
    pub surface: Surface,
    /// The entity's own normal is Su × Sv; else it is the opposite.
    pub agrees: bool,
    /// The surface entity and those it is cut from: curves in its parameters may name any of them.
    pub ids: Vec<u64>,
    /// What one unit of the entity's parameters counts in the surface's own, angles apart.
    pub scale: (f64, f64),
}

impl<'a> Reader<'a, '_> {
    /// True for what [`Reader::surface`] reads, and for surfaces put together from several.
    pub(super) fn is_surface(instance: &Instance<'a>) -> bool {
        const KINDS: [&str; 13] = [
            "PLANE",
            "CYLINDRICAL_SURFACE",
            "CONICAL_SURFACE",
            "SPHERICAL_SURFACE",
            "TOROIDAL_SURFACE",
            "DEGENERATE_TOROIDAL_SURFACE",
            "SURFACE_OF_REVOLUTION",
            "SURFACE_OF_LINEAR_EXTRUSION",
            "OFFSET_SURFACE",
            "SURFACE_REPLICA",
            "RECTANGULAR_TRIMMED_SURFACE",
            "CURVE_BOUNDED_SURFACE",
            "RECTANGULAR_COMPOSITE_SURFACE",
        ];
        KINDS.contains(&instance.kind()) || Self::is_spline_surface(instance)
    }

    /// Surface `id` in units of its file, angles in radians. Of a bounded surface that is cut from another the whole
    /// of that other: a face on it has bounds of its own.
    pub(super) fn surface(&mut self, id: u64, units: &Units) -> Result<Patch, Fault> {
        self.within(id, |reader, instance| {
            let fields = instance.fields();
            if let Some(mut patch) = reader.derived_surface(instance.kind(), fields, units)? {
                patch.ids.push(id);
                return Ok(patch);
            }
            let (surface, agrees) = match instance.kind() {
                "SURFACE_OF_REVOLUTION" => {
                    let (profile, range, agrees) = reader.swept(fields.id(1)?, units)?;
                    let frame = reader.axis(fields.id(2)?)?;
                    (Surface::Revolution(Revolution { frame, profile: Box::new(profile), range }), agrees)
                }
                "SURFACE_OF_LINEAR_EXTRUSION" => {
                    let (directrix, range, agrees) = reader.swept(fields.id(1)?, units)?;
                    let direction = reader.vector(fields.id(2)?)?;
                    (Surface::Extrusion(Extrusion { directrix: Box::new(directrix), direction, range }), agrees)
                }
                _ if Self::is_spline_surface(instance) => (Surface::Nurbs(reader.spline_surface(instance)?), true),
                kind => (reader.elementary(kind, fields, units)?, true),
            };
            Ok(Patch { surface, agrees, ids: vec![id], scale: (1.0, 1.0) })
        })
    }

    /// A surface that another one makes; None for other kinds.
    fn derived_surface(&mut self, kind: &str, fields: Fields<'_, '_>, units: &Units) -> Result<Option<Patch>, Fault> {
        Ok(Some(match kind {
            "OFFSET_SURFACE" => {
                let (basis, distance) = (self.surface(fields.id(1)?, units)?, fields.real(2)?);
                if offsets(&basis.surface) >= MOST_OFFSETS {
                    return Err(fields.fault(Reason::Geometry("offsets of offsets are nested too deep")));
                }
                let distance = if basis.agrees { distance } else { -distance };
                let surface = Offset::of(basis.surface, distance);
                let surface = surface.ok_or_else(|| fields.fault(Reason::Geometry("its distance is too large to be meant")))?;
                // Its parameters are the basis's, but curves that name the basis lie on the basis.
                Patch { surface, ids: Vec::new(), ..basis }
            }
            "SURFACE_REPLICA" => {
                let (parent, by) = (self.surface(fields.id(1)?, units)?, self.own_operator(fields.id(2)?)?);
                let (surface, (u, v)) = parent.surface.transformed(&by);
                Patch { surface, agrees: parent.agrees, ids: Vec::new(), scale: (parent.scale.0 * u, parent.scale.1 * v) }
            }
            "RECTANGULAR_TRIMMED_SURFACE" => {
                let basis = self.surface(fields.id(1)?, units)?;
                // Reversing one parameter turns the normal round, reversing both does not.
                let agrees = basis.agrees == (fields.flag(6)? == fields.flag(7)?);
                Patch { agrees, ..basis }
            }
            "CURVE_BOUNDED_SURFACE" => self.surface(fields.id(1)?, units)?,
            _ => return Ok(None),
        }))
    }

    fn elementary(&mut self, kind: &str, fields: Fields<'_, '_>, units: &Units) -> Result<Surface, Fault> {
        let positive = |index| positive(fields, index);
        Ok(match kind {
            "PLANE" => Surface::Plane(Plane { frame: self.frame(fields.id(1)?)? }),
            "CYLINDRICAL_SURFACE" => Surface::Cylinder(Cylinder { frame: self.frame(fields.id(1)?)?, radius: positive(2)? }),
            "CONICAL_SURFACE" => {
                let (radius, half_angle) = (fields.real(2)?, fields.real(3)? * units.angle);
                if !(radius >= 0.0 && half_angle > 0.0 && half_angle < real::FRAC_PI_2) {
                    let why = "its radius must not be negative and its half angle must lie between 0 and 90 degrees";
                    return Err(fields.fault(Reason::Geometry(why)));
                }
                Surface::Cone(Cone { frame: self.frame(fields.id(1)?)?, radius, half_angle })
            }
            "SPHERICAL_SURFACE" => Surface::Sphere(Sphere { frame: self.frame(fields.id(1)?)?, radius: positive(2)? }),
            "TOROIDAL_SURFACE" => Surface::Torus(Torus { frame: self.frame(fields.id(1)?)?, major: positive(2)?, minor: positive(3)? }),
            "DEGENERATE_TOROIDAL_SURFACE" => {
                let torus = Torus { frame: self.frame(fields.id(1)?)?, major: positive(2)?, minor: positive(3)? };
                if fields.flag(4)? { Surface::Torus(torus) } else { lemon(&torus) }
            }
            _ => return Err(fields.fault(Reason::Unsupported)),
        })
    }

    /// The curve that sweeps a surface, the part of it that is used, and whether it runs with its entity.
    fn swept(&mut self, id: u64, units: &Units) -> Result<(Curve, Interval, bool), Fault> {
        let instance = self.file.get(id)?;
        let whole = self.curve(id, units)?;
        let domain = whole.curve.domain();
        let cut = matches!(instance.kind(), "TRIMMED_CURVE" | "CURVE_REPLICA" | "OFFSET_CURVE_3D" | "SURFACE_CURVE");
        // A whole curve without ends sweeps a surface without ends; the face on it has its own.
        let pieces = if cut { self.bounded(id, units).ok() } else { None };
        match pieces.and_then(joined) {
            Some((curve, t0, t1)) => Ok((curve, Interval::new(t0.min(t1), t0.max(t1)), t1 > t0)),
            None => Ok((whole.curve, domain, whole.agrees)),
        }
    }

    /// An axis1_placement, or the axis of a fuller one: its z.
    fn axis(&mut self, id: u64) -> Result<Frame, Fault> {
        let instance = self.file.get(id)?;
        if instance.kind() == "AXIS2_PLACEMENT_3D" {
            return self.frame(id);
        }
        if !instance.is("AXIS1_PLACEMENT") {
            return Err(instance.fault(Reason::Geometry("an AXIS1_PLACEMENT was expected")));
        }
        let fields = instance.fields();
        let axis = fields.optional_id(2).map(|d| self.direction3(d)).transpose()?;
        Ok(Frame::from_axis(self.point(fields.id(1)?)?, axis, None))
    }
}

/// How deep offset surfaces may nest. Larger: each level differentiates what lies below once more, and cost grows.
const MOST_OFFSETS: usize = 2;

fn offsets(surface: &Surface) -> usize {
    match surface {
        Surface::Offset(s) => 1 + offsets(&s.basis),
        _ => 0,
    }
}

/// The inner part of a torus that meets itself on its axis: v from φ to 2π − φ, cos φ = −R/r, with the parameters of
/// the whole torus. ISO 10303-42, degenerate_toroidal_surface with select_outer false. A torus that does not meet
/// itself has no inner part and stays whole.
fn lemon(torus: &Torus) -> Surface {
    if torus.major >= torus.minor {
        return Surface::Torus(*torus);
    }
    let f = &torus.frame;
    let frame = Frame { origin: f.point(torus.major, 0.0, 0.0), x: f.x, y: f.z, z: -f.y };
    let profile = Box::new(Curve::Circle(Circle { frame, radius: torus.minor }));
    let turn = real::acos(-torus.major / torus.minor);
    Surface::Revolution(Revolution { frame: *f, profile, range: Interval::new(turn, real::TAU - turn) })
}

/// Which of a surface's parameters are angles, so that curves in its parameter plane follow the unit of angle.
pub(super) fn angular(surface: &Surface) -> (bool, bool) {
    match surface {
        Surface::Plane(_) | Surface::Nurbs(_) | Surface::Ruled(_) => (false, false),
        Surface::Cylinder(_) | Surface::Cone(_) => (true, false),
        Surface::Sphere(_) | Surface::Torus(_) => (true, true),
        Surface::Revolution(s) => (true, s.profile.period().is_some()),
        Surface::Extrusion(s) => (s.directrix.period().is_some(), false),
        Surface::Offset(s) => angular(&s.basis),
    }
}
