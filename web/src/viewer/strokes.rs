//! The strokes over the model: face borders, joins by a measure, what is chosen, what shows a finding, and the mark.

use super::Gl;
use super::frame::Frame;
use super::lines::{Lines, Segments};
use super::picture::{Care, Marks, Picture};
use super::program::Program;
use super::view::View;
use crate::colour::{level, map_samples};
use crate::joins_packet::MEASURES;
use crate::scene::Scene;
use glam::{DVec3, Vec3};
use std::collections::BTreeMap;
use wasm_bindgen::JsValue;

/// Segments handed to the device at a stretch. Larger keeps the page from answering; smaller costs more draws.
const PIECE: i32 = 8_000;

/// Width of the worst segments of a layer by levels, against that of good ones: the map's second carrier.
const WORST: f32 = 2.2;

/// Strokes on the device; what is missing or was forgotten is uploaded piece by piece.
#[derive(Default)]
pub struct Strokes {
    borders: Ribbon,
    joins: Ribbon,
    marker: Option<Lines>,
    drawn: Option<Lines>,
    layers: BTreeMap<String, Lines>,
}

/// Strokes of a list, on the device from its first item up to `next`.
#[derive(Default)]
struct Ribbon {
    pieces: Vec<Lines>,
    next: usize,
    complete: bool,
}

impl Strokes {
    /// Faces have come to those there were.
    pub fn faces_added(&mut self) {
        self.borders.complete = false;
    }

    /// The borders of faces have changed.
    pub fn forget_borders(&mut self, gl: &Gl) {
        self.borders.forget(gl);
    }

    /// Joins have come to those there were.
    pub fn joins_added(&mut self) {
        self.joins.complete = false;
    }

    /// What colours the joins has changed.
    pub fn forget_joins(&mut self, gl: &Gl) {
        self.joins.forget(gl);
    }

    /// The mark has changed.
    pub fn forget_marker(&mut self, gl: &Gl) {
        if let Some(old) = self.marker.take() {
            old.delete(gl);
        }
    }

    /// The lines of the chosen finding have changed.
    pub fn forget_drawn(&mut self, gl: &Gl) {
        if let Some(old) = self.drawn.take() {
            old.delete(gl);
        }
    }

    /// A layer of the page's has changed.
    pub fn forget_layer(&mut self, gl: &Gl, name: &str) {
        if let Some(old) = self.layers.remove(name) {
            old.delete(gl);
        }
    }

    /// Everything has changed.
    pub fn forget_all(&mut self, gl: &Gl) {
        self.borders.forget(gl);
        self.joins.forget(gl);
        self.forget_marker(gl);
        self.forget_drawn(gl);
        std::mem::take(&mut self.layers).values().for_each(|old| old.delete(gl));
    }

    /// True when nothing waits to be uploaded.
    pub fn complete(&self) -> bool {
        self.borders.complete && self.joins.complete
    }

    /// Uploads a piece of what is missing; true when that was the last one.
    pub fn upload(&mut self, gl: &Gl, scene: &Scene, marks: &Marks) -> Result<bool, JsValue> {
        let before = self.complete();
        if !self.borders.complete {
            self.borders.advance(gl, scene.faces.len(), |i, out| border_segments(scene, i, out))?;
        } else if !self.joins.complete {
            self.joins.advance(gl, scene.joins.len(), |i, out| join_segments(scene, marks, i, out))?;
        }
        // Before the first face nobody knows what places are relative to.
        if scene.faces.is_empty() {
            return Ok(!before && self.complete());
        }
        if let (None, Some(point)) = (&self.marker, marks.point) {
            let p = (point - scene.origin()).as_vec3().to_array();
            let mut one = Segments::default();
            one.push(p, p, [0.0; 2]);
            self.marker = Some(Lines::upload(gl, one)?);
        }
        if self.drawn.is_none() && !marks.lines.is_empty() {
            self.drawn = Some(Lines::upload(gl, polyline_segments(scene, &marks.lines, None))?);
        }
        for (name, layer) in &marks.layers {
            if !self.layers.contains_key(name) {
                self.layers.insert(name.clone(), Lines::upload(gl, polyline_segments(scene, &layer.lines, layer.levels.as_deref()))?);
            }
        }
        Ok(!before && self.complete())
    }

    /// Draws all of them over the painted canvas.
    pub fn draw(&self, gl: &Gl, program: &Program, frame: &Frame, care: Care, view: &View, picture: &Picture<'_>) {
        let Picture { scene, theme, marks, .. } = *picture;
        gl.enable(Gl::BLEND);
        gl.blend_func_separate(Gl::SRC_ALPHA, Gl::ONE_MINUS_SRC_ALPHA, Gl::ONE, Gl::ONE);
        program.start(gl);
        frame.offer(gl, program);
        view.place(gl, program, scene.origin());
        program.vec2(gl, "frame_size", view.size());
        program.float(gl, "perspective", view.perspective());
        program.int(gl, "quick", i32::from(care != Care::Fine));
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
        // Opaque, or the overlaps of neighbouring segments would show as beads.
        if care != Care::Hasty {
            pen([1.0; 2], Some(theme.border()), 1.0, 2.0);
            self.borders.pieces.iter().for_each(|piece| piece.draw(gl));
        }
        // A pale casing first, all of it, then the colours: else each piece's casing would cut the last one's colour.
        if marks.measure.is_some() && care != Care::Hasty {
            for (widths, ink) in [([4.5, 9.0], Some(theme.casing())), ([2.5, 7.0], None)] {
                pen(widths, ink, 1.0, 3.0);
                self.joins.pieces.iter().for_each(|piece| piece.draw(gl));
            }
        }
        if let Some(id) = marks.join {
            let dark = (marks.measure.is_none()).then(|| theme.accent());
            for (widths, ink) in [([9.0, 13.0], Some(theme.stripe())), ([7.0, 11.0], Some(theme.accent())), ([3.0, 7.0], dark)] {
                pen(widths, ink, 1.0, 3.0);
                self.joins.pieces.iter().for_each(|piece| piece.draw_named(gl, id));
            }
        }
        if let Some(lines) = &self.drawn {
            // Seen through the model as well: a control row runs beside the surface, above it here and below it there.
            for (width, ink) in [(6.0, theme.stripe()), (3.0, theme.accent())] {
                pen([width; 2], Some(ink), 1.0, 1e9);
                lines.draw(gl);
            }
        }
        for (name, lines) in &self.layers {
            let Some(layer) = marks.layers.get(name) else { continue };
            let (look, mapped) = (layer.look, layer.levels.is_some());
            let wide = look.width * if mapped { WORST } else { 1.0 };
            // A pale casing keeps dark strokes off dark stripes, a dark one pale strokes off pale paint.
            let casing = if mapped { look.ink.rgb() } else { theme.casing() };
            for (more, ink) in [(2.0, Some(casing)), (0.0, (!mapped).then(|| look.ink.rgb()))] {
                pen([look.width + more, wide + more], ink, 1.0, if look.through { 1e9 } else { 3.0 });
                lines.draw(gl);
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
}

impl Ribbon {
    fn forget(&mut self, gl: &Gl) {
        self.pieces.drain(..).for_each(|piece| piece.delete(gl));
        (self.next, self.complete) = (0, false);
    }

    /// Takes items of a list of `count` until a piece is full or the list ends.
    fn advance(&mut self, gl: &Gl, count: usize, mut take: impl FnMut(usize, &mut Segments)) -> Result<(), JsValue> {
        let mut piece = Segments::default();
        while self.next < count && piece.len() < PIECE {
            take(self.next, &mut piece);
            self.next += 1;
        }
        self.complete = self.next >= count;
        if piece.len() > 0 {
            self.pieces.push(Lines::upload(gl, piece)?);
        }
        Ok(())
    }
}

/// Segments of polylines, mm, each at its level of `levels`; a single point becomes a segment without length, drawn as a dot.
fn polyline_segments(scene: &Scene, lines: &[Vec<DVec3>], levels: Option<&[f32]>) -> Segments {
    let mut all = Segments::default();
    let mut levels = levels.unwrap_or_default().iter().copied();
    let at = |p: &DVec3| (*p - scene.origin()).as_vec3().to_array();
    for line in lines {
        if let [p] = line.as_slice() {
            all.push(at(p), at(p), [0.0; 2]);
        }
        for pair in line.windows(2) {
            if let [a, b] = pair {
                all.push(at(a), at(b), [levels.next().unwrap_or(0.0); 2]);
            }
        }
    }
    all
}

fn border_segments(scene: &Scene, index: usize, out: &mut Segments) {
    let Some(face) = scene.faces.get(index) else { return };
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

fn join_segments(scene: &Scene, marks: &Marks, index: usize, out: &mut Segments) {
    let Some(join) = scene.joins.get(index) else { return };
    let shift = (join.origin - scene.origin()).as_vec3();
    let column = marks.measure.unwrap_or(0).min(MEASURES.len() - 1);
    let start = out.len();
    let stations: Vec<([f32; 3], f32)> = join
        .line
        .points
        .iter()
        .zip(&join.line.values)
        .map(|(p, v)| ((Vec3::from_array(*p) + shift).to_array(), level(f64::from(v[column]), marks.limits) as f32))
        .collect();
    for pair in stations.windows(2) {
        if let [(a, la), (b, lb)] = pair {
            out.push(*a, *b, [*la, *lb]);
        }
    }
    out.name(join.line.id, start);
}
