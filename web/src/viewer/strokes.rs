//! The strokes over the model: face borders, joins by a measure, what is chosen, and the mark.

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
use wasm_bindgen::JsValue;

/// Strokes on the device; what was forgotten is uploaded anew before it is drawn.
#[derive(Default)]
pub struct Strokes {
    borders: Option<Lines>,
    joins: Option<Lines>,
    marker: Option<Lines>,
}

impl Strokes {
    /// The faces have changed.
    pub fn forget_borders(&mut self, gl: &Gl) {
        drop_lines(gl, &mut self.borders);
    }

    /// The joins or what colours them have changed.
    pub fn forget_joins(&mut self, gl: &Gl) {
        drop_lines(gl, &mut self.joins);
    }

    /// The mark has changed.
    pub fn forget_marker(&mut self, gl: &Gl) {
        drop_lines(gl, &mut self.marker);
    }

    /// Everything has changed.
    pub fn forget_all(&mut self, gl: &Gl) {
        self.forget_borders(gl);
        self.forget_joins(gl);
        self.forget_marker(gl);
    }

    /// Uploads what was forgotten.
    pub fn upload(&mut self, gl: &Gl, scene: &Scene, marks: &Marks) -> Result<(), JsValue> {
        if self.borders.is_none() {
            self.borders = Some(Lines::upload(gl, border_segments(scene))?);
        }
        if self.joins.is_none() {
            self.joins = Some(Lines::upload(gl, join_segments(scene, marks))?);
        }
        if let (None, Some(point)) = (&self.marker, marks.point) {
            let p = (point - scene.origin()).as_vec3().to_array();
            let mut one = Segments::default();
            one.push(p, p, [0.0; 2]);
            self.marker = Some(Lines::upload(gl, one)?);
        }
        Ok(())
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
