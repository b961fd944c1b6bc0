//! The exact surface in a packed face: double precision, relative to the packet's origin.

use super::length;
use crate::bytes::{PacketError, Reader, Writer};

/// A surface in double precision, lengths in mm, relative to the packet's origin.
#[derive(Clone, Debug, PartialEq)]
pub enum SurfaceRecord {
    /// No surface: a reference.
    None,
    /// Through the frame's origin, across its z axis.
    Plane(Frame),
    /// Around the frame's z axis.
    Cylinder {
        /// Axis and origin.
        frame: Frame,
        /// Radius, mm.
        radius: f64,
    },
    /// Around the frame's z axis.
    Cone {
        /// Axis and origin.
        frame: Frame,
        /// Radius at the frame's origin, mm.
        radius: f64,
        /// Half angle, radians; positive where the radius grows along z.
        half_angle: f64,
    },
    /// Around the frame's origin.
    Sphere {
        /// Axes and centre.
        frame: Frame,
        /// Radius, mm.
        radius: f64,
    },
    /// Around the frame's z axis.
    Torus {
        /// Axis and centre.
        frame: Frame,
        /// Radius of the centre circle, mm.
        major: f64,
        /// Radius of the tube, mm; may exceed `major`.
        minor: f64,
    },
    /// Bézier patches side by side.
    Bezier(BezierGrid),
}

/// A right-handed frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Origin relative to the packet's origin, mm.
    pub origin: [f64; 3],
    /// Unit x axis.
    pub x: [f64; 3],
    /// Unit y axis.
    pub y: [f64; 3],
    /// Unit z axis.
    pub z: [f64; 3],
}

/// A NURBS surface cut at its knots into rational Bézier patches.
#[derive(Clone, Debug, PartialEq)]
pub struct BezierGrid {
    /// Degree along u and v.
    pub degree: [usize; 2],
    /// Distinct parameters along u, one more than the spans.
    pub breaks_u: Vec<f64>,
    /// Distinct parameters along v, one more than the spans.
    pub breaks_v: Vec<f64>,
    /// Homogeneous control points (w·x, w·y, w·z, w). Span (i, j) is block j·spans_u + i;
    /// inside a block u runs fastest.
    pub points: Vec<[f64; 4]>,
}

impl BezierGrid {
    /// Spans along u and v.
    pub fn spans(&self) -> [usize; 2] {
        [self.breaks_u.len().saturating_sub(1), self.breaks_v.len().saturating_sub(1)]
    }

    /// Control points in one span's block.
    pub fn block(&self) -> usize {
        (self.degree[0] + 1) * (self.degree[1] + 1)
    }
}

impl SurfaceRecord {
    /// Its kind, and its degrees and spans along u and v where it has them.
    pub(super) fn header(&self) -> (u32, [u32; 4]) {
        match self {
            SurfaceRecord::None => (0, [0; 4]),
            SurfaceRecord::Plane(_) => (1, [0; 4]),
            SurfaceRecord::Cylinder { .. } => (2, [0; 4]),
            SurfaceRecord::Cone { .. } => (3, [0; 4]),
            SurfaceRecord::Sphere { .. } => (4, [0; 4]),
            SurfaceRecord::Torus { .. } => (5, [0; 4]),
            SurfaceRecord::Bezier(grid) => {
                let [p, q] = grid.degree;
                let [su, sv] = grid.spans();
                (6, [length(p), length(q), length(su), length(sv)])
            }
        }
    }

    /// The record as bytes.
    pub(super) fn write(&self, w: &mut Writer) {
        let mut round = |frame: &Frame, a: f64, b: f64| {
            w.f64s(&frame.origin);
            w.f64s(&frame.x);
            w.f64s(&frame.y);
            w.f64s(&frame.z);
            w.f64s(&[a, b]);
        };
        match self {
            SurfaceRecord::None => {}
            SurfaceRecord::Plane(frame) => round(frame, 0.0, 0.0),
            SurfaceRecord::Cylinder { frame, radius } => round(frame, *radius, 0.0),
            SurfaceRecord::Cone { frame, radius, half_angle } => round(frame, *radius, *half_angle),
            SurfaceRecord::Sphere { frame, radius } => round(frame, *radius, 0.0),
            SurfaceRecord::Torus { frame, major, minor } => round(frame, *major, *minor),
            SurfaceRecord::Bezier(grid) => {
                w.f64s(&grid.breaks_u);
                w.f64s(&grid.breaks_v);
                w.f64s(grid.points.as_flattened());
            }
        }
    }

    /// Reads a record; errors when it is cut short or of no known kind.
    pub(super) fn read(r: &mut Reader, kind: u32, shape: [u32; 4]) -> Result<Self, PacketError> {
        if kind == 6 {
            let [p, q, su, sv] = shape.map(|n| usize::try_from(n).unwrap_or(usize::MAX));
            let breaks_u = r.f64s(su.checked_add(1).ok_or(PacketError::Short)?)?;
            let breaks_v = r.f64s(sv.checked_add(1).ok_or(PacketError::Short)?)?;
            let count = [p.checked_add(1), q.checked_add(1), Some(su), Some(sv), Some(4)]
                .into_iter()
                .try_fold(1usize, |n, f| n.checked_mul(f?))
                .ok_or(PacketError::Short)?;
            let points = r.f64s(count)?.as_chunks().0.to_vec();
            return Ok(SurfaceRecord::Bezier(BezierGrid { degree: [p, q], breaks_u, breaks_v, points }));
        }
        if kind == 0 {
            return Ok(SurfaceRecord::None);
        }
        let frame = Frame { origin: r.f64_array()?, x: r.f64_array()?, y: r.f64_array()?, z: r.f64_array()? };
        let [a, b] = r.f64_array()?;
        match kind {
            1 => Ok(SurfaceRecord::Plane(frame)),
            2 => Ok(SurfaceRecord::Cylinder { frame, radius: a }),
            3 => Ok(SurfaceRecord::Cone { frame, radius: a, half_angle: b }),
            4 => Ok(SurfaceRecord::Sphere { frame, radius: a }),
            5 => Ok(SurfaceRecord::Torus { frame, major: a, minor: b }),
            _ => Err(PacketError::Range),
        }
    }
}
