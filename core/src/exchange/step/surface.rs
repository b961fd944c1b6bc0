//! Surfaces. ISO 10303-42, 4.4.50 to 4.4.76.

use super::curve::positive;
use super::reader::Reader;
use super::units::Units;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Cone, Curve, Cylinder, Plane, Sphere, Surface, Torus};
use crate::math::real;

impl Reader<'_, '_> {
    /// Surface `id` in units of its file, angles in radians.
    pub(super) fn surface(&mut self, id: u64, units: &Units) -> Result<Surface, Fault> {
        self.within(id, |reader, instance| {
            let fields = instance.fields();
            let positive = |index| positive(fields, index);
            if Self::is_spline_surface(instance) {
                return reader.spline_surface(instance).map(Surface::Nurbs);
            }
            Ok(match instance.kind() {
                "PLANE" => Surface::Plane(Plane { frame: reader.frame(fields.id(1)?)? }),
                "CYLINDRICAL_SURFACE" => Surface::Cylinder(Cylinder { frame: reader.frame(fields.id(1)?)?, radius: positive(2)? }),
                "CONICAL_SURFACE" => {
                    let (radius, half_angle) = (fields.real(2)?, fields.real(3)? * units.angle);
                    if !(radius >= 0.0 && half_angle > 0.0 && half_angle < real::FRAC_PI_2) {
                        let why = "its radius must not be negative and its half angle must lie between 0 and 90 degrees";
                        return Err(instance.fault(Reason::Geometry(why)));
                    }
                    Surface::Cone(Cone { frame: reader.frame(fields.id(1)?)?, radius, half_angle })
                }
                "SPHERICAL_SURFACE" => Surface::Sphere(Sphere { frame: reader.frame(fields.id(1)?)?, radius: positive(2)? }),
                "TOROIDAL_SURFACE" => {
                    Surface::Torus(Torus { frame: reader.frame(fields.id(1)?)?, major: positive(2)?, minor: positive(3)? })
                }
                "DEGENERATE_TOROIDAL_SURFACE" => {
                    if !fields.flag(4)? {
                        return Err(Fault::new(instance.at, "DEGENERATE_TOROIDAL_SURFACE (inner part)", Reason::Unsupported));
                    }
                    Surface::Torus(Torus { frame: reader.frame(fields.id(1)?)?, major: positive(2)?, minor: positive(3)? })
                }
                // With both senses agreeing its parameters are those of the surface it is cut from, and a face trims anew.
                "RECTANGULAR_TRIMMED_SURFACE" if fields.flag(6)? && fields.flag(7)? => return reader.surface(fields.id(1)?, units),
                _ => return Err(instance.fault(Reason::Unsupported)),
            })
        })
    }
}

/// Which of a surface's parameters are angles, so that curves in its parameter plane follow the unit of angle.
pub(super) fn angular(surface: &Surface) -> (bool, bool) {
    match surface {
        Surface::Plane(_) | Surface::Nurbs(_) | Surface::Ruled(_) => (false, false),
        Surface::Revolution(s) => (true, turns(&s.profile)),
        Surface::Extrusion(s) => (turns(&s.directrix), false),
        Surface::Offset(s) => angular(&s.basis),
        Surface::Cylinder(_) | Surface::Cone(_) => (true, false),
        Surface::Sphere(_) | Surface::Torus(_) => (true, true),
    }
}

/// True for a curve whose parameter is an angle.
fn turns(curve: &Curve) -> bool {
    match curve {
        Curve::Circle(_) | Curve::Ellipse(_) => true,
        Curve::Offset(c) => turns(&c.basis),
        _ => false,
    }
}
