//! The passes of a picture: surfaces into the frame, paint and stripes onto the canvas, strokes on top.

use super::Gl;
use super::frame::Frame;
use super::gpu_face::GpuFace;
use super::picture::{Care, Picture};
use super::probe::Ability;
use super::program::{Program, Programs};
use super::settle::{Rect, Settle};
use super::shade;
use super::strokes::Strokes;
use super::view::View;
use crate::camera::Camera;
use crate::scene::Scene;
use glam::DVec3;
use wasm_bindgen::JsValue;
use web_sys::WebGlSync;

/// Time one batch of exact tiles should take, ms. Larger answers input later; smaller spends more
/// of the time on waiting between batches.
const BATCH: f64 = 60.0;

/// How often the paint catches up while tiles settle, ms. Larger shows the exact picture later; smaller
/// spends the time on painting, which draws every stroke.
const REPAINT: f64 = 350.0;

/// Device objects and the state of the picture.
pub struct Renderer {
    gl: Gl,
    /// What the device can do.
    pub ability: Ability,
    programs: Programs,
    frame: Option<Frame>,
    faces: Vec<GpuFace>,
    strokes: Strokes,
    settle: Settle,
    waiting: Option<Batch>,
    /// When the paint last caught up with the exact tiles, ms.
    painted: f64,
    /// How long the last batch with a paint took, ms.
    paint_time: f64,
    stale_surfaces: bool,
    stale_paint: bool,
    /// The canvas shows a fine paint of the present surfaces.
    fine: bool,
}

/// Work that the device has been given.
struct Batch {
    sync: WebGlSync,
    begun: f64,
    with_paint: bool,
}

impl Renderer {
    /// Prepares a context; errors are sentences for the user.
    pub fn new(gl: Gl) -> Result<Renderer, JsValue> {
        let ability = Ability::probe(&gl);
        ability.check()?;
        let programs = Programs::link(&gl)?;
        Ok(Renderer {
            gl,
            ability,
            programs,
            frame: None,
            faces: Vec::new(),
            strokes: Strokes::default(),
            settle: Settle::default(),
            waiting: None,
            painted: 0.0,
            paint_time: 0.0,
            stale_surfaces: true,
            stale_paint: true,
            fine: false,
        })
    }

    /// Uploads a face that the scene has just taken.
    pub fn add_face(&mut self, scene: &Scene, index: usize) -> Result<(), JsValue> {
        if let Some(face) = scene.faces.get(index) {
            let on_device = GpuFace::upload(&self.gl, &face.packet, self.ability.max_texture)?;
            if on_device.is_high() {
                self.programs.need_high(&self.gl)?;
            }
            self.faces.push(on_device);
        }
        self.strokes.forget_borders(&self.gl);
        self.stale_surfaces = true;
        Ok(())
    }

    /// Forgets faces and joins.
    pub fn clear(&mut self) {
        for face in self.faces.drain(..) {
            face.delete(&self.gl);
        }
        self.strokes.forget_all(&self.gl);
        self.stale_surfaces = true;
    }

    /// The joins or what colours them have changed.
    pub fn joins_changed(&mut self) {
        self.strokes.forget_joins(&self.gl);
        self.stale_paint = true;
    }

    /// The marked point has changed.
    pub fn marker_changed(&mut self) {
        self.strokes.forget_marker(&self.gl);
        self.stale_paint = true;
    }

    /// The camera or the frame's size has changed.
    pub fn view_changed(&mut self) {
        self.stale_surfaces = true;
    }

    /// Lamps, colours or the choice have changed.
    pub fn paint_changed(&mut self) {
        self.stale_paint = true;
    }

    /// True when every pixel shows the exact surface, faces without an exact form set aside.
    pub fn settled(&self) -> bool {
        !self.stale_surfaces && !self.stale_paint && self.settle.done() && self.waiting.is_none() && self.fine
    }

    /// Share of the picture that is exact, 0 to 1.
    pub fn share(&self) -> f64 {
        if self.stale_surfaces { 0.0 } else { self.settle.share() }
    }

    /// True after the device took the context away; the page makes a new viewer then.
    pub fn is_lost(&self) -> bool {
        self.gl.is_context_lost()
    }

    /// Faces drawn by vertex normals even at rest.
    pub fn inexact_faces(&self) -> usize {
        self.faces.iter().filter(|f| !f.is_exact()).count()
    }

    /// Draws what is stale; when `exact`, also the next batch of exact tiles if the device is ready.
    pub fn draw(&mut self, exact: bool, now: f64, picture: &Picture<'_>) -> Result<(), JsValue> {
        let (scene, camera) = (picture.scene, picture.camera);
        let view = View { camera: *camera, bounds: scene.bounds() };
        self.size_frame(camera)?;
        self.strokes.upload(&self.gl, scene, picture.marks)?;
        if self.stale_surfaces {
            self.quick_surfaces(scene, &view);
            let covered: Vec<Rect> =
                scene.faces.iter().zip(&self.faces).filter(|(_, g)| g.is_exact()).map(|(f, _)| view.covered(&f.bounds)).collect();
            self.settle.restart(camera.width as i32, camera.height as i32, &covered);
            self.painted = now;
            self.waiting = None;
            self.stale_surfaces = false;
            self.stale_paint = true;
        }
        let at_rest = exact && self.settle.done() && self.waiting.is_none();
        if self.stale_paint && !at_rest {
            self.paint(Care::Quick, &view, picture);
            self.stale_paint = false;
            self.fine = false;
        }
        if exact {
            self.settle_some(now, &view, picture);
        }
        Ok(())
    }

    fn settle_some(&mut self, now: f64, view: &View, picture: &Picture<'_>) {
        if let Some(batch) = &self.waiting {
            let state = self.gl.get_sync_parameter(&batch.sync, Gl::SYNC_STATUS).as_f64().unwrap_or(0.0) as u32;
            if state != Gl::SIGNALED && !self.gl.is_context_lost() {
                return;
            }
            let took = now - batch.begun;
            if batch.with_paint {
                self.paint_time = took;
            } else {
                self.settle.learn(took, BATCH);
            }
            self.gl.delete_sync(Some(&batch.sync));
            self.waiting = None;
        }
        let scene = picture.scene;
        let tiles = self.settle.take();
        if tiles.is_empty() {
            if self.stale_paint || !self.fine {
                self.paint(Care::Fine, view, picture);
                self.stale_paint = false;
                self.fine = true;
            }
            return;
        }
        let covered: Vec<Rect> = scene.faces.iter().map(|f| view.covered(&f.bounds)).collect();
        self.gl.enable(Gl::SCISSOR_TEST);
        for tile in &tiles {
            self.exact_surfaces(*tile, &covered, scene, view);
        }
        self.gl.disable(Gl::SCISSOR_TEST);
        self.fine = false;
        let with_paint = now - self.painted > REPAINT.max(4.0 * self.paint_time);
        if with_paint {
            self.paint(Care::Quick, view, picture);
            self.painted = now;
        }
        self.waiting = self.gl.fence_sync(Gl::SYNC_GPU_COMMANDS_COMPLETE, 0).map(|sync| Batch { sync, begun: now, with_paint });
        self.gl.flush();
    }

    fn size_frame(&mut self, camera: &Camera) -> Result<(), JsValue> {
        let (w, h) = (camera.width as i32, camera.height as i32);
        if self.frame.as_ref().is_some_and(|f| f.width == w && f.height == h) {
            return Ok(());
        }
        if let Some(old) = self.frame.take() {
            old.delete(&self.gl);
        }
        self.frame = Some(Frame::create(&self.gl, w, h)?);
        self.stale_surfaces = true;
        Ok(())
    }

    fn quick_surfaces(&self, scene: &Scene, view: &View) {
        let (gl, program) = (&self.gl, &self.programs.moving);
        let Some(frame) = &self.frame else { return };
        frame.bind(gl);
        frame.clear(gl);
        self.surface_state();
        program.start(gl);
        for (face, on_device) in scene.faces.iter().zip(&self.faces) {
            self.place_face(program, face.origin(), face.packet.face, scene, view);
            on_device.draw(gl);
        }
    }

    fn exact_surfaces(&self, tile: Rect, covered: &[Rect], scene: &Scene, view: &View) {
        let gl = &self.gl;
        let Some(frame) = &self.frame else { return };
        frame.bind(gl);
        gl.scissor(tile.x, tile.y, tile.w, tile.h);
        self.surface_state();
        for high in [false, true] {
            let mut begun = false;
            let program = self.programs.exact_for(high);
            for ((face, on_device), place) in scene.faces.iter().zip(&self.faces).zip(covered) {
                if !on_device.is_exact() || on_device.is_high() != high || !place.meets(&tile) {
                    continue;
                }
                if !begun {
                    program.start(gl);
                    view.rays(gl, program);
                    begun = true;
                }
                self.place_face(program, face.origin(), face.packet.face, scene, view);
                view.ray_base(gl, program, face.origin());
                on_device.describe(gl, program);
                on_device.draw(gl);
            }
        }
    }

    fn surface_state(&self) {
        let gl = &self.gl;
        gl.disable(Gl::BLEND);
        gl.enable(Gl::DEPTH_TEST);
        gl.depth_func(Gl::LEQUAL);
        // A texture that is being drawn to must not be bound for reading.
        for unit in 0..2 {
            gl.active_texture(Gl::TEXTURE0 + unit);
            gl.bind_texture(Gl::TEXTURE_2D, None);
        }
    }

    fn place_face(&self, program: &Program, origin: DVec3, id: u32, scene: &Scene, view: &View) {
        let gl = &self.gl;
        view.place(gl, program, origin);
        program.uint(gl, "face_code", id + 1);
        program.vec3(gl, "scene_shift", (origin - scene.origin()).as_vec3().to_array());
    }

    /// Paint, stripes and strokes onto the canvas.
    fn paint(&self, care: Care, view: &View, picture: &Picture<'_>) {
        let (gl, program) = (&self.gl, &self.programs.shade);
        let Some(frame) = &self.frame else { return };
        // Not bound for reading while it is drawn to.
        gl.active_texture(Gl::TEXTURE2);
        gl.bind_texture(Gl::TEXTURE_2D, None);
        match care {
            Care::Quick => {
                gl.bind_framebuffer(Gl::FRAMEBUFFER, None);
                gl.viewport(0, 0, frame.width, frame.height);
            }
            Care::Fine => frame.bind_paint(gl),
        }
        gl.disable(Gl::DEPTH_TEST);
        gl.disable(Gl::BLEND);
        gl.bind_vertex_array(None);
        program.start(gl);
        frame.offer(gl, program);
        shade::describe(gl, program, care, view, picture);
        gl.draw_arrays(Gl::TRIANGLES, 0, 3);
        if care == Care::Fine {
            gl.bind_framebuffer(Gl::FRAMEBUFFER, None);
            let program = &self.programs.finish;
            program.start(gl);
            frame.offer(gl, program);
            frame.offer_paint(gl, program);
            gl.draw_arrays(Gl::TRIANGLES, 0, 3);
        }
        self.strokes.draw(gl, &self.programs.line, frame, care, view, picture);
    }
}
