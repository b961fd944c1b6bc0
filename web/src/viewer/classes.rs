//! The class of each face on the device.

use super::Gl;
use super::program::Program;
use wasm_bindgen::JsValue;
use web_sys::WebGlTexture;

/// Texels in a row of the texture. Below the least width that devices promise, 2048.
const WIDTH: usize = 1024;

/// A texture of one byte a face id.
#[derive(Default)]
pub struct Classes {
    texture: Option<WebGlTexture>,
}

impl Classes {
    /// Uploads the classes, by face id, in place of those there were.
    pub fn upload(&mut self, gl: &Gl, classes: &[u8]) -> Result<(), JsValue> {
        self.forget(gl);
        let rows = classes.len().div_ceil(WIDTH).max(1);
        let mut texels = classes.to_vec();
        texels.resize(rows * WIDTH, 0);
        let texture = gl.create_texture().ok_or("no texture object")?;
        gl.active_texture(Gl::TEXTURE4);
        gl.bind_texture(Gl::TEXTURE_2D, Some(&texture));
        gl.pixel_storei(Gl::UNPACK_ALIGNMENT, 1);
        gl.tex_image_2d_with_i32_and_i32_and_i32_and_format_and_type_and_opt_array_buffer_view(
            Gl::TEXTURE_2D,
            0,
            Gl::R8UI as i32,
            WIDTH as i32,
            rows as i32,
            0,
            Gl::RED_INTEGER,
            Gl::UNSIGNED_BYTE,
            Some(&js_sys::Uint8Array::from(texels.as_slice())),
        )?;
        for name in [Gl::TEXTURE_MIN_FILTER, Gl::TEXTURE_MAG_FILTER] {
            gl.tex_parameteri(Gl::TEXTURE_2D, name, Gl::NEAREST as i32);
        }
        self.texture = Some(texture);
        Ok(())
    }

    /// Gives the memory back.
    pub fn forget(&mut self, gl: &Gl) {
        gl.delete_texture(self.texture.take().as_ref());
    }

    /// Offers them to a program as `classes` (unit 4).
    pub fn offer(&self, gl: &Gl, program: &Program) {
        gl.active_texture(Gl::TEXTURE4);
        gl.bind_texture(Gl::TEXTURE_2D, self.texture.as_ref());
        program.int(gl, "classes", 4);
    }
}
