//! The paint pass: colours and stripes from what the surface passes left in the frame, and the strokes on top.

use super::Gl;
use super::frame::Frame;
use super::picture::{Care, Picture};
use super::program::Programs;
use super::shade;
use super::strokes::Strokes;
use super::view::View;

/// Paints the frame's picture; the canvas keeps what it shows.
pub fn paint(gl: &Gl, programs: &Programs, frame: &Frame, strokes: &Strokes, care: Care, view: &View, picture: &Picture<'_>) {
    let program = &programs.shade;
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
    shade::describe(gl, program, care, view, picture);
    gl.draw_arrays(Gl::TRIANGLES, 0, 3);
    if care == Care::Fine {
        frame.bind_picture(gl);
        let program = &programs.finish;
        program.start(gl);
        frame.offer(gl, program);
        frame.offer_paint(gl, program);
        gl.draw_arrays(Gl::TRIANGLES, 0, 3);
    }
    strokes.draw(gl, &programs.line, frame, care, view, picture);
}
