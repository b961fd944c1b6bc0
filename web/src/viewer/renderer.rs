//! The passes of a picture: surfaces into the frame, paint and stripes onto the canvas, strokes on top.

use super::Gl;
use super::appearance::Theme;
use super::frame::Frame;
use super::gpu_face::GpuFace;
use super::lines::{Lines, Segments};
use super::probe::Ability;
use super::program::{Program, Programs};
use super::settle::{Rect, Settle};
use super::view::View;
use crate::camera::Camera;
use crate::colour::{level, map_samples};
use crate::joins_packet::MEASURES;
use crate::scene::Scene;
use glam::{DVec3, Vec3};
use rakelight_core::highlight::{Family, LampRig};
use wasm_bindgen::JsValue;
use web_sys::WebGlSync;

/// Time one batch of exact tiles should take, ms. Larger answers input later; smaller spends more
/// of the time on waiting between batches.
const BATCH: f64 = 60.0;

/// How often the paint catches up while tiles settle, ms. Larger shows the exact picture later; smaller
/// spends the time on painting, which draws every stroke.
const REPAINT: f64 = 350.0;

/// What is drawn beside the surfaces.
pub struct Marks {
    /// Id of the chosen face.
    pub face: Option<u32>,
    /// Id of the chosen join.
    pub join: Option<u32>,
    /// Marked point, mm.
    pub point: Option<DVec3>,
    /// Column of the joins' values that colours them; `None`: joins are not drawn.
    pub measure: Option<usize>,
    /// Limits of that measure (polish, fix, serious); not a number where there is none.
    pub limits: [f64; 3],
    /// Device pixels per CSS pixel.
    pub ratio: f32,
}

/// What a picture is made of.
#[derive(Clone, Copy)]
pub struct Picture<'a> {
    /// Faces and joins.
    pub scene: &'a Scene,
    /// Where the eye stands.
    pub camera: &'a Camera,
    /// The lamps; `None`: no stripes.
    pub rig: Option<&'a LampRig>,
    /// Colours.
    pub theme: &'a Theme,
    /// What is lifted out.
    pub marks: &'a Marks,
}

/// Device objects and the state of the picture.
pub struct Renderer {
    gl: Gl,
    /// What the device can do.
    pub ability: Ability,
    programs: Programs,
    frame: Option<Frame>,
    faces: Vec<GpuFace>,
    borders: Option<Lines>,
    joins: Option<Lines>,
    marker: Option<Lines>,
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

/// How carefully the canvas is painted.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Care {
    /// While something moves: stripes smoothed by the device's own derivatives, outlines as they fall.
    Quick,
    /// At rest.
    Fine,
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
            borders: None,
            joins: None,
            marker: None,
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
        drop_lines(&self.gl, &mut self.borders);
        self.stale_surfaces = true;
        Ok(())
    }

    /// Forgets faces and joins.
    pub fn clear(&mut self) {
        for face in self.faces.drain(..) {
            face.delete(&self.gl);
        }
        for lines in [&mut self.borders, &mut self.joins, &mut self.marker] {
            drop_lines(&self.gl, lines);
        }
        self.stale_surfaces = true;
    }

    /// The joins or what colours them have changed.
    pub fn joins_changed(&mut self) {
        drop_lines(&self.gl, &mut self.joins);
        self.stale_paint = true;
    }

    /// The marked point has changed.
    pub fn marker_changed(&mut self) {
        drop_lines(&self.gl, &mut self.marker);
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
        self.upload_lines(scene, picture.marks)?;
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
        let Picture { scene, theme, marks, .. } = *picture;
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
        program.vec3(gl, "view_back", view.camera.axes().2.as_vec3().to_array());
        program.vec3(gl, "eye", (view.camera.eye() - scene.origin()).as_vec3().to_array());
        program.float(gl, "perspective", view.perspective());
        program.vec3(gl, "paper", theme.paper);
        program.vec3(gl, "paint", theme.paint());
        program.vec3(gl, "stripe_ink", theme.stripe());
        program.vec3(gl, "accent", theme.accent());
        program.float(gl, "relief", theme.relief);
        program.int(gl, "quick", i32::from(care == Care::Quick));
        program.uint(gl, "chosen", marks.face.map_or(0, |f| f + 1));
        set_lamps(gl, program, picture.rig, scene.origin());
        gl.draw_arrays(Gl::TRIANGLES, 0, 3);
        if care == Care::Fine {
            gl.bind_framebuffer(Gl::FRAMEBUFFER, None);
            let program = &self.programs.finish;
            program.start(gl);
            frame.offer(gl, program);
            frame.offer_paint(gl, program);
            gl.draw_arrays(Gl::TRIANGLES, 0, 3);
        }
        self.strokes(care, frame, view, picture);
    }

    fn strokes(&self, care: Care, frame: &Frame, view: &View, picture: &Picture<'_>) {
        let Picture { scene, theme, marks, .. } = *picture;
        let (gl, program) = (&self.gl, &self.programs.line);
        gl.enable(Gl::BLEND);
        gl.blend_func_separate(Gl::SRC_ALPHA, Gl::ONE_MINUS_SRC_ALPHA, Gl::ONE, Gl::ONE);
        program.start(gl);
        frame.offer(gl, program);
        view.place(gl, program, scene.origin());
        program.vec2(gl, "frame_size", view.size());
        program.float(gl, "perspective", view.perspective());
        program.int(gl, "quick", i32::from(care == Care::Quick));
        program.vec3s(gl, "map", &map_samples());
        let r = marks.ratio;
        let pixel = view.camera.pixel_size() as f32;
        let pen = |widths: [f32; 2], ink: Option<[f32; 3]>, alpha: f32, hidden_by: f32| {
            program.vec2(gl, "stroke", widths.map(|w| w * r));
            let [red, green, blue] = ink.unwrap_or([0.0; 3]);
            program.vec4(gl, "ink", [red, green, blue, if ink.is_some() { alpha } else { 0.0 }]);
            program.float(gl, "reach", widths[0].max(widths[1]) / 2.0 * r);
            // Room of `hidden_by` pixels at the stroke's own depth.
            let room = hidden_by * pixel;
            let per_depth = room / view.camera.distance as f32;
            program.vec2(gl, "slack", if view.perspective() > 0.5 { [0.0, per_depth] } else { [room, 0.0] });
        };
        if let Some(lines) = &self.borders {
            // Opaque, or the overlaps of neighbouring pieces would show as beads.
            pen([1.0; 2], Some(theme.border()), 1.0, 2.0);
            lines.draw(gl);
        }
        // A pale casing first, all of it, then the colours: else each piece's casing would cut the last one's colour.
        if let (Some(lines), Some(_)) = (&self.joins, marks.measure) {
            for (widths, ink) in [([4.5, 9.0], Some(theme.casing())), ([2.5, 7.0], None)] {
                pen(widths, ink, 1.0, 3.0);
                lines.draw(gl);
            }
        }
        if let (Some(lines), Some(id)) = (&self.joins, marks.join) {
            let dark = (marks.measure.is_none()).then(|| theme.accent());
            for (widths, ink) in [([9.0, 13.0], Some(theme.stripe())), ([7.0, 11.0], Some(theme.accent())), ([3.0, 7.0], dark)] {
                pen(widths, ink, 1.0, 3.0);
                lines.draw_named(gl, id);
            }
        }
        if let Some(lines) = &self.marker {
            // A mark is seen through the model: it answers the hand, wherever it lies.
            for (width, ink) in [(13.0, theme.stripe()), (9.0, theme.accent())] {
                pen([width; 2], Some(ink), 1.0, 1e9);
                lines.draw(gl);
            }
        }
    }

    fn upload_lines(&mut self, scene: &Scene, marks: &Marks) -> Result<(), JsValue> {
        if self.borders.is_none() {
            self.borders = Some(Lines::upload(&self.gl, border_segments(scene))?);
        }
        if self.joins.is_none() {
            self.joins = Some(Lines::upload(&self.gl, join_segments(scene, marks))?);
        }
        if let (None, Some(point)) = (&self.marker, marks.point) {
            let p = (point - scene.origin()).as_vec3().to_array();
            let mut one = Segments::default();
            one.push(p, p, [0.0; 2]);
            self.marker = Some(Lines::upload(&self.gl, one)?);
        }
        Ok(())
    }
}

fn drop_lines(gl: &Gl, lines: &mut Option<Lines>) {
    if let Some(old) = lines.take() {
        old.delete(gl);
    }
}

fn border_segments(scene: &Scene) -> Segments {
    let mut out = Segments::default();
    for face in &scene.faces {
        let shift = (face.origin() - scene.origin()).as_vec3();
        for line in &face.packet.boundaries {
            for pair in line.as_chunks::<3>().0.windows(2) {
                if let [a, b] = pair {
                    let at = |p: &[f32; 3]| (Vec3::from_array(*p) + shift).to_array();
                    out.push(at(a), at(b), [0.0; 2]);
                }
            }
        }
    }
    out
}

fn join_segments(scene: &Scene, marks: &Marks) -> Segments {
    let shift = (DVec3::from_array(scene.joins.origin) - scene.origin()).as_vec3();
    let column = marks.measure.unwrap_or(0).min(MEASURES.len() - 1);
    let mut out = Segments::default();
    for join in &scene.joins.joins {
        let start = out.len();
        let stations: Vec<([f32; 3], f32)> = join
            .points
            .iter()
            .zip(&join.values)
            .map(|(p, v)| ((Vec3::from_array(*p) + shift).to_array(), level(f64::from(v[column]), marks.limits) as f32))
            .collect();
        for pair in stations.windows(2) {
            if let [(a, la), (b, lb)] = pair {
                out.push(*a, *b, [*la, *lb]);
            }
        }
        out.name(join.id, start);
    }
    out
}

fn set_lamps(gl: &Gl, program: &Program, rig: Option<&LampRig>, origin: DVec3) {
    let Some(rig) = rig else {
        program.int(gl, "stripe_family", 0);
        return;
    };
    let (family, count, middle) = match rig.family {
        // More lamps than angles: the whole range is filled.
        Family::Isophote => (1, 1e6, 0.0),
        Family::HighlightLine => (2, rig.count as f32, 0.5 * (rig.count.saturating_sub(1)) as f32),
    };
    program.int(gl, "stripe_family", family);
    program.vec3(gl, "lamp_direction", rig.direction.as_vec3().to_array());
    program.vec3(gl, "lamp_across", rig.across.as_vec3().to_array());
    program.vec3(gl, "lamp_centre", (rig.centre - origin).as_vec3().to_array());
    program.float(gl, "lamp_distance", rig.distance as f32);
    program.float(gl, "lamp_spacing", rig.spacing as f32);
    program.float(gl, "lamp_share", (rig.width / rig.spacing) as f32);
    program.float(gl, "lamp_count", count);
    program.float(gl, "lamp_middle", middle);
}
