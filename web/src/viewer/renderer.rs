//! The order of a picture's passes: surfaces into the frame, paint and strokes into its picture, that onto the canvas.
//!
//! The device is given one piece of work at a time, and the canvas a picture that is ready: a browser without a graphics
//! device reads the canvas back, and the page would stand still for as long as a picture there is unfinished.

use super::Gl;
use super::bases::Bases;
use super::classes::Classes;
use super::frame::Frame;
use super::gpu_face::MAX_NET_ROWS;
use super::paint::{Tools, paint};
use super::picture::{Care, Picture};
use super::probe::Ability;
use super::program::Programs;
use super::settle::{Rect, Settle};
use super::shade;
use super::strokes::Strokes;
use super::surfaces::{Pass, Surfaces};
use super::turn::{Turn, Work};
use super::view::View;
use crate::camera::Camera;
use crate::form_colour::Leaves;
use crate::scene::Scene;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsValue;
use web_sys::HtmlCanvasElement;

/// Time one batch of exact tiles should take, ms. Larger answers input later; smaller spends more
/// of the time on waiting between batches.
const BATCH: f64 = 60.0;

/// Longest time for which work is handed to the device at a stretch, ms. Larger keeps the page from answering;
/// smaller spends more of the time between the stretches.
const SLICE: f64 = 12.0;

/// When a picture takes longer than this while something moves, ms, strokes are left out of the next. Larger lets motion
/// stutter on slow devices; smaller lets lines flicker on quick ones.
const SLOW: f64 = 120.0;

/// When pictures take no longer than this, ms, the next goes onto the canvas at once. Larger lets the page wait for the
/// device; smaller than one frame of the screen delays every picture of a quick device by one.
const PROMPT: f64 = 25.0;

/// How often the paint catches up while more tiles settle, ms. Larger shows the exact picture later; smaller
/// spends the time on painting, which draws every stroke.
const REPAINT: f64 = 350.0;

/// Device objects and the state of the picture.
pub struct Renderer {
    gl: Gl,
    /// What the device can do.
    pub ability: Ability,
    /// Those of all renderers that share the context.
    programs: Rc<RefCell<Programs>>,
    /// The canvas is shared: it only grows, and its lower left corner is given the picture.
    shared: bool,
    /// Width and height of the picture that the canvas was given since that was asked last.
    given: Option<(i32, i32)>,
    frame: Option<Frame>,
    /// Pixels of the largest frame that the device was found to have room for.
    fits: i64,
    surfaces: Surfaces,
    bases: Bases,
    strokes: Strokes,
    classes: Classes,
    /// The picture is or was coloured by curvatures or sampled values, so the frame has room for them.
    bends: bool,
    /// What of them the surface passes leave there.
    leaves: Leaves,
    /// The device has no room for them.
    bends_refused: bool,
    /// The camera of the surfaces in the frame.
    view: Camera,
    /// Next face of surfaces that are still being handed over.
    drawing: Option<usize>,
    /// An exact tile begun and not ended, with the number of its next face.
    begun: Option<(Rect, usize)>,
    settle: Settle,
    turn: Turn,
    /// How long the last picture took while something moved, ms.
    moving_time: f64,
    /// How long the last picture took, ms; infinite before there was one.
    picture_time: f64,
    /// When the paint last caught up with the exact tiles, ms.
    painted: f64,
    /// The paint has caught up with some of the present exact tiles.
    caught_up: bool,
    /// Holds the exact tiles that the paint has not caught up with.
    unpainted: Option<Rect>,
    /// How long the last batch of tiles with a picture took, ms.
    repaint_time: f64,
    /// A picture is ready that the canvas does not show.
    unseen: bool,
    stale_surfaces: bool,
    stale_paint: bool,
    /// The last picture is a fine one of the present surfaces.
    fine: bool,
    /// The last picture lacks strokes.
    hasty: bool,
}

impl Renderer {
    /// Prepares a context; errors are sentences for the user.
    pub fn new(gl: Gl) -> Result<Renderer, JsValue> {
        let ability = Ability::probe(&gl);
        ability.check()?;
        let programs = Rc::new(RefCell::new(Programs::link(&gl)?));
        Ok(Renderer::with(gl, ability, programs, false))
    }

    /// Another one for the same canvas, by the same programs.
    pub fn beside(&self) -> Renderer {
        Renderer::with(self.gl.clone(), self.ability.clone(), Rc::clone(&self.programs), true)
    }

    fn with(gl: Gl, ability: Ability, programs: Rc<RefCell<Programs>>, shared: bool) -> Renderer {
        Renderer {
            gl,
            ability,
            programs,
            shared,
            given: None,
            frame: None,
            fits: 0,
            surfaces: Surfaces::default(),
            bases: Bases::default(),
            strokes: Strokes::default(),
            classes: Classes::default(),
            bends: false,
            leaves: Leaves::Points,
            bends_refused: false,
            view: Camera::default(),
            drawing: None,
            begun: None,
            settle: Settle::default(),
            turn: Turn::default(),
            moving_time: 0.0,
            picture_time: f64::INFINITY,
            painted: 0.0,
            caught_up: false,
            unpainted: None,
            repaint_time: 0.0,
            unseen: false,
            stale_surfaces: true,
            stale_paint: true,
            fine: false,
            hasty: false,
        }
    }

    /// Width and height of the picture that the canvas was given since the last call, if it was.
    pub fn was_given(&mut self) -> Option<(i32, i32)> {
        self.given.take()
    }

    /// Gives the targets back; the next picture is drawn anew.
    pub fn rest(&mut self) {
        if let Some(frame) = self.frame.take() {
            frame.delete(&self.gl);
        }
        self.drawing = None;
        self.begun = None;
        self.stale_surfaces = true;
    }

    /// Gives back everything that the device holds for it.
    pub fn end(&mut self) {
        self.rest();
        self.clear(false);
        self.bases.forget(&self.gl);
        self.classes.forget(&self.gl);
    }

    /// Uploads a face that the scene has just taken.
    pub fn add_face(&mut self, scene: &Scene, index: usize) -> Result<(), JsValue> {
        if let Some(face) = scene.faces.get(index) {
            self.surfaces.add(&self.gl, &face.packet, self.ability.max_texture, &mut self.programs.borrow_mut())?;
            self.surfaces.set_map(&self.gl, scene, index, self.ability.max_texture)?;
        }
        self.strokes.faces_added();
        self.stale_surfaces = true;
        Ok(())
    }

    /// Uploads a face that the scene has just replaced.
    pub fn replace_face(&mut self, scene: &Scene, index: usize) -> Result<(), JsValue> {
        if let Some(face) = scene.faces.get(index) {
            self.surfaces.replace(&self.gl, index, &face.packet, self.ability.max_texture)?;
            self.surfaces.set_map(&self.gl, scene, index, self.ability.max_texture)?;
        }
        self.strokes.forget_borders(&self.gl);
        self.drawing = None;
        self.stale_surfaces = true;
        Ok(())
    }

    /// Forgets faces and joins, and the room for curvatures unless they are to be kept.
    pub fn clear(&mut self, keep_bends: bool) {
        self.surfaces.clear(&self.gl);
        self.strokes.forget_all(&self.gl);
        self.drawing = None;
        self.stale_surfaces = true;
        self.bends &= keep_bends;
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

    /// A layer of the page's has changed.
    pub fn layer_changed(&mut self, name: &str) {
        self.strokes.forget_layer(&self.gl, name);
        self.stale_paint = true;
    }

    /// The lines of the chosen finding have changed.
    pub fn lines_changed(&mut self) {
        self.strokes.forget_drawn(&self.gl);
        self.stale_paint = true;
    }

    /// The picture is to be coloured by what the surface passes leave, or by nothing of it. Curvatures and values stay in the frame once they are there, so that changing
    /// between stripes and colours only paints anew; `clear` lets go of them.
    pub fn want(&mut self, wanted: Leaves) -> Result<(), JsValue> {
        if wanted == Leaves::Points || self.bends_refused {
            return Ok(());
        }
        self.programs.borrow_mut().need(&self.gl, wanted)?;
        self.bends = true;
        if self.leaves != wanted {
            self.leaves = wanted;
            self.drawing = None;
            self.stale_surfaces = true;
        }
        Ok(())
    }

    /// The values that faces are coloured by have changed.
    pub fn maps_changed(&mut self, scene: &Scene) -> Result<(), JsValue> {
        self.drawing = None;
        self.stale_surfaces = true;
        (0..scene.faces.len()).try_for_each(|index| self.surfaces.set_map(&self.gl, scene, index, self.ability.max_texture))
    }

    /// What the surface passes leave in the frame there is.
    fn leaves(&self) -> Leaves {
        if self.frame.as_ref().is_some_and(|f| f.bends.is_some()) { self.leaves } else { Leaves::Points }
    }

    /// True when the device has no room for curvatures beside the rest.
    pub fn refuses_bends(&self) -> bool {
        self.bends_refused
    }

    /// The classes of the faces, by face id, have come.
    pub fn classes_changed(&mut self, classes: &[u8]) -> Result<(), JsValue> {
        self.stale_paint = true;
        self.classes.upload(&self.gl, classes)
    }

    /// The camera or the frame's size has changed.
    pub fn view_changed(&mut self) {
        self.stale_surfaces = true;
    }

    /// Lamps, colours or the choice have changed.
    pub fn paint_changed(&mut self) {
        self.stale_paint = true;
    }

    /// True when every pixel of the canvas shows the exact surface, faces without an exact form set aside.
    pub fn settled(&self) -> bool {
        !self.stale_surfaces
            && !self.stale_paint
            && self.settle.done()
            && self.begun.is_none()
            && !self.turn.is_taken()
            && !self.unseen
            && self.strokes.complete()
            && self.fine
    }

    /// True while the picture lacks a change of the view or of the paint.
    pub fn is_behind(&self) -> bool {
        self.stale_surfaces || self.stale_paint || self.drawing.is_some()
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
        self.surfaces.inexact()
    }

    /// True when the device has finished what it was given, so that other work would not have to queue behind it, and
    /// the canvas has its picture.
    pub fn ready(&mut self, now: f64) -> bool {
        if let Some(ended) = self.turn.end(&self.gl, now) {
            match ended.work {
                Work::Surfaces => {}
                Work::Tiles => self.settle.learn(ended.took, BATCH),
                Work::TilesAndPicture => self.repaint_time = ended.took,
                Work::Moving => (self.moving_time, self.picture_time) = (ended.took, ended.took),
                Work::Resting => self.picture_time = ended.took,
            }
            self.unseen |= ended.unseen;
        }
        !self.turn.is_taken() && !self.unseen
    }

    /// Puts a picture that has become ready onto the canvas; true when there was one. The rest of the screen's frame is
    /// the canvas's then: what the device is given more, the page has to wait for.
    pub fn show(&mut self, now: f64) -> bool {
        self.ready(now);
        let there_was = std::mem::take(&mut self.unseen);
        if let (true, Some(frame)) = (there_was, &self.frame) {
            frame.show(&self.gl, frame.width, frame.height);
            self.given = Some((frame.width, frame.height));
        }
        there_was
    }

    /// True while a picture is on its way that the canvas does not show.
    pub fn is_unseen(&self) -> bool {
        self.unseen || self.turn.is_unseen()
    }

    /// Gives the canvas and the frame the camera's size. True when the rest of the screen's frame is the canvas's, as in
    /// [`Renderer::show`].
    pub fn size(&mut self, canvas: &HtmlCanvasElement, camera: &Camera) -> Result<bool, JsValue> {
        let (w, h) = (camera.width as i32, camera.height as i32);
        if self.frame.as_ref().is_some_and(|f| f.width == w && f.height == h && f.bends.is_some() == self.bends) {
            return Ok(false);
        }
        let least = |there: u32| if self.shared { there } else { 0 };
        let (wide, high) = (w.unsigned_abs().max(least(canvas.width())), h.unsigned_abs().max(least(canvas.height())));
        // Said again, the same size would empty it.
        if !self.shared || (wide, high) != (canvas.width(), canvas.height()) {
            canvas.set_width(wide);
            canvas.set_height(high);
        }
        let stands_in = self.frame.take().map(|old| {
            // A canvas of another size is empty: the last picture, stretched, stands in until the next is ready.
            if !self.shared {
                old.show(&self.gl, w, h);
            }
            old.delete(&self.gl);
        });
        // What fits once fits again at no larger size, and asking would keep the page waiting.
        let pixels = i64::from(w) * i64::from(h);
        if self.bends {
            // Asked each time, as this is rare: what is not there is done without.
            match Frame::create(&self.gl, w, h, true, true) {
                Ok(frame) => self.frame = Some(frame),
                Err(_) => (self.bends, self.bends_refused) = (false, true),
            }
        }
        if self.frame.is_none() {
            self.frame = Some(Frame::create(&self.gl, w, h, pixels > self.fits, false)?);
        }
        self.fits = self.fits.max(pixels);
        self.drawing = None;
        self.stale_surfaces = true;
        Ok(stands_in.is_some() && !self.shared && self.picture_time > PROMPT)
    }

    /// Draws what is stale; when `exact`, also the next batch of exact tiles. To be called when [`Renderer::ready`].
    /// Surfaces of large models are handed over in several calls: the canvas keeps the last picture until all are there.
    pub fn draw(&mut self, exact: bool, now: f64, picture: &Picture<'_>) -> Result<(), JsValue> {
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
            if let Some(frame) = &self.frame {
                let until = js_sys::Date::now() + SLICE;
                let programs = &self.programs.borrow();
                let pass = Pass { gl: &self.gl, programs, frame, scene: picture.scene, view: &view, leaves: self.leaves() };
                self.drawing = self.surfaces.quick(&pass, from, until);
            }
            if self.drawing.is_some() {
                self.turn.give(&self.gl, Work::Surfaces, now, false);
                return Ok(());
            }
            self.settle.restart(self.view.width as i32, self.view.height as i32, &self.surfaces.exact_covered());
            self.begun = None;
            self.painted = now;
            self.caught_up = false;
            self.unpainted = None;
            self.settle.begin_small();
            self.stale_paint = true;
        }
        let exact = exact && !self.stale_surfaces;
        let at_rest = exact && self.settle.done() && self.begun.is_none();
        if self.stale_paint && !at_rest {
            let care = if !exact && self.moving_time > SLOW { Care::Hasty } else { Care::Quick };
            self.paint(care, if exact { Work::Resting } else { Work::Moving }, now, &view, picture)?;
        } else if exact {
            self.settle_some(now, &view, picture)?;
        }
        Ok(())
    }

    fn settle_some(&mut self, now: f64, view: &View, picture: &Picture<'_>) -> Result<(), JsValue> {
        if !self.settle.done() && !self.bends && !self.surfaces.looked_at_all() {
            let rows = MAX_NET_ROWS.min(self.ability.max_texture as usize);
            let until = js_sys::Date::now() + SLICE;
            if !self.surfaces.come_near(&self.gl, &mut self.programs.borrow_mut(), rows, picture.scene, view, until)? {
                self.turn.give(&self.gl, Work::Surfaces, now, false);
                return Ok(());
            }
        }
        let mut tiles = self.settle.take();
        if let Some((tile, _)) = self.begun {
            tiles.insert(0, tile);
        }
        if tiles.is_empty() {
            if self.stale_paint || !self.fine {
                self.paint(Care::Fine, Work::Resting, now, view, picture)?;
            }
            return Ok(());
        }
        let Some(frame) = &self.frame else { return Ok(()) };
        let programs = self.programs.borrow();
        let pass = Pass { gl: &self.gl, programs: &programs, frame, scene: picture.scene, view, leaves: self.leaves() };
        self.gl.enable(Gl::SCISSOR_TEST);
        let until = js_sys::Date::now() + SLICE;
        for (i, tile) in tiles.iter().enumerate() {
            let from = self.begun.take().map_or(0, |(_, face)| face);
            self.begun = self.surfaces.exact(&pass, *tile, from, until).map(|face| (*tile, face));
            self.unpainted = Some(self.unpainted.map_or(*tile, |r| r.joined(tile)));
            if self.begun.is_some() || js_sys::Date::now() > until {
                self.settle.give_back(tiles.get(i + 1..).unwrap_or_default());
                break;
            }
        }
        self.gl.disable(Gl::SCISSOR_TEST);
        drop(programs);
        self.fine = false;
        // The first exact pixels are shown at once: they tell that the picture has begun to settle.
        if !self.caught_up || now - self.painted > REPAINT.max(4.0 * self.repaint_time) {
            self.painted = now;
            self.caught_up = true;
            self.paint(Care::Quick, Work::TilesAndPicture, now, view, picture)?;
        } else {
            self.turn.give(&self.gl, Work::Tiles, now, false);
        }
        Ok(())
    }

    /// Paints the picture as the end of some work that began at `now`.
    fn paint(&mut self, care: Care, work: Work, now: f64, view: &View, picture: &Picture<'_>) -> Result<(), JsValue> {
        let Some(frame) = &self.frame else { return Ok(()) };
        let scene = picture.scene;
        self.bases.set(&self.gl, self.surfaces.nears(scene), picture.rig, view.camera.sight(), scene.origin())?;
        let mut programs = self.programs.borrow_mut();
        programs.shade.need(&self.gl, shade::kind(care, frame.bends.is_some(), self.bases.any(), picture))?;
        let tools = Tools {
            programs: &programs,
            frame,
            classes: &self.classes,
            bases: &self.bases,
            strokes: &self.strokes,
            surfaces: &self.surfaces,
        };
        // Beside the tiles the picture is what it was.
        let within = self.unpainted.take().filter(|_| work == Work::TilesAndPicture && !self.hasty);
        paint(&self.gl, &tools, care, within, view, picture);
        let at_once = self.picture_time <= PROMPT && work != Work::TilesAndPicture;
        if at_once {
            frame.show(&self.gl, frame.width, frame.height);
            self.given = Some((frame.width, frame.height));
        }
        self.stale_paint = false;
        (self.fine, self.hasty) = (care == Care::Fine, care == Care::Hasty);
        self.turn.give(&self.gl, work, now, !at_once);
        Ok(())
    }
}
