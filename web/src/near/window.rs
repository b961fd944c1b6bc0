//! The part of a face that a camera sees, in the face's own parameters.

use crate::camera::Camera;
use crate::pick::onto_ray;
use crate::scene::SceneFace;
use glam::{DVec2, DVec3, DVec4, Vec3};

/// Room around the frame, as a share of half its size. Larger takes in more of the face than is seen; smaller leaves
/// out what the mesh, which strays from the surface, shows at the frame's border.
const ROOM: f64 = 0.1;

/// Parameters of what is seen of a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Least and greatest u, then v.
    pub uv: [f64; 4],
    /// Of the place nearest the frame's middle.
    pub middle: [f64; 2],
}

/// A corner of a triangle: place in clip space and normalised parameters.
type Corner = (DVec4, DVec2);

impl Window {
    /// What a camera sees of a face, hidden or not; `None` when nothing.
    pub fn of(face: &SceneFace, camera: &Camera) -> Option<Window> {
        let clip = camera.clip_from(face.origin(), &face.bounds);
        let corners: Vec<Corner> = (0u32..)
            .map_while(|i| face.packet.vertex(i))
            .map(|(p, uv)| (clip * Vec3::from_array(p).as_dvec3().extend(1.0), DVec2::new(f64::from(uv[0]), f64::from(uv[1]))))
            .collect();
        let outside: Vec<u8> = corners.iter().map(|(c, _)| beyond(*c)).collect();
        let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let mut middle: Option<Nearest> = None;
        for triangle in face.packet.triangles.as_chunks::<3>().0 {
            let numbers = triangle.map(|i| i as usize);
            let codes = numbers.map(|i| outside.get(i).copied().unwrap_or(u8::MAX));
            if codes[0] & codes[1] & codes[2] != 0 {
                continue;
            }
            let whole: Vec<Corner> = numbers.iter().filter_map(|i| corners.get(*i).copied()).collect();
            let seen = if codes == [0; 3] { whole } else { cut(whole) };
            for (_, uv) in &seen {
                (low, high) = (low.min(*uv), high.max(*uv));
            }
            if let Some(near) = nearest_middle(&seen)
                && middle.is_none_or(|best| near.place.length() < best.place.length())
            {
                middle = Some(near);
            }
        }
        let middle = middle?;
        let [u0, u1, v0, v1] = face.packet.uv_box;
        let size = DVec2::new(u1 - u0, v1 - v0);
        let place = |uv: DVec2| DVec2::new(u0, v0) + uv * size;
        let (low, high, start) = (place(low), place(high), place(middle.uv));
        // The mesh strays from the surface: the point on the middle's ray itself, and as much room around.
        let (middle, strayed) = foot(face, camera, middle.place, start).map_or((start, DVec2::ZERO), |foot| (foot, (foot - start).abs()));
        let room = (high - low) * ROOM + 2.0 * strayed;
        let (low, high) = (low.min(middle) - room, high.max(middle) + room);
        Some(Window { uv: [low.x, high.x, low.y, high.y], middle: middle.to_array() })
    }
}

/// Parameters of the surface's point on the ray through a place of the frame, from −1 to 1 up to its borders.
fn foot(face: &SceneFace, camera: &Camera, place: DVec2, start: DVec2) -> Option<DVec2> {
    let ray = camera.ray((place.x + 1.0) / 2.0 * camera.width, (1.0 - place.y) / 2.0 * camera.height);
    let ([u, v], ..) = onto_ray(face.surface()?, &ray, start.to_array(), camera.pixel_size() * 1e-3)?;
    Some(DVec2::new(u, v))
}

/// Bits for the sides of the frame, with its room, beyond which a place in clip space lies.
fn beyond(c: DVec4) -> u8 {
    sides(c).iter().enumerate().filter(|(_, d)| **d < 0.0).fold(0, |bits, (i, _)| bits | 1 << i)
}

/// Distances inside the four sides of the frame and the eye's plane, up to a factor; negative outside.
fn sides(c: DVec4) -> [f64; 5] {
    let w = c.w * (1.0 + ROOM);
    [w - c.x, w + c.x, w - c.y, w + c.y, c.w - 1e-9]
}

/// The part of a convex polygon inside the frame (Sutherland & Hodgman, CACM 17, 1974).
fn cut(polygon: Vec<Corner>) -> Vec<Corner> {
    (0..5).fold(polygon, |polygon, side| {
        let mut kept = Vec::with_capacity(polygon.len() + 1);
        for (i, a) in polygon.iter().enumerate() {
            let Some(b) = polygon.get((i + 1) % polygon.len()) else { continue };
            let (da, db) = (sides(a.0)[side], sides(b.0)[side]);
            if da >= 0.0 {
                kept.push(*a);
            }
            if (da < 0.0) != (db < 0.0) {
                let t = da / (da - db);
                kept.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
            }
        }
        kept
    })
}

/// The place of a polygon nearest the frame's middle.
#[derive(Clone, Copy)]
struct Nearest {
    /// On the screen, from −1 to 1 up to the frame's borders.
    place: DVec2,
    /// Normalised parameters.
    uv: DVec2,
}

fn nearest_middle(polygon: &[Corner]) -> Option<Nearest> {
    let on_screen: Vec<(DVec2, f64, DVec2)> = polygon.iter().map(|(c, uv)| (c.truncate().truncate() / c.w, c.w, *uv)).collect();
    // The middle itself, where it lies inside: shares by the areas of a fan's triangles.
    if let [first, rest @ ..] = on_screen.as_slice() {
        for (b, c) in rest.iter().zip(rest.iter().skip(1)) {
            let areas = DVec3::new(b.0.perp_dot(c.0), c.0.perp_dot(first.0), first.0.perp_dot(b.0));
            let sum = areas.element_sum();
            if sum != 0.0 && (areas / sum).min_element() >= 0.0 {
                // Even on the screen is even after division by depth.
                let shares = areas / sum / DVec3::new(first.1, b.1, c.1);
                let uv = (first.2 * shares.x + b.2 * shares.y + c.2 * shares.z) / shares.element_sum();
                return Some(Nearest { place: DVec2::ZERO, uv });
            }
        }
    }
    let sides = on_screen.iter().zip(on_screen.iter().cycle().skip(1));
    let on_side = |(a, b): (&(DVec2, f64, DVec2), &(DVec2, f64, DVec2))| {
        let along = b.0 - a.0;
        let t = (-a.0.dot(along) / along.length_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let (x, y) = ((1.0 - t) / a.1, t / b.1);
        Nearest { place: a.0 + along * t, uv: (a.2 * x + b.2 * y) / (x + y) }
    };
    sides.map(on_side).min_by(|a, b| a.place.length().total_cmp(&b.place.length()))
}
