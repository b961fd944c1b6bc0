//! The packed face: all that the page needs of one trimmed face, in one buffer; also of a reference to be seen only.
//!
//! Little endian. Header of sixteen `u32` (magic, version, face id, flags, counts), then `f64`
//! origin, (u,v) box and surface record, then `f32` vertices (position relative to the origin,
//! (u,v) normalised over the box, unit normal: eight numbers each), `u32` triangles, and the
//! boundary polylines (`u32` lengths, `f32` points relative to the origin). A packet stands on
//! its own, so packets may come in any order and from any worker.

mod surface;

pub use surface::{BezierGrid, Frame, SurfaceRecord};

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

/// Counts in a packet are below 2³² because the wasm memory is; a larger one saturates and is
/// then refused by the reader as short.
fn length(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn times(n: u32, size: usize) -> Result<usize, PacketError> {
    usize::try_from(n).ok().and_then(|n| n.checked_mul(size)).ok_or(PacketError::Short)
}

#[cfg(test)]
mod tests;
