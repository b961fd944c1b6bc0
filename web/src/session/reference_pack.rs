//! What is only seen, as packets: meshes in pieces, and curves that bound no face.

use crate::packet::{FacePacket, Role, SurfaceRecord, VERTEX_FLOATS};
use rakelight_core::math::{Point3, Vec3};
use rakelight_core::model::{FreeCurve, Mesh, Model};

/// Triangles in a packet at most. Larger pieces keep the page from answering while they go to the device; smaller ones
/// cost more draws.
const PIECE: usize = 20_000;

/// Halvings of a stretch of curve at most. More would follow noise; fewer show corners on long spirals.
const DEPTH: usize = 8;

/// Gives every mesh and all free curves of a model to `send`; `chord` is how far lines may stray from their curves, mm.
pub fn pack(model: &Model, chord: f64, mut send: impl FnMut(FacePacket)) {
    let mut number = 0;
    let mut numbered = |packet: FacePacket| {
        send(FacePacket { face: number, ..packet });
        number += 1;
    };
    for mesh in &model.meshes {
        let mut local = vec![(usize::MAX, 0); mesh.points.len()];
        for (piece, triangles) in mesh.triangles.chunks(PIECE).enumerate() {
            numbered(mesh_piece(mesh, triangles, piece, &mut local));
        }
    }
    for some in model.curves.chunks(PIECE / 20) {
        numbered(lines(some.iter().map(|c| polyline(c, chord)).collect()));
    }
}

/// Some triangles of a mesh. `local`: for each of its points the piece it was last used in and its number there.
fn mesh_piece(mesh: &Mesh, triangles: &[[u32; 3]], piece: usize, local: &mut [(usize, u32)]) -> FacePacket {
    let point = |i: u32| mesh.points.get(i as usize).map_or(Vec3::ZERO, |p| p.to_vec());
    let origin = triangles.first().map_or(Vec3::ZERO, |t| point(t[0]));
    let mut vertices = Vec::new();
    let mut indices = Vec::with_capacity(3 * triangles.len());
    for triangle in triangles {
        let [a, b, c] = triangle.map(point);
        let normal = (b - a).cross(c - a).normalize_or_zero().as_vec3();
        for i in triangle {
            let Some(slot) = local.get_mut(*i as usize) else { continue };
            if slot.0 != piece {
                *slot = (piece, u32::try_from(vertices.len() / VERTEX_FLOATS).unwrap_or(u32::MAX));
                let p = (point(*i) - origin).as_vec3();
                vertices.extend_from_slice(&[p.x, p.y, p.z, 0.0, 0.0, normal.x, normal.y, normal.z]);
            }
            indices.push(slot.1);
        }
    }
    FacePacket { vertices, triangles: indices, ..empty(origin) }
}

fn lines(all: Vec<Vec<Point3>>) -> FacePacket {
    let origin = all.iter().flatten().next().map_or(Vec3::ZERO, |p| p.to_vec());
    let relative = |line: &Vec<Point3>| line.iter().flat_map(|p| (p.to_vec() - origin).as_vec3().to_array()).collect();
    FacePacket { boundaries: all.iter().map(relative).collect(), ..empty(origin) }
}

fn empty(origin: Vec3) -> FacePacket {
    FacePacket {
        face: 0,
        origin: origin.to_array(),
        uv_box: [0.0, 1.0, 0.0, 1.0],
        role: Role::Reference,
        reversed: false,
        surface: SurfaceRecord::None,
        vertices: Vec::new(),
        triangles: Vec::new(),
        boundaries: Vec::new(),
    }
}

/// Points along a curve, halved until no middle strays from its chord by more than `chord` mm.
fn polyline(curve: &FreeCurve, chord: f64) -> Vec<Point3> {
    let (t0, t1) = (curve.t0, curve.t1);
    let mut stops = vec![t0];
    let mut breaks = curve.curve.breaks_between(t0, t1);
    if t1 < t0 {
        breaks.reverse();
    }
    stops.extend(breaks);
    stops.push(t1);
    let at = |t: f64| curve.curve.point(t);
    let mut points = vec![at(t0)];
    for stretch in stops.windows(2) {
        if let [a, b] = stretch {
            // Four parts first: the middle of a whole turn, or of an S, may lie on its chord.
            for k in 0..4 {
                let share = |k: i32| a + (b - a) * f64::from(k) / 4.0;
                halve(&at, share(k), share(k + 1), chord, DEPTH, &mut points);
            }
        }
    }
    points.retain(|p| p.is_finite());
    points
}

fn halve(at: &impl Fn(f64) -> Point3, a: f64, b: f64, chord: f64, depth: usize, out: &mut Vec<Point3>) {
    let (middle, start, end) = (at((a + b) / 2.0).to_vec(), at(a).to_vec(), at(b).to_vec());
    if depth > 0 && middle.distance((start + end) / 2.0) > chord {
        halve(at, a, (a + b) / 2.0, chord, depth - 1, out);
        halve(at, (a + b) / 2.0, b, chord, depth - 1, out);
    } else {
        out.push(at(b));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Scene;
    use rakelight_core::geometry::{Circle, Curve};
    use rakelight_core::math::Frame;
    use rakelight_core::model::{PartId, Source};

    #[test]
    fn a_large_mesh_comes_in_pieces_with_every_triangle() {
        let side = 150;
        let points =
            (0..=side).flat_map(|j| (0..=side).map(move |i| Point3::new(1e4 + f64::from(i), f64::from(j), f64::from(i % 3)))).collect();
        let corner = |i: u32, j: u32| j * 151 + i;
        let triangles = (0..150)
            .flat_map(|j| {
                (0..150).flat_map(move |i| {
                    [[corner(i, j), corner(i + 1, j), corner(i, j + 1)], [corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)]]
                })
            })
            .collect();
        let mesh = Mesh { name: String::new(), points, triangles };
        let model = Model { meshes: vec![mesh.clone()], ..Model::default() };
        let mut scene = Scene::default();
        pack(&model, 1.0, |packet| {
            scene.add(&packet.write()).expect("sound");
        });
        assert_eq!(scene.faces.len(), 3);
        let mut seen = 0;
        for face in &scene.faces {
            assert!(face.surface().is_none());
            for i in 0..face.packet.triangles.len() / 3 {
                for (got, want) in face.triangle(i as u32).expect("in range").iter().zip(mesh.triangles[seen]) {
                    let p = face.origin() + Vec3::from_array(got.0.map(f64::from));
                    assert!(p.distance(mesh.points[want as usize].to_vec()) < 1e-3);
                }
                seen += 1;
            }
        }
        assert_eq!(seen, mesh.triangles.len());
    }

    #[test]
    fn lines_keep_to_their_curves_and_have_a_box() {
        let frame = Frame::from_axis(Point3::new(4.0, 5.0, 6.0), Some(Vec3::new(1.0, 2.0, 2.0)), None);
        let circle = Circle { frame, radius: 30.0 };
        for (t0, t1) in [(0.0, std::f64::consts::TAU), (2.0, 0.5)] {
            let curve = FreeCurve {
                name: String::new(),
                curve: Curve::Circle(circle),
                t0,
                t1,
                colour: None,
                layers: Vec::new(),
                part: PartId::new(0),
                source: Source::default(),
            };
            let line = polyline(&curve, 0.01);
            assert_eq!((line[0], line[line.len() - 1]), (curve.curve.point(t0), curve.curve.point(t1)));
            for pair in line.windows(2) {
                let middle = (pair[0].to_vec() + pair[1].to_vec()) / 2.0;
                let off = 30.0 - middle.distance(frame.origin.to_vec());
                assert!((-1e-9..=0.0101).contains(&off), "{off}");
            }
            let mut scene = Scene::default();
            pack(&Model { curves: vec![curve], ..Model::default() }, 0.01, |p| {
                scene.add(&p.write()).expect("sound");
            });
            assert!(!scene.faces[0].bounds.is_empty());
        }
    }
}
