//! Points, directions, placements and transformations. ISO 10303-42, 4.4.

use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, Reason};
use crate::math::{Frame, Point3, Similarity, Vec2, Vec3};

/// Largest coordinate taken, file units. Larger: squares of lengths and products of them may overflow; smaller:
/// maps in geographic coordinates would be refused.
const LARGEST: f64 = 1e15;

impl<'a> Reader<'a, '_> {
    fn coordinates<const D: usize>(&mut self, id: u64) -> Result<[f64; D], Fault> {
        let instance = self.file.get(id)?;
        if !instance.is("CARTESIAN_POINT") {
            return Err(instance.fault(Reason::Geometry("a CARTESIAN_POINT was expected")));
        }
        let given = instance.record("CARTESIAN_POINT").unwrap_or_else(|| instance.fields());
        let given = given.reals(if instance.is_simple() { 1 } else { 0 })?;
        if given.iter().any(|x| x.abs() > LARGEST) {
            return Err(instance.fault(Reason::Geometry("a coordinate is too large to be meant")));
        }
        <[f64; D]>::try_from(given).map_err(|_| instance.fault(Reason::Geometry("it has another number of coordinates than its use needs")))
    }

    pub(super) fn point3(&mut self, id: u64) -> Result<[f64; 3], Fault> {
        self.coordinates(id)
    }

    pub(super) fn point2(&mut self, id: u64) -> Result<[f64; 2], Fault> {
        self.coordinates(id)
    }

    pub(super) fn point(&mut self, id: u64) -> Result<Point3, Fault> {
        self.point3(id).map(|[x, y, z]| Point3::new(x, y, z))
    }

    fn ratios(&mut self, id: u64) -> Result<(Vec<f64>, Instance<'a>), Fault> {
        let instance = self.file.get(id)?;
        if !instance.is("DIRECTION") {
            return Err(instance.fault(Reason::Geometry("a DIRECTION was expected")));
        }
        Ok((instance.fields().reals(1)?, instance))
    }

    pub(super) fn direction3(&mut self, id: u64) -> Result<Vec3, Fault> {
        let (ratios, instance) = self.ratios(id)?;
        let direction = match ratios.as_slice() {
            &[x, y, z] => Vec3::new(x, y, z).try_normalize(),
            _ => None,
        };
        direction.ok_or_else(|| instance.fault(Reason::Geometry("a direction needs three numbers, not all zero")))
    }

    pub(super) fn direction2(&mut self, id: u64) -> Result<Vec2, Fault> {
        let (ratios, instance) = self.ratios(id)?;
        let direction = match ratios.as_slice() {
            &[x, y] => Vec2::new(x, y).try_normalize(),
            _ => None,
        };
        direction.ok_or_else(|| instance.fault(Reason::Geometry("a direction needs two numbers, not both zero")))
    }

    /// An axis2_placement_3d, file units.
    pub(super) fn frame(&mut self, id: u64) -> Result<Frame, Fault> {
        let instance = self.file.get(id)?;
        if !instance.is("AXIS2_PLACEMENT_3D") {
            return Err(instance.fault(Reason::Geometry("an AXIS2_PLACEMENT_3D was expected")));
        }
        let fields = instance.fields();
        let origin = self.point(fields.id(1)?)?;
        let axis = fields.optional_id(2).map(|d| self.direction3(d)).transpose()?;
        let reference = fields.optional_id(3).map(|d| self.direction3(d)).transpose()?;
        Ok(Frame::from_axis(origin, axis, reference))
    }

    /// An axis2_placement_2d: origin and first axis.
    pub(super) fn frame2(&mut self, id: u64) -> Result<([f64; 2], Vec2), Fault> {
        let instance = self.file.get(id)?;
        if !instance.is("AXIS2_PLACEMENT_2D") {
            return Err(instance.fault(Reason::Geometry("an AXIS2_PLACEMENT_2D was expected")));
        }
        let fields = instance.fields();
        let origin = self.point2(fields.id(1)?)?;
        let x = fields.optional_id(2).map(|d| self.direction2(d)).transpose()?;
        Ok((origin, x.unwrap_or(Vec2::X)))
    }

    /// The motion, in mm, from a placement in units `from_units` to a placement or operator in units `to_units`.
    pub(super) fn motion(&mut self, from: u64, from_units: &Units, to: u64, to_units: &Units) -> Result<Similarity, Fault> {
        let start = scaled(&self.frame(from)?, from_units.length);
        let target = self.file.get(to)?;
        if target.is("CARTESIAN_TRANSFORMATION_OPERATOR_3D") {
            let back = Similarity::between(&start, &Frame::WORLD);
            return Ok(self.operator(&target, to_units)?.after(&back));
        }
        let end = scaled(&self.frame(to)?, to_units.length);
        Ok(Similarity::between(&start, &end))
    }

    /// A cartesian_transformation_operator_3d, in mm. ISO 10303-42, 4.4.23 and base_axis.
    pub(super) fn operator(&mut self, instance: &Instance<'a>, units: &Units) -> Result<Similarity, Fault> {
        if !instance.is_simple() {
            return Err(instance.fault(Reason::Unsupported));
        }
        // Name, and in newer schemas a second name and description, stand in front of the five that count.
        let fields = instance.fields();
        let fields = fields.after(fields.len().saturating_sub(5).max(1));
        let mut axis = |i| fields.optional_id(i).map(|d| self.direction3(d)).transpose();
        let (x, y, z) = (axis(0)?, axis(1)?, axis(4)?);
        let origin = self.point(fields.id(2)?)?;
        let scale = if fields.optional_id(3).is_none() { fields.real(3).unwrap_or(1.0) } else { 1.0 };
        if !(scale.is_finite() && scale > 0.0) {
            return Err(instance.fault(Reason::Geometry("its scale must be positive")));
        }
        let frame = Frame::from_axis(origin, z, x);
        // The second axis only tells the hand: against y it is a reflection.
        let hand = if y.is_some_and(|y| y.dot(frame.y) < 0.0) { -1.0 } else { 1.0 };
        let shift = origin.to_vec() * units.length;
        Ok(Similarity { axes: [frame.x, frame.y * hand, frame.z], scale, shift })
    }
}

fn scaled(frame: &Frame, by: f64) -> Frame {
    Frame { origin: Point3::from_vec(frame.origin.to_vec() * by), ..*frame }
}
