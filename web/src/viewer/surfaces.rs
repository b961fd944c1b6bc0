//! The surface passes: faces into the frame, by vertex normals at once or evaluated at each pixel of a tile.
//!
//! Both write what the paint needs and know nothing of lamps or colours, so that a change of those leaves them alone.

use super::Gl;
use super::frame::Frame;
use super::gpu_face::GpuFace;
use super::program::{Program, Programs};
use super::settle::Rect;
use super::view::View;
use crate::packet::FacePacket;
use crate::scene::{Scene, SceneFace};
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
}

/// The faces on the device.
#[derive(Default)]
pub struct Surfaces {
    faces: Vec<GpuFace>,
    /// The part of the frame that each face can cover, from the camera of the surfaces in the frame.
    covered: Vec<Rect>,
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

    /// Forgets all faces.
    pub fn clear(&mut self, gl: &Gl) {
        self.faces.drain(..).for_each(|face| face.delete(gl));
        self.covered.clear();
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
        let Pass { gl, programs, frame, scene, view } = *pass;
        frame.bind(gl);
        if from == 0 {
            self.covered = scene.faces.iter().map(|f| view.covered(&f.bounds)).collect();
            frame.clear(gl);
        }
        prepare(gl);
        let program = &programs.surfaces(frame.bends.is_some()).moving;
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
            on_device.draw(gl);
        }
        None
    }

    /// Draws the faces of a tile from number `from` on; the number of the next face when it is `until`, ms, before all
    /// are drawn. Faces of usual degree come first, then those of high ones.
    pub fn exact(&self, pass: &Pass<'_>, tile: Rect, from: usize, until: f64) -> Option<usize> {
        let Pass { gl, programs, frame, scene, view } = *pass;
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
            if !on_device.is_exact() || on_device.is_high() != high || !place.meets(&tile) {
                continue;
            }
            if number % CLOCK_EACH == 0 && number > from && js_sys::Date::now() > until {
                return Some(number);
            }
            let program = programs.surfaces(frame.bends.is_some()).exact_for(high);
            if begun != Some(high) {
                program.start(gl);
                view.rays(gl, program);
                begun = Some(high);
            }
            place_face(gl, program, face, scene, view);
            view.ray_base(gl, program, face.origin());
            on_device.describe(gl, program);
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
