//! What is shown, on the side of the processor: faces with their exact surfaces, joins, and the box around all.

use crate::bounds::Bounds;
use crate::bvh::{Aabb, Bvh};
use crate::bytes::PacketError;
use crate::joins_packet::{JoinLine, JoinsPacket};
use crate::packet::{FacePacket, Role};
use crate::scene_map::SceneMap;
use crate::surface_record::surface;
use glam::{DVec3, Vec3};
use rakelight_core::geometry::Surface;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// Set in the code where point and normal are relative to a base. Ids stay below all marks: no model here has 2²⁹ faces.
pub const NEAR: u32 = 1 << 29;
/// Set in the code of faces to be hatched.
pub const UNTRIMMED: u32 = 1 << 30;
/// Set in the code of references.
pub const REFERENCE: u32 = 1 << 31;

/// One face as it was sent, with what picking needs.
pub struct SceneFace {
    /// The packet.
    pub packet: FacePacket,
    /// Box around the mesh, or around the lines where there is none, mm, world position.
    pub bounds: Bounds,
    /// The box as it was sent first, which a fitted view holds: the same one whatever the borders are by now.
    fitted: Bounds,
    /// Within what its drawn border keeps to its edges, mm; None: as it was sent first.
    pub chord: Option<f64>,
    surface: OnceCell<Option<Surface>>,
    tree: OnceCell<Bvh>,
}

/// A join drawn over the model.
pub struct SceneJoin {
    /// The line with its values.
    pub line: JoinLine,
    /// Point that the line's points are relative to, mm.
    pub origin: DVec3,
    /// Box around the line, mm, world position.
    pub bounds: Bounds,
}

/// All that is shown.
#[derive(Default)]
pub struct Scene {
    /// Faces in the order they arrived.
    pub faces: Vec<SceneFace>,
    /// Joins in the order they arrived.
    pub joins: Vec<SceneJoin>,
    /// By face id: +1 where the outward side is that of Su × Sv, −1 where it is the other; the file's own until it is known.
    pub sides: Vec<i8>,
    /// By face id: one of eight classes, such that neighbours differ.
    pub classes: Vec<u8>,
    /// Values to colour faces by, by face id.
    pub maps: BTreeMap<u32, SceneMap>,
    origin: Option<DVec3>,
    bounds: Option<Bounds>,
}

impl Scene {
    /// Takes a face in; its index among the faces, or why it was refused.
    pub fn add(&mut self, bytes: &[u8]) -> Result<usize, PacketError> {
        let face = SceneFace::read(bytes)?;
        self.origin.get_or_insert(face.origin());
        if !face.bounds.is_empty() {
            self.bounds.get_or_insert(Bounds::EMPTY).join(&face.bounds);
        }
        self.faces.push(face);
        Ok(self.faces.len() - 1)
    }

    /// Takes a face in the place of the one that has its id, its borders as faces are sent `first`; its index, `None` when there is none such.
    pub fn replace(&mut self, bytes: &[u8], first: bool) -> Result<Option<usize>, PacketError> {
        let face = SceneFace::read(bytes)?;
        let same = |f: &SceneFace| f.packet.face == face.packet.face && f.packet.role == face.packet.role;
        let index = self.faces.iter().position(same);
        if let Some(old) = index.and_then(|i| self.faces.get_mut(i)) {
            *old = SceneFace { chord: old.chord.filter(|_| !first), fitted: old.fitted, ..face };
        }
        Ok(index)
    }

    /// Takes joins in.
    pub fn add_joins(&mut self, bytes: &[u8]) -> Result<(), PacketError> {
        let packet = JoinsPacket::read(bytes)?;
        let origin = DVec3::from_array(packet.origin);
        for line in packet.joins {
            let mut bounds = Bounds::EMPTY;
            line.points.iter().for_each(|p| bounds.add(origin + Vec3::from_array(*p).as_dvec3()));
            self.joins.push(SceneJoin { line, origin, bounds });
        }
        Ok(())
    }

    /// Point that single-precision results of all faces are relative to, mm: the first face's origin.
    pub fn origin(&self) -> DVec3 {
        self.origin.unwrap_or(DVec3::ZERO)
    }

    /// A face by its id; `None` for an unknown one.
    pub fn face(&self, id: u32) -> Option<&SceneFace> {
        self.faces.iter().find(|f| f.packet.face == id && f.packet.role != Role::Reference)
    }

    /// +1 where a face's outward side is that of Su × Sv, else −1.
    pub fn side(&self, face: &SceneFace) -> f64 {
        let stated = if face.packet.reversed { -1.0 } else { 1.0 };
        usize::try_from(face.packet.face).ok().and_then(|i| self.sides.get(i)).map_or(stated, |s| f64::from(*s))
    }

    /// Corners of the boxes around the faces, which a fitted view holds; those of a unit box before there are any.
    pub fn corners(&self) -> Vec<DVec3> {
        let found: Vec<DVec3> = self.faces.iter().filter(|f| !f.fitted.is_empty()).flat_map(|f| f.fitted.corners()).collect();
        if found.is_empty() { self.bounds().corners().to_vec() } else { found }
    }

    /// Box around all faces; a unit box before there are any.
    pub fn bounds(&self) -> Bounds {
        self.bounds.unwrap_or(Bounds { min: DVec3::splat(-0.5), max: DVec3::splat(0.5) })
    }
}

impl SceneFace {
    fn read(bytes: &[u8]) -> Result<SceneFace, PacketError> {
        let packet = FacePacket::read(bytes)?;
        let origin = DVec3::from_array(packet.origin);
        let mut bounds = Bounds::EMPTY;
        let mut take = |p: Vec3| bounds.add(origin + p.as_dvec3());
        if packet.vertex_count() == 0 {
            packet.boundaries.iter().flat_map(|line| line.as_chunks::<3>().0).for_each(|p| take(Vec3::from_array(*p)));
        }
        for i in 0..packet.vertex_count() {
            if let Some((p, _)) = u32::try_from(i).ok().and_then(|i| packet.vertex(i)) {
                take(Vec3::from_array(p));
            }
        }
        Ok(SceneFace { packet, bounds, fitted: bounds, chord: None, surface: OnceCell::new(), tree: OnceCell::new() })
    }

    /// The face's origin, mm.
    pub fn origin(&self) -> DVec3 {
        DVec3::from_array(self.packet.origin)
    }

    /// What stands for it in the picture: its id + 1 with the mark of its role.
    pub fn code(&self) -> u32 {
        let mark = match self.packet.role {
            Role::Face => 0,
            Role::Untrimmed => UNTRIMMED,
            Role::Reference => REFERENCE,
        };
        (self.packet.face + 1) | mark
    }

    /// Exact surface in world position, made at the first use; `None` for a reference, or when the packet's record is
    /// unsound.
    pub fn surface(&self) -> Option<&Surface> {
        self.surface.get_or_init(|| surface(&self.packet.surface, self.origin())).as_ref()
    }

    /// Corners (relative to the origin) and normalised (u,v) of a triangle.
    pub fn triangle(&self, index: u32) -> Option<[([f32; 3], [f32; 2]); 3]> {
        let start = usize::try_from(index).ok()?.checked_mul(3)?;
        match self.packet.triangles.get(start..start + 3)? {
            [a, b, c] => Some([self.packet.vertex(*a)?, self.packet.vertex(*b)?, self.packet.vertex(*c)?]),
            _ => None,
        }
    }

    /// Tree over the triangles' boxes, built at the first use.
    pub fn tree(&self) -> &Bvh {
        self.tree.get_or_init(|| {
            let count = u32::try_from(self.packet.triangles.len() / 3).unwrap_or(0);
            let boxes: Vec<Aabb> =
                (0..count).map(|i| self.triangle(i).map_or(Aabb::EMPTY, |t| Aabb::around(&t.map(|(p, _)| Vec3::from_array(p))))).collect();
            Bvh::build(&boxes)
        })
    }
}
