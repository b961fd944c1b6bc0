//! The targets between the passes: normal and face, point and depth, paint, and the picture for the canvas.

use super::Gl;
use wasm_bindgen::JsValue;
use web_sys::{WebGlFramebuffer, WebGlRenderbuffer, WebGlTexture};

/// Two integer textures of raw float bits, a depth buffer, the paint and the picture, all of one size.
pub struct Frame {
    buffer: WebGlFramebuffer,
    /// Normal (3 floats) and face code.
    pub normals: WebGlTexture,
    /// Point relative to the scene's origin (3 floats) and depth in front of the eye.
    pub points: WebGlTexture,
    /// Principal curvatures (2 floats), while the picture is coloured by them.
    pub bends: Option<WebGlTexture>,
    depth: WebGlRenderbuffer,
    /// Paint and stripes before outlines are smoothed.
    pub painted: WebGlTexture,
    paint_buffer: WebGlFramebuffer,
    /// What the canvas is to show.
    picture: WebGlTexture,
    picture_buffer: WebGlFramebuffer,
    /// Width, device pixels.
    pub width: i32,
    /// Height, device pixels.
    pub height: i32,
}

impl Frame {
    /// Makes targets of a size; errors when the device has no room for them. `ask` the device whether it has, which
    /// waits for all it was given before. With `bends`, room for curvatures too.
    pub fn create(gl: &Gl, width: i32, height: i32, ask: bool, bends: bool) -> Result<Frame, JsValue> {
        let frame = Frame {
            buffer: gl.create_framebuffer().ok_or("no framebuffer object")?,
            normals: target(gl, Gl::RGBA32UI, width, height)?,
            points: target(gl, Gl::RGBA32UI, width, height)?,
            bends: if bends { Some(target(gl, Gl::RG32UI, width, height)?) } else { None },
            depth: gl.create_renderbuffer().ok_or("no renderbuffer object")?,
            painted: target(gl, Gl::RGBA8, width, height)?,
            paint_buffer: gl.create_framebuffer().ok_or("no framebuffer object")?,
            picture: target(gl, Gl::RGBA8, width, height)?,
            picture_buffer: gl.create_framebuffer().ok_or("no framebuffer object")?,
            width,
            height,
        };
        gl.bind_renderbuffer(Gl::RENDERBUFFER, Some(&frame.depth));
        gl.renderbuffer_storage(Gl::RENDERBUFFER, Gl::DEPTH_COMPONENT32F, width, height);
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&frame.buffer));
        for (slot, texture) in [(Gl::COLOR_ATTACHMENT0, &frame.normals), (Gl::COLOR_ATTACHMENT1, &frame.points)] {
            gl.framebuffer_texture_2d(Gl::FRAMEBUFFER, slot, Gl::TEXTURE_2D, Some(texture), 0);
        }
        gl.framebuffer_renderbuffer(Gl::FRAMEBUFFER, Gl::DEPTH_ATTACHMENT, Gl::RENDERBUFFER, Some(&frame.depth));
        let targets = js_sys::Array::of2(&Gl::COLOR_ATTACHMENT0.into(), &Gl::COLOR_ATTACHMENT1.into());
        if let Some(texture) = &frame.bends {
            gl.framebuffer_texture_2d(Gl::FRAMEBUFFER, Gl::COLOR_ATTACHMENT2, Gl::TEXTURE_2D, Some(texture), 0);
            targets.push(&Gl::COLOR_ATTACHMENT2.into());
        }
        gl.draw_buffers(&targets);
        for (buffer, texture) in [(&frame.paint_buffer, &frame.painted), (&frame.picture_buffer, &frame.picture)] {
            gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(buffer));
            gl.framebuffer_texture_2d(Gl::FRAMEBUFFER, Gl::COLOR_ATTACHMENT0, Gl::TEXTURE_2D, Some(texture), 0);
        }
        // The picture shares the surfaces' depth, for what is laid over it.
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&frame.picture_buffer));
        gl.framebuffer_renderbuffer(Gl::FRAMEBUFFER, Gl::DEPTH_ATTACHMENT, Gl::RENDERBUFFER, Some(&frame.depth));
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&frame.buffer));
        let state = if ask { gl.check_framebuffer_status(Gl::FRAMEBUFFER) } else { Gl::FRAMEBUFFER_COMPLETE };
        if state == Gl::FRAMEBUFFER_COMPLETE {
            return Ok(frame);
        }
        frame.delete(gl);
        Err(JsValue::from_str(&format!("no drawing targets of {width} × {height} pixels (state {state})")))
    }

    /// Directs drawing into the targets.
    pub fn bind(&self, gl: &Gl) {
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&self.buffer));
        gl.viewport(0, 0, self.width, self.height);
    }

    /// Directs drawing into the paint.
    pub fn bind_paint(&self, gl: &Gl) {
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&self.paint_buffer));
        gl.viewport(0, 0, self.width, self.height);
    }

    /// Directs drawing into the picture.
    pub fn bind_picture(&self, gl: &Gl) {
        gl.bind_framebuffer(Gl::FRAMEBUFFER, Some(&self.picture_buffer));
        gl.viewport(0, 0, self.width, self.height);
    }

    /// Puts the picture onto a canvas of a size, stretched where the sizes differ.
    pub fn show(&self, gl: &Gl, width: i32, height: i32) {
        gl.bind_framebuffer(Gl::READ_FRAMEBUFFER, Some(&self.picture_buffer));
        gl.bind_framebuffer(Gl::DRAW_FRAMEBUFFER, None);
        gl.disable(Gl::SCISSOR_TEST);
        let smooth = if (width, height) == (self.width, self.height) { Gl::NEAREST } else { Gl::LINEAR };
        gl.blit_framebuffer(0, 0, self.width, self.height, 0, 0, width, height, Gl::COLOR_BUFFER_BIT, smooth);
        // Whoever reads next reads the canvas.
        gl.bind_framebuffer(Gl::FRAMEBUFFER, None);
    }

    /// Empties the bound targets.
    pub fn clear(&self, gl: &Gl) {
        gl.clear_bufferuiv_with_u32_array(Gl::COLOR, 0, &[0; 4]);
        gl.clear_bufferuiv_with_u32_array(Gl::COLOR, 1, &[0; 4]);
        if self.bends.is_some() {
            gl.clear_bufferuiv_with_u32_array(Gl::COLOR, 2, &[0; 4]);
        }
        gl.clear_bufferfv_with_f32_array(Gl::DEPTH, 0, &[1.0]);
    }

    /// Offers both textures to a program as `normals` (unit 0) and `points` (unit 1).
    pub fn offer(&self, gl: &Gl, program: &super::program::Program) {
        for (unit, name, texture) in [(0, "normals", &self.normals), (1, "points", &self.points)] {
            gl.active_texture(Gl::TEXTURE0 + unit);
            gl.bind_texture(Gl::TEXTURE_2D, Some(texture));
            program.int(gl, name, unit as i32);
        }
    }

    /// Offers the curvatures to a program as `bends` (unit 3); without any, no texture.
    pub fn offer_bends(&self, gl: &Gl, program: &super::program::Program) {
        gl.active_texture(Gl::TEXTURE3);
        gl.bind_texture(Gl::TEXTURE_2D, self.bends.as_ref());
        program.int(gl, "bends", 3);
    }

    /// Offers the paint to a program as `painted` (unit 2).
    pub fn offer_paint(&self, gl: &Gl, program: &super::program::Program) {
        gl.active_texture(Gl::TEXTURE2);
        gl.bind_texture(Gl::TEXTURE_2D, Some(&self.painted));
        program.int(gl, "painted", 2);
    }

    /// Gives the memory back.
    pub fn delete(&self, gl: &Gl) {
        gl.delete_framebuffer(Some(&self.buffer));
        gl.delete_framebuffer(Some(&self.paint_buffer));
        gl.delete_framebuffer(Some(&self.picture_buffer));
        gl.delete_texture(Some(&self.painted));
        gl.delete_texture(Some(&self.picture));
        gl.delete_texture(Some(&self.normals));
        gl.delete_texture(Some(&self.points));
        gl.delete_texture(self.bends.as_ref());
        gl.delete_renderbuffer(Some(&self.depth));
    }
}

fn target(gl: &Gl, format: u32, width: i32, height: i32) -> Result<WebGlTexture, JsValue> {
    let texture = gl.create_texture().ok_or("no texture object")?;
    gl.bind_texture(Gl::TEXTURE_2D, Some(&texture));
    gl.tex_storage_2d(Gl::TEXTURE_2D, 1, format, width, height);
    for name in [Gl::TEXTURE_MIN_FILTER, Gl::TEXTURE_MAG_FILTER] {
        gl.tex_parameteri(Gl::TEXTURE_2D, name, Gl::NEAREST as i32);
    }
    Ok(texture)
}
