//! Surfaces with the parameters IGES gives them. IGES 5.3, 4.7 to 4.30 and 4.39 to 4.43.

use super::curve::Piece;
use super::fit::{ByLength, FIT, extent};
use super::plane_curve::ParamMap;
use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Cone, Curve, Cylinder, Extrusion, Offset, Plane, Revolution, Ruled, Sphere, Surface, Torus};
use crate::math::{Frame, Interval, Point3, Similarity, Vec2, Vec3, real};

/// A surface as the file parametrises it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ground {
    pub surface: Surface,
    /// From the file's parameters to the surface's.
    pub map: ParamMap,
    /// Where the surface ends where nothing trims it.
    pub extent: Extent,
}

/// Where a surface ends by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Extent {
    /// At the borders of its domain.
    Whole,
    /// At these parameters of ours.
    Rectangle(Interval, Interval),
    /// Nowhere.
    Unbounded,
}

impl Ground {
    fn whole(surface: Surface) -> Self {
        Self { surface, map: ParamMap::SAME, extent: Extent::Whole }
    }

    fn unbounded(surface: Surface) -> Self {
        Self { extent: Extent::Unbounded, ..Self::whole(surface) }
    }

    fn counted(self, map: ParamMap) -> Self {
        Self { map, ..self }
    }

    pub fn transformed(&self, by: &Similarity) -> Self {
        let (surface, factors) = self.surface.transformed(by);
        let scaled = |i: Interval, k: f64| Interval::new(i.low * k, i.high * k);
        let extent = match self.extent {
            Extent::Rectangle(u, v) => Extent::Rectangle(scaled(u, factors.0), scaled(v, factors.1)),
            other => other,
        };
        Self { surface, map: self.map.scaled(factors), extent }
    }
}

impl Reader<'_, '_> {
    /// Surface `number`, moved by its matrix; file units. `trimmed` surfaces may run on beyond their own ends.
    pub(super) fn surface(&mut self, number: u32, trimmed: bool) -> Result<Ground, Fault> {
        self.within(number, |reader, record| reader.known_surface(record, trimmed))
    }

    /// The surface that is a face by itself.
    pub(super) fn own_surface(&mut self, record: &Record) -> Result<Ground, Fault> {
        self.known_surface(record, false)
    }

    /// Angles among the parameters of analytic surfaces run in degrees: 0 to 360 about the axis, −90 to 90 up a sphere.
    fn known_surface(&mut self, record: &Record, trimmed: bool) -> Result<Ground, Fault> {
        let ground = match record.kind() {
            108 => Ground::unbounded(plane(record)?),
            114 => Ground::whole(Surface::Nurbs(self.parametric_surface(record)?)),
            118 => self.ruled(record)?,
            120 => self.revolution(record)?,
            122 => self.tabulated(record, trimmed)?,
            128 => Ground::whole(Surface::Nurbs(self.spline_surface(record)?)),
            140 => self.offset_surface(record)?,
            190 => {
                let frame = self.frame(record, 0, Some(1), 2)?;
                Ground::unbounded(Surface::Plane(Plane { frame }))
            }
            192 => {
                let frame = self.frame(record, 0, Some(1), 3)?;
                Ground::unbounded(Surface::Cylinder(Cylinder { frame, radius: radius(record, 2)? })).counted(ParamMap::ANGLE_LENGTH)
            }
            194 => {
                let frame = self.frame(record, 0, Some(1), 4)?;
                let half_angle = record.real(3)?.to_radians();
                let radius = record.real(2)?;
                if !(radius >= 0.0 && half_angle > 0.0 && half_angle < real::FRAC_PI_2) {
                    return Err(record.geometry("its radius is negative, or its half angle is not between 0 and 90 degrees"));
                }
                Ground::unbounded(Surface::Cone(Cone { frame, radius, half_angle })).counted(ParamMap::ANGLE_LENGTH)
            }
            196 => {
                let frame = self.frame(record, 0, (record.form() == 1).then_some(2), 3)?;
                Ground::whole(Surface::Sphere(Sphere { frame, radius: radius(record, 1)? })).counted(ParamMap::ANGLES)
            }
            198 => {
                let frame = self.frame(record, 0, Some(1), 4)?;
                Ground::whole(Surface::Torus(Torus { frame, major: radius(record, 2)?, minor: radius(record, 3)? }))
                    .counted(ParamMap::ANGLES)
            }
            _ => return Err(record.fault(Reason::Unsupported)),
        };
        let motion = self.own_motion(record)?;
        Ok(if motion == Similarity::IDENTITY { ground } else { ground.transformed(&motion) })
    }

    /// Where an analytic surface stands: a point, an axis, and in form 1 the direction its angles count from.
    fn frame(&mut self, record: &Record, at: usize, axis: Option<usize>, reference: usize) -> Result<Frame, Fault> {
        let origin = self.point(record.pointer(at)?)?;
        let axis = axis.map(|i| record.pointer(i).and_then(|n| self.direction(n))).transpose()?;
        let reference = if record.form() == 1 { record.optional_pointer(reference)? } else { None };
        let reference = reference.map(|n| self.direction(n)).transpose()?;
        Ok(Frame::from_axis(origin, axis, reference))
    }

    /// Straight lines between two curves, at equal parameters (form 1) or equal lengths (form 0).
    fn ruled(&mut self, record: &Record) -> Result<Ground, Fault> {
        let (mut first, mut second) = (self.one_curve(record.pointer(0)?)?, self.one_curve(record.pointer(1)?)?);
        // Points pair from start to start, or from start to end.
        if record.integer_or(2, 0)? == 1 {
            second = second.reversed();
        }
        if record.form() == 0 {
            (first, second) = (self.by_length(first, record)?, self.by_length(second, record)?);
        }
        let ranges = ((first.t0, first.t1), (second.t0, second.t1));
        Ok(Ground::whole(Surface::Ruled(Ruled {
            first: Box::new(first.curve),
            first_range: ranges.0,
            second: Box::new(second.curve),
            second_range: ranges.1,
        })))
    }

    /// The piece with a parameter that runs as its length does.
    fn by_length(&mut self, piece: Piece, record: &Record) -> Result<Piece, Fault> {
        if matches!(piece.curve, Curve::Line(_) | Curve::Circle(_)) {
            return Ok(piece);
        }
        let size = extent((0..=8).map(|i| piece.at(f64::from(i) / 8.0)));
        let none = || record.geometry("one of its curves has no length");
        let by_length = ByLength::new(&piece.curve, piece.t0, piece.t1).ok_or_else(none)?;
        let breaks = by_length.breaks();
        let curve = self.fitted(record.at(), &breaks, FIT * size, &|s| by_length.jet(s))?.ok_or_else(none)?;
        let over = curve.domain();
        Ok(Piece { curve, t0: over.low, t1: over.high, source: piece.source })
    }

    /// A curve turned about a line: the curve's parameter comes first, then the angle. IGES 5.3, 4.18 (type 120).
    fn revolution(&mut self, record: &Record) -> Result<Ground, Fault> {
        let axis = self.one_curve(record.pointer(0)?)?;
        let profile = self.one_curve(record.pointer(1)?)?;
        let (a0, a1) = (record.real(2)?, record.real(3)?);
        let direction = axis.end() - axis.start();
        let Some(direction) = direction.try_normalize() else { return Err(record.geometry("its axis has no direction")) };
        if !(a1 > a0 && a1 - a0 <= real::TAU * (1.0 + 1e-6)) {
            return Err(record.geometry("its angles do not rise within one turn"));
        }
        let frame = Frame::from_axis(axis.start(), Some(direction), None);
        // Ours runs along the curve in rising parameters.
        let map = ParamMap { swapped: true, scale: Vec2::ONE, shift: Vec2::ZERO };
        let over = Interval::new(profile.t0.min(profile.t1), profile.t0.max(profile.t1));
        let whole = a1 - a0 >= real::TAU * (1.0 - 1e-6);
        let extent = if whole { Extent::Whole } else { Extent::Rectangle(Interval::new(a0, a1), over) };
        Ok(Ground { surface: Surface::Revolution(Revolution { frame, profile: Box::new(profile.curve), range: over }), map, extent })
    }

    /// A curve pushed along a line; both parameters from 0 to 1. IGES 5.3, 4.19 (type 122).
    fn tabulated(&mut self, record: &Record, trimmed: bool) -> Result<Ground, Fault> {
        let directrix = self.one_curve(record.pointer(0)?)?;
        let direction = record.point(1)? - directrix.start();
        if direction.length_squared() == 0.0 {
            return Err(record.geometry("its generatrix has no length"));
        }
        if !trimmed {
            // Ends by itself, which an extrusion does not.
            let shift = Similarity { shift: direction, ..Similarity::IDENTITY };
            let range = (directrix.t0, directrix.t1);
            let second = Box::new(directrix.curve.transformed(&shift));
            let ruled = Ruled { first: Box::new(directrix.curve), first_range: range, second, second_range: range };
            return Ok(Ground::whole(Surface::Ruled(ruled)));
        }
        let (t0, t1) = (directrix.t0, directrix.t1);
        let range = Interval::new(t0.min(t1), t0.max(t1));
        let map = ParamMap { swapped: false, scale: Vec2::new(t1 - t0, 1.0), shift: Vec2::new(t0, 0.0) };
        let surface = Surface::Extrusion(Extrusion { directrix: Box::new(directrix.curve), direction, range });
        let extent = Extent::Rectangle(range, Interval::new(0.0, 1.0));
        Ok(Ground { surface, map, extent })
    }

    /// A surface at a distance from another, on the side an indicator points to. IGES 5.3, 4.30 (type 140).
    fn offset_surface(&mut self, record: &Record) -> Result<Ground, Fault> {
        let indicator = record.vector(0)?;
        let distance = record.real(3)?;
        let base = self.surface(record.pointer(4)?, false)?;
        let side = side(&base, indicator).ok_or_else(|| record.geometry("its indicator does not tell the side to go to"))?;
        let surface = Offset::of(base.surface, distance * side);
        let surface = surface.ok_or_else(|| record.geometry("its distance is not a number"))?;
        Ok(Ground { surface, ..base })
    }
}

/// +1 where the indicator points along our Su × Sv, −1 against it. The standard means the normal at the start of the
/// domain; where that vanishes or is far from the indicator, places further inside tell.
fn side(base: &Ground, indicator: Vec3) -> Option<f64> {
    let indicator = indicator.try_normalize()?;
    let (u, v) = match base.extent {
        Extent::Rectangle(u, v) => (u, v),
        _ => base.surface.domain(),
    };
    let at = |i: Interval, s: f64| if i.is_bounded() { i.at(s) } else { 0.0 };
    let seen = [0.0, 0.01, 0.5].map(|s| base.surface.normal(at(u, s), at(v, s)).map_or(0.0, |n| n.dot(indicator)));
    let clear = seen.into_iter().find(|d| d.abs() > 0.5);
    let best = seen.into_iter().fold(0.0, |best: f64, d| if d.abs() > best.abs() { d } else { best });
    let told = clear.unwrap_or(best);
    (told != 0.0).then_some(told.signum())
}

/// A x + B y + C z = D. IGES 5.3, 4.8 (type 108).
fn plane(record: &Record) -> Result<Surface, Fault> {
    let normal = record.vector(0)?;
    let length = normal.length();
    let Some(axis) = normal.try_normalize() else { return Err(record.geometry("its normal is zero")) };
    let origin = Point3::from_vec(axis * (record.real(3)? / length));
    Ok(Surface::Plane(Plane { frame: Frame::from_axis(origin, Some(axis), None) }))
}

fn radius(record: &Record, index: usize) -> Result<f64, Fault> {
    let radius = record.real(index)?;
    if radius > 0.0 { Ok(radius) } else { Err(record.geometry("its radius is not positive")) }
}
