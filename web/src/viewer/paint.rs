//! The paint pass: colours and stripes from what the surface passes left in the frame, and the strokes on top.

use super::Gl;
use super::bases::Bases;
use super::classes::Classes;
use super::frame::Frame;
use super::image::image;
use super::picture::{Care, Picture};
use super::program::Programs;
use super::settle::Rect;
use super::shade;
use super::strokes::Strokes;
use super::surfaces::Surfaces;
use super::view::View;

/// What a picture is painted with.
pub struct Tools<'a> {
    /// The programs.
    pub programs: &'a Programs,
    /// What the surface passes left, and where the picture goes.
    pub frame: &'a Frame,
    /// The class of each face.
    pub classes: &'a Classes,
    /// What faces seen near are relative to.
    pub bases: &'a Bases,
    /// Borders, joins and the mark.
    pub strokes: &'a Strokes,
    /// The faces, for the model's mirror image.
    pub surfaces: &'a Surfaces,
}

/// Paints the frame's picture, or what lies within a part of it; the canvas keeps what it shows.
pub fn paint(gl: &Gl, tools: &Tools<'_>, care: Care, within: Option<Rect>, view: &View, picture: &Picture<'_>) {
    let Tools { programs, frame, classes, bases, strokes, surfaces } = *tools;
    let Some(program) = programs.shade.of(shade::kind(care, frame.bends.is_some(), bases.any(), picture)) else { return };
    // Not bound for reading while it is drawn to.
    gl.active_texture(Gl::TEXTURE2);
    gl.bind_texture(Gl::TEXTURE_2D, None);
    match care {
        Care::Hasty | Care::Quick => frame.bind_picture(gl),
        Care::Fine => frame.bind_paint(gl),
    }
    gl.disable(Gl::DEPTH_TEST);
    gl.disable(Gl::BLEND);
    gl.bind_vertex_array(None);
    program.start(gl);
    frame.offer(gl, program);
    frame.offer_bends(gl, program);
    classes.offer(gl, program);
    bases.offer(gl, program);
    shade::describe(gl, program, frame.bends.is_some(), view, picture);
    if let Some(part) = within {
        gl.enable(Gl::SCISSOR_TEST);
        gl.scissor(part.x, part.y, part.w, part.h);
    }
    gl.draw_arrays(Gl::TRIANGLES, 0, 3);
    if care == Care::Fine {
        frame.bind_picture(gl);
        let program = &programs.finish;
        program.start(gl);
        frame.offer(gl, program);
        frame.offer_paint(gl, program);
        gl.draw_arrays(Gl::TRIANGLES, 0, 3);
    }
    if let Some(mirror) = picture.marks.mirror.filter(|_| care != Care::Hasty) {
        image(gl, tools, surfaces, &mirror, view, picture.scene);
    }
    strokes.draw(gl, &programs.line, frame, care, view, picture);
    gl.disable(Gl::SCISSOR_TEST);
}
