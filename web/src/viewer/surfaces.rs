//! The surface passes: faces into the frame, by vertex normals at once or evaluated at each pixel of a tile.
//!
//! Both write what the paint needs and know nothing of lamps or colours, so that a change of those leaves them alone.

use super::Gl;
use super::frame::Frame;
use super::gpu_face::GpuFace;
use super::gpu_near::GpuNear;
use super::program::{Program, Programs};
use super::settle::Rect;
use super::view::View;
use crate::form_colour::Leaves;
use crate::near::Near;
use crate::packet::{FacePacket, Role};
use crate::scene::{NEAR, Scene, SceneFace};
use wasm_bindgen::JsValue;

/// Faces between two looks at the clock. Larger overruns the time; smaller asks more often than it draws.
const CLOCK_EACH: usize = 16;

/// Where a pass draws, and what.
pub struct Pass<'a> {
    /// The device.
    pub gl: &'a Gl,
    /// Its programs.
    pub programs: &'a Programs,
    /// The targets.
    pub frame: &'a Frame,
    /// The faces, in the order of those on the device.
    pub scene: &'a Scene,
    /// From where they are seen.
    pub view: &'a View,
    /// What is left beside points and normals.
    pub leaves: Leaves,
}

/// The faces on the device.
#[derive(Default)]
pub struct Surfaces {
    faces: Vec<GpuFace>,
    /// The part of the frame that each face can cover, from the camera of the surfaces in the frame.
    covered: Vec<Rect>,
    /// Those of the first faces that this camera sees near; the others are still to be looked at.
    nears: Vec<Option<GpuNear>>,
}

impl Surfaces {
    /// Uploads a face behind the others.
    pub fn add(&mut self, gl: &Gl, packet: &FacePacket, max_texture: u32, programs: &mut Programs) -> Result<(), JsValue> {
        let face = GpuFace::upload(gl, packet, max_texture)?;
        if face.is_high() {
            programs.need_high(gl)?;
        }
        self.faces.push(face);
        Ok(())
    }

    /// Uploads a face in the place of number `index`.
    pub fn replace(&mut self, gl: &Gl, index: usize, packet: &FacePacket, max_texture: u32) -> Result<(), JsValue> {
        let face = GpuFace::upload(gl, packet, max_texture)?;
        if let Some(old) = self.faces.get_mut(index) {
            std::mem::replace(old, face).delete(gl);
        }
        Ok(())
    }

    /// Uploads the values that a face is coloured by, in place of those it had; none take them away.
    pub fn set_map(&mut self, gl: &Gl, scene: &Scene, index: usize, max_texture: u32) -> Result<(), JsValue> {
        let (Some(face), Some(on_device)) = (scene.faces.get(index), self.faces.get_mut(index)) else { return Ok(()) };
        let map = scene.maps.get(&face.packet.face).filter(|_| face.packet.role != Role::Reference);
        on_device.set_map(gl, map, &face.packet.uv_box, max_texture)
    }

    /// Forgets all faces.
    pub fn clear(&mut self, gl: &Gl) {
        self.faces.drain(..).for_each(|face| face.delete(gl));
        self.covered.clear();
        self.forget_nears(gl);
    }

    /// Gives faces that are seen near their bases, until a time in ms; true when all have been looked at.
    pub fn come_near(
        &mut self,
        gl: &Gl,
        programs: &mut Programs,
        max_rows: usize,
        scene: &Scene,
        view: &View,
        until: f64,
    ) -> Result<bool, JsValue> {
        while let Some(face) = scene.faces.get(self.nears.len()) {
            let index = self.nears.len();
            let seen = self.covered.get(index).is_some_and(|place| !place.is_empty());
            let exact = self.faces.get(index).is_some_and(GpuFace::is_exact);
            let near = if seen && exact { Near::of(face, scene.origin(), &view.camera) } else { None };
            let looked = near.is_some();
            let near = match near {
                Some(near) => GpuNear::upload(gl, near, max_rows)?,
                None => None,
            };
            if let Some(near) = &near {
                programs.need_near(gl, near.is_high())?;
            }
            self.nears.push(near);
            if (looked || index.is_multiple_of(CLOCK_EACH)) && js_sys::Date::now() > until {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// True when every face has been looked at by [`Surfaces::come_near`].
    pub fn looked_at_all(&self) -> bool {
        self.nears.len() >= self.faces.len()
    }

    /// Faces seen near, by id.
    pub fn nears<'a>(&'a self, scene: &'a Scene) -> impl Iterator<Item = (u32, &'a Near)> {
        scene.faces.iter().zip(&self.nears).filter_map(|(face, near)| near.as_ref().map(|near| (face.packet.face, &near.near)))
    }

    fn forget_nears(&mut self, gl: &Gl) {
        self.nears.drain(..).flatten().for_each(|near| near.delete(gl));
    }

    /// Faces of the model with what is on the device of them; references are none.
    pub fn with<'a>(&'a self, scene: &'a Scene) -> impl Iterator<Item = (&'a SceneFace, &'a GpuFace)> {
        scene.faces.iter().zip(&self.faces).filter(|(face, _)| face.packet.role != Role::Reference)
    }

    /// Faces drawn by vertex normals even at rest.
    pub fn inexact(&self) -> usize {
        self.faces.iter().filter(|f| !f.is_exact() && !f.is_reference()).count()
    }

    /// The parts of the frame that faces with an exact form can cover.
    pub fn exact_covered(&self) -> Vec<Rect> {
        self.covered.iter().zip(&self.faces).filter(|(_, face)| face.is_exact()).map(|(place, _)| *place).collect()
    }

    /// Draws faces by their vertex normals from number `from` on, into an emptied frame at 0; the number of the next
    /// face when it is `until`, ms, before all are drawn.
    pub fn quick(&mut self, pass: &Pass<'_>, from: usize, until: f64) -> Option<usize> {
        let Pass { gl, programs, frame, scene, view, leaves } = *pass;
        frame.bind(gl);
        if from == 0 {
            self.covered = scene.faces.iter().map(|f| view.covered(&f.bounds)).collect();
            self.forget_nears(gl);
            frame.clear(gl);
        }
        prepare(gl);
        let program = &programs.surfaces(leaves).moving;
        program.start(gl);
        for (number, ((face, on_device), place)) in scene.faces.iter().zip(&self.faces).zip(&self.covered).enumerate().skip(from) {
            if number % CLOCK_EACH == 0 && number > from && js_sys::Date::now() > until {
                return Some(number);
            }
            if place.is_empty() {
                continue;
            }
            place_face(gl, program, face, scene, view);
            program.int(gl, "faceted", i32::from(on_device.is_reference()));
            on_device.offer_map(gl, program, leaves);
            on_device.draw(gl);
        }
        None
    }

    /// Draws the faces of a tile from number `from` on; the number of the next face when it is `until`, ms, before all
    /// are drawn. Faces of usual degree come first, then those of high ones.
    pub fn exact(&self, pass: &Pass<'_>, tile: Rect, from: usize, until: f64) -> Option<usize> {
        let Pass { gl, programs, frame, scene, view, leaves } = *pass;
        frame.bind(gl);
        gl.scissor(tile.x, tile.y, tile.w, tile.h);
        prepare(gl);
        let count = self.faces.len();
        let mut begun = None;
        for number in from..2 * count {
            let (high, index) = (number >= count, number % count);
            let (Some(face), Some(on_device), Some(place)) = (scene.faces.get(index), self.faces.get(index), self.covered.get(index))
            else {
                continue;
            };
            // Curvatures are left by the plain pass only: colours need no digits that it does not have.
            let near = self.nears.get(index).and_then(Option::as_ref).filter(|_| frame.bends.is_none());
            let own_high = near.map_or(on_device.is_high(), GpuNear::is_high);
            if !on_device.is_exact() || own_high != high || !place.meets(&tile) {
                continue;
            }
            if number % CLOCK_EACH == 0 && number > from && js_sys::Date::now() > until {
                return Some(number);
            }
            let plain = programs.surfaces(leaves).exact_for(high);
            let Some(program) = near.map_or(Some(plain), |_| programs.near_for(high)) else { continue };
            let pass = Some((high, near.is_some()));
            if begun != pass {
                program.start(gl);
                view.rays(gl, program);
                begun = pass;
            }
            place_face(gl, program, face, scene, view);
            if let Some(near) = near {
                let base = near.near.base;
                program.uint(gl, "face_code", face.code() | NEAR);
                program.vec3(gl, "scene_shift", [0.0; 3]);
                view.depth_from(gl, program, base);
                view.rays_near(gl, program, base);
                near.describe(gl, program, face.origin());
            } else {
                view.ray_base(gl, program, face.origin());
                on_device.describe(gl, program);
                on_device.offer_map(gl, program, leaves);
            }
            on_device.draw(gl);
        }
        None
    }
}

fn prepare(gl: &Gl) {
    gl.disable(Gl::BLEND);
    gl.enable(Gl::DEPTH_TEST);
    gl.depth_func(Gl::LEQUAL);
    // A texture that is being drawn to must not be bound for reading.
    for unit in [0, 1, 3] {
        gl.active_texture(Gl::TEXTURE0 + unit);
        gl.bind_texture(Gl::TEXTURE_2D, None);
    }
}

fn place_face(gl: &Gl, program: &Program, face: &SceneFace, scene: &Scene, view: &View) {
    view.place(gl, program, face.origin());
    program.uint(gl, "face_code", face.code());
    // What is left is the file's outward normal; the skin's may be the other one.
    let stated = if face.packet.reversed { -1.0 } else { 1.0 };
    program.float(gl, "skin_side", (scene.side(face) * stated) as f32);
    program.vec3(gl, "scene_shift", (face.origin() - scene.origin()).as_vec3().to_array());
}
