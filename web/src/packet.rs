//! The packed face: all that the page needs of one trimmed face, in one buffer; also of a reference to be seen only.
//!
//! Little endian. Header of sixteen `u32` (magic, version, face id, flags, counts), then `f64`
//! origin, (u,v) box and surface record, then `f32` vertices (position relative to the origin,
//! (u,v) normalised over the box, unit normal: eight numbers each), `u32` triangles, and the
//! boundary polylines (`u32` lengths, `f32` points relative to the origin). A packet stands on
//! its own, so packets may come in any order and from any worker.

use crate::bytes::{PacketError, Reader, Writer};

const MAGIC: u32 = u32::from_le_bytes(*b"RLFA");
const VERSION: u32 = 2;
const HEADER: usize = 16;

/// Numbers for each vertex: position 3, (u,v) 2, normal 3.
pub const VERTEX_FLOATS: usize = 8;

/// One face as it is sent from the worker to the page.
#[derive(Clone, Debug, PartialEq)]
pub struct FacePacket {
    /// Index of the face in the model.
    pub face: u32,
    /// Point that positions and control points are relative to, mm.
    pub origin: [f64; 3],
    /// Parameters at the box's ends: least u, greatest u, least v, greatest v.
    pub uv_box: [f64; 4],
    /// What it is to the review.
    pub role: Role,
    /// The face's outward side is against the surface's normal.
    pub reversed: bool,
    /// The untrimmed surface, exact.
    pub surface: SurfaceRecord,
    /// Eight numbers a vertex.
    pub vertices: Vec<f32>,
    /// Three vertex indices a triangle.
    pub triangles: Vec<u32>,
    /// Boundary polylines, three numbers a point.
    pub boundaries: Vec<Vec<f32>>,
}

/// What a packet is to the review.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A face, measured and drawn exactly.
    Face,
    /// A face whose boundary could not be used: drawn whole and hatched, measured nowhere.
    Untrimmed,
    /// A piece of a mesh, or curves without faces: only seen. `face` counts the pieces.
    Reference,
}

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

impl FacePacket {
    /// The packet as bytes.
    pub fn write(&self) -> Vec<u8> {
        let (kind, shape) = self.surface.header();
        let mut w = Writer::default();
        w.u32s(&[MAGIC, VERSION, self.face, u32::from(self.reversed) | (self.role as u32) << 1]);
        w.u32s(&[length(self.vertices.len() / VERTEX_FLOATS), length(self.triangles.len() / 3), length(self.boundaries.len()), kind]);
        w.u32s(&shape);
        w.u32s(&[0; HEADER - 12]);
        w.f64s(&self.origin);
        w.f64s(&self.uv_box);
        self.surface.write(&mut w);
        w.f32s(&self.vertices);
        w.u32s(&self.triangles);
        for line in &self.boundaries {
            w.u32(length(line.len() / 3));
        }
        for line in &self.boundaries {
            w.f32s(line);
        }
        w.finish()
    }

    /// Reads a packet; errors when it is not one, is cut short, or an index leaves its range.
    pub fn read(bytes: &[u8]) -> Result<FacePacket, PacketError> {
        let mut r = Reader::new(bytes);
        let head = r.u32s(HEADER)?;
        let head: [u32; HEADER] = head.try_into().map_err(|_| PacketError::Short)?;
        let [magic, version, face, flags, vertices, triangles, boundaries, kind, du, dv, su, sv, ..] = head;
        if magic != MAGIC {
            return Err(PacketError::Kind);
        }
        if version != VERSION {
            return Err(PacketError::Version(version));
        }
        let origin = r.f64_array()?;
        let uv_box = r.f64_array()?;
        let surface = SurfaceRecord::read(&mut r, kind, [du, dv, su, sv])?;
        let vertices = r.f32s(times(vertices, VERTEX_FLOATS)?)?;
        let triangles = r.u32s(times(triangles, 3)?)?;
        let count = vertices.len() / VERTEX_FLOATS;
        if triangles.iter().any(|i| usize::try_from(*i).is_ok_and(|i| i >= count)) {
            return Err(PacketError::Range);
        }
        let lengths = r.u32s(times(boundaries, 1)?)?;
        let mut lines = Vec::with_capacity(lengths.len());
        for n in lengths {
            lines.push(r.f32s(times(n, 3)?)?);
        }
        let role = match flags >> 1 {
            0 => Role::Face,
            1 => Role::Untrimmed,
            2 => Role::Reference,
            _ => return Err(PacketError::Range),
        };
        Ok(FacePacket { face, origin, uv_box, role, reversed: flags & 1 == 1, surface, vertices, triangles, boundaries: lines })
    }

    /// Number of vertices.
    pub fn vertex_count(&self) -> usize {
        self.vertices.len() / VERTEX_FLOATS
    }

    /// Position relative to the origin and normalised (u,v) of a vertex; `None` past the end.
    pub fn vertex(&self, index: u32) -> Option<([f32; 3], [f32; 2])> {
        let start = usize::try_from(index).ok()?.checked_mul(VERTEX_FLOATS)?;
        match self.vertices.get(start..start + 5)? {
            [x, y, z, u, v] => Some(([*x, *y, *z], [*u, *v])),
            _ => None,
        }
    }
}

impl SurfaceRecord {
    fn header(&self) -> (u32, [u32; 4]) {
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

    fn write(&self, w: &mut Writer) {
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

    fn read(r: &mut Reader, kind: u32, shape: [u32; 4]) -> Result<Self, PacketError> {
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

/// Counts in a packet are below 2³² because the wasm memory is; a larger one saturates and is
/// then refused by the reader as short.
fn length(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn times(n: u32, size: usize) -> Result<usize, PacketError> {
    usize::try_from(n).ok().and_then(|n| n.checked_mul(size)).ok_or(PacketError::Short)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame() -> Frame {
        Frame { origin: [1.0, -2.0, 3.5], x: [0.0, 1.0, 0.0], y: [0.0, 0.0, 1.0], z: [1.0, 0.0, 0.0] }
    }

    fn surfaces() -> Vec<SurfaceRecord> {
        let grid = BezierGrid {
            degree: [3, 2],
            breaks_u: vec![0.0, 0.25, 1.5],
            breaks_v: vec![-1.0, 1.0],
            points: (0..24).map(|i| [f64::from(i) * 0.1, -0.3, 7.0, 1.0 + f64::from(i)]).collect(),
        };
        vec![
            SurfaceRecord::None,
            SurfaceRecord::Plane(frame()),
            SurfaceRecord::Cylinder { frame: frame(), radius: 12.5 },
            SurfaceRecord::Cone { frame: frame(), radius: 3.0, half_angle: -0.4 },
            SurfaceRecord::Sphere { frame: frame(), radius: 8.0 },
            SurfaceRecord::Torus { frame: frame(), major: 5.0, minor: 6.0 },
            SurfaceRecord::Bezier(grid),
        ]
    }

    fn packet(surface: SurfaceRecord) -> FacePacket {
        FacePacket {
            face: 41,
            origin: [1e4, -2e3, 0.125],
            uv_box: [0.0, 1.5, -1.0, 1.0],
            role: if surface == SurfaceRecord::None { Role::Reference } else { Role::Untrimmed },
            reversed: true,
            surface,
            vertices: (0..32).map(|i| i as f32 * 0.37).collect(),
            triangles: vec![0, 1, 2, 2, 1, 3],
            boundaries: vec![vec![0.0, 1.0, 2.0, 3.0, 4.0, 5.0], vec![9.0, 8.0, 7.0]],
        }
    }

    #[test]
    fn every_surface_kind_comes_back_bit_for_bit() {
        for surface in surfaces() {
            let sent = packet(surface);
            assert_eq!(FacePacket::read(&sent.write()), Ok(sent));
        }
    }

    #[test]
    fn every_cut_is_refused() {
        for surface in surfaces() {
            let bytes = packet(surface).write();
            for n in 0..bytes.len() {
                assert!(FacePacket::read(&bytes[..n]).is_err(), "cut at {n}");
            }
        }
    }

    #[test]
    fn foreign_bytes_and_wild_indices_are_refused() {
        let mut bytes = packet(SurfaceRecord::Plane(frame())).write();
        bytes[4] = 9;
        assert_eq!(FacePacket::read(&bytes), Err(PacketError::Version(9)));
        bytes[0] = b'x';
        assert_eq!(FacePacket::read(&bytes), Err(PacketError::Kind));
        let mut wild = packet(SurfaceRecord::Plane(frame()));
        wild.triangles[3] = 4;
        assert_eq!(FacePacket::read(&wild.write()), Err(PacketError::Range));
    }

    #[test]
    fn huge_counts_do_not_take_memory() {
        let mut bytes = packet(SurfaceRecord::Plane(frame())).write();
        bytes[16..20].copy_from_slice(&u32::MAX.to_le_bytes());
        assert_eq!(FacePacket::read(&bytes), Err(PacketError::Short));
    }
}
