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
use crate::scene::{Scene, SceneFace};
use wasm_bindgen::JsValue;
use web_sys::WebGlSync;

/// Time one batch of exact tiles should take, ms. Larger answers input later; smaller spends more
/// of the time on waiting between batches.
const BATCH: f64 = 60.0;

/// Longest time for which exact tiles are handed to the device at a stretch, ms. Larger keeps the page from answering;
/// smaller spends more of the time between the stretches.
const SLICE: f64 = 12.0;

/// Faces between two looks at the clock. Larger overruns the slice; smaller asks more often than it draws.
const CLOCK_EACH: usize = 16;

/// When a picture takes longer than this while something moves, ms, strokes are left out of the next. Larger lets motion
/// stutter on slow devices; smaller lets lines flicker on quick ones.
const SLOW: f64 = 120.0;

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
    /// Pixels of the largest frame that the device was found to have room for.
    fits: i64,
    faces: Vec<GpuFace>,
    /// The part of the frame that each face can cover, from the present camera.
    covered: Vec<Rect>,
    /// The camera of the surfaces in the frame.
    view: Camera,
    /// Next face of surfaces that are still being handed over.
    drawing: Option<usize>,
    /// An exact tile begun and not ended, with the number of its next face.
    begun: Option<(Rect, usize)>,
    strokes: Strokes,
    settle: Settle,
    waiting: Option<Batch>,
    /// The last whole picture, while the device works on it; `with_paint` where something moved.
    quick: Option<Batch>,
    /// How long the last picture took while something moved, ms.
    quick_time: f64,
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
            fits: 0,
            faces: Vec::new(),
            covered: Vec::new(),
            view: Camera::default(),
            drawing: None,
            begun: None,
            strokes: Strokes::default(),
            settle: Settle::default(),
            waiting: None,
            quick: None,
            quick_time: 0.0,
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
        self.strokes.faces_added();
        self.stale_surfaces = true;
        Ok(())
    }

    /// Forgets faces and joins.
    pub fn clear(&mut self) {
        for face in self.faces.drain(..) {
            face.delete(&self.gl);
        }
        self.strokes.forget_all(&self.gl);
        self.drawing = None;
        self.stale_surfaces = true;
    }

    /// Joins have come to those there were.
    pub fn joins_added(&mut self) {
        self.strokes.joins_added();
        self.stale_paint = true;
    }

    /// What colours the joins has changed.
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
        !self.stale_surfaces
            && !self.stale_paint
            && self.settle.done()
            && self.begun.is_none()
            && self.waiting.is_none()
            && self.strokes.complete()
            && self.fine
    }

    /// Share of the picture that is exact, 0 to 1.
    pub fn share(&self) -> f64 {
        if self.stale_surfaces || self.drawing.is_some() { 0.0 } else { self.settle.share() }
    }

    /// True after the device took the context away; the page makes a new viewer then.
    pub fn is_lost(&self) -> bool {
        self.gl.is_context_lost()
    }

    /// Faces drawn by vertex normals even at rest.
    pub fn inexact_faces(&self) -> usize {
        self.faces.iter().filter(|f| !f.is_exact() && !f.is_reference()).count()
    }

    /// True when the device has finished what it was given, so that another picture would not have to queue behind it.
    pub fn ready(&mut self, now: f64) -> bool {
        if self.waiting.as_ref().is_some_and(|batch| !self.is_done(batch)) {
            return false;
        }
        let Some(quick) = &self.quick else { return true };
        if !self.is_done(quick) {
            return false;
        }
        if quick.with_paint {
            self.quick_time = now - quick.begun;
        }
        self.gl.delete_sync(Some(&quick.sync));
        self.quick = None;
        true
    }

    fn is_done(&self, batch: &Batch) -> bool {
        let state = self.gl.get_sync_parameter(&batch.sync, Gl::SYNC_STATUS).as_f64().unwrap_or(0.0) as u32;
        state == Gl::SIGNALED || self.gl.is_context_lost()
    }

    fn fence(&self, begun: f64, with_paint: bool) -> Option<Batch> {
        let batch = self.gl.fence_sync(Gl::SYNC_GPU_COMMANDS_COMPLETE, 0).map(|sync| Batch { sync, begun, with_paint });
        self.gl.flush();
        batch
    }

    /// Draws what is stale; when `exact`, also the next batch of exact tiles if the device is ready. Surfaces of large
    /// models are handed over in several calls: the canvas keeps the last picture until all are there.
    pub fn draw(&mut self, exact: bool, now: f64, picture: &Picture<'_>) -> Result<(), JsValue> {
        self.size_frame(picture.camera)?;
        if self.strokes.upload(&self.gl, picture.scene, picture.marks)? {
            self.stale_paint = true;
        }
        if self.stale_surfaces && self.drawing.is_none() {
            self.view = *picture.camera;
            self.stale_surfaces = false;
            self.drawing = Some(0);
        }
        let view = View::new(self.view, picture.scene.bounds());
        if let Some(from) = self.drawing {
            self.drawing = self.quick_surfaces(from, picture.scene, &view);
            if self.drawing.is_some() {
                return Ok(());
            }
            let exact: Vec<Rect> = self.covered.iter().zip(&self.faces).filter(|(_, g)| g.is_exact()).map(|(r, _)| *r).collect();
            self.settle.restart(self.view.width as i32, self.view.height as i32, &exact);
            (self.begun, self.waiting) = (None, None);
            self.painted = now;
            self.stale_paint = true;
        }
        let exact = exact && !self.stale_surfaces;
        let at_rest = exact && self.settle.done() && self.begun.is_none() && self.waiting.is_none();
        if self.stale_paint && !at_rest {
            let care = if !exact && self.quick_time > SLOW { Care::Hasty } else { Care::Quick };
            self.paint(care, &view, picture);
            self.stale_paint = false;
            self.fine = false;
            self.quick = self.fence(now, !exact);
        } else if exact {
            self.settle_some(now, &view, picture);
        }
        Ok(())
    }

    fn settle_some(&mut self, now: f64, view: &View, picture: &Picture<'_>) {
        if let Some(batch) = &self.waiting {
            if !self.is_done(batch) {
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
        let mut tiles = self.settle.take();
        if let Some((tile, _)) = self.begun {
            tiles.insert(0, tile);
        }
        if tiles.is_empty() {
            if self.stale_paint || !self.fine {
                self.paint(Care::Fine, view, picture);
                self.stale_paint = false;
                self.fine = true;
                self.quick = self.fence(now, false);
            }
            return;
        }
        self.gl.enable(Gl::SCISSOR_TEST);
        let until = js_sys::Date::now() + SLICE;
        for (i, tile) in tiles.iter().enumerate() {
            let from = self.begun.take().map_or(0, |(_, face)| face);
            self.begun = self.exact_surfaces(*tile, from, until, picture.scene, view).map(|face| (*tile, face));
            if self.begun.is_some() || js_sys::Date::now() > until {
                self.settle.give_back(tiles.get(i + 1..).unwrap_or_default());
                break;
            }
        }
        self.gl.disable(Gl::SCISSOR_TEST);
        self.fine = false;
        let with_paint = now - self.painted > REPAINT.max(4.0 * self.paint_time);
        if with_paint {
            self.paint(Care::Quick, view, picture);
            self.painted = now;
        }
        self.waiting = self.fence(now, with_paint);
    }

    fn size_frame(&mut self, camera: &Camera) -> Result<(), JsValue> {
        let (w, h) = (camera.width as i32, camera.height as i32);
        if self.frame.as_ref().is_some_and(|f| f.width == w && f.height == h) {
            return Ok(());
        }
        if let Some(old) = self.frame.take() {
            old.delete(&self.gl);
        }
        // What fits once fits again at no larger size, and asking would keep the page waiting.
        let pixels = i64::from(w) * i64::from(h);
        self.frame = Some(Frame::create(&self.gl, w, h, pixels > self.fits)?);
        self.fits = self.fits.max(pixels);
        self.drawing = None;
        self.stale_surfaces = true;
        Ok(())
    }

    /// Draws faces by their vertex normals from number `from` on, into an emptied frame at 0; the number of the next
    /// face when the time is over before all are drawn.
    fn quick_surfaces(&mut self, from: usize, scene: &Scene, view: &View) -> Option<usize> {
        if from == 0 {
            self.covered = scene.faces.iter().map(|f| view.covered(&f.bounds)).collect();
        }
        let (gl, program) = (&self.gl, &self.programs.moving);
        let frame = self.frame.as_ref()?;
        frame.bind(gl);
        if from == 0 {
            frame.clear(gl);
        }
        self.surface_state();
        program.start(gl);
        let until = js_sys::Date::now() + SLICE;
        for (number, ((face, on_device), place)) in scene.faces.iter().zip(&self.faces).zip(&self.covered).enumerate().skip(from) {
            if number % CLOCK_EACH == 0 && number > from && js_sys::Date::now() > until {
                return Some(number);
            }
            if place.is_empty() {
                continue;
            }
            self.place_face(program, face, scene, view);
            program.int(gl, "faceted", i32::from(on_device.is_reference()));
            on_device.draw(gl);
        }
        None
    }

    /// Draws the faces of a tile from number `from` on; the number of the next face when the time is over before all
    /// are drawn. Faces of usual degree come first, then those of high ones.
    fn exact_surfaces(&self, tile: Rect, from: usize, until: f64, scene: &Scene, view: &View) -> Option<usize> {
        let gl = &self.gl;
        let frame = self.frame.as_ref()?;
        frame.bind(gl);
        gl.scissor(tile.x, tile.y, tile.w, tile.h);
        self.surface_state();
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
            let program = self.programs.exact_for(high);
            if begun != Some(high) {
                program.start(gl);
                view.rays(gl, program);
                begun = Some(high);
            }
            self.place_face(program, face, scene, view);
            view.ray_base(gl, program, face.origin());
            on_device.describe(gl, program);
            on_device.draw(gl);
        }
        None
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

    fn place_face(&self, program: &Program, face: &SceneFace, scene: &Scene, view: &View) {
        let gl = &self.gl;
        view.place(gl, program, face.origin());
        program.uint(gl, "face_code", face.code());
        program.vec3(gl, "scene_shift", (face.origin() - scene.origin()).as_vec3().to_array());
    }

    /// Paint, stripes and strokes onto the canvas.
    fn paint(&self, care: Care, view: &View, picture: &Picture<'_>) {
        let (gl, program) = (&self.gl, &self.programs.shade);
        let Some(frame) = &self.frame else { return };
        // Not bound for reading while it is drawn to.
        gl.active_texture(Gl::TEXTURE2);
        gl.bind_texture(Gl::TEXTURE_2D, None);
        match care {
            Care::Hasty | Care::Quick => {
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
