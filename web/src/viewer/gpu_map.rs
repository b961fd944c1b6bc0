//! Values sampled over a face, on the device.

use super::Gl;
use super::program::Program;
use crate::scene_map::SceneMap;
use wasm_bindgen::JsValue;
use web_sys::WebGlTexture;

/// Stands for no value; the shader's twin is `UNKNOWN_VALUE`.
const UNKNOWN: f32 = 1e30;

/// A texture of one number a grid point.
pub struct GpuMap {
    texture: WebGlTexture,
    /// Start and rate of the grid in the vertices' own (u, v).
    over: [f32; 4],
}

impl GpuMap {
    /// Uploads values for a face whose vertices' (u, v) run from 0 to 1 over `uv_box`; None for unsound ones or more than the
    /// device takes.
    pub fn upload(gl: &Gl, map: &SceneMap, uv_box: &[f64; 4], max_texture: u32) -> Result<Option<GpuMap>, JsValue> {
        let (Ok(columns), Ok(rows)) = (u32::try_from(map.columns), u32::try_from(map.rows)) else { return Ok(None) };
        if !map.is_sound() || columns.max(rows) > max_texture {
            return Ok(None);
        }
        let texels: Vec<f32> = map.values.iter().map(|x| x.unwrap_or(UNKNOWN)).collect();
        let texture = gl.create_texture().ok_or("no texture object")?;
        gl.active_texture(Gl::TEXTURE6);
        gl.bind_texture(Gl::TEXTURE_2D, Some(&texture));
        gl.tex_image_2d_with_i32_and_i32_and_i32_and_format_and_type_and_opt_array_buffer_view(
            Gl::TEXTURE_2D,
            0,
            Gl::R32F as i32,
            columns as i32,
            rows as i32,
            0,
            Gl::RED,
            Gl::FLOAT,
            Some(&js_sys::Float32Array::from(texels.as_slice())),
        )?;
        for name in [Gl::TEXTURE_MIN_FILTER, Gl::TEXTURE_MAG_FILTER] {
            gl.tex_parameteri(Gl::TEXTURE_2D, name, Gl::NEAREST as i32);
        }
        let along = |low: f64, high: f64, first: f64, last: f64| {
            let size = if high > low { high - low } else { 1.0 };
            (((first - low) / size) as f32, (size / (last - first)) as f32)
        };
        let ([a, b, c, d], [u0, u1, v0, v1]) = (map.over, *uv_box);
        let (u, v) = (along(u0, u1, a, b), along(v0, v1, c, d));
        Ok(Some(GpuMap { texture, over: [u.0, v.0, u.1, v.1] }))
    }

    /// Offers values to a program as `map_values` (unit 6); without any, no texture, which reads as a single texel.
    pub fn offer(map: Option<&GpuMap>, gl: &Gl, program: &Program) {
        gl.active_texture(Gl::TEXTURE6);
        gl.bind_texture(Gl::TEXTURE_2D, map.map(|m| &m.texture));
        program.int(gl, "map_values", 6);
        program.vec4(gl, "map_over", map.map_or([0.0; 4], |m| m.over));
    }

    /// Gives the memory back.
    pub fn delete(&self, gl: &Gl) {
        gl.delete_texture(Some(&self.texture));
    }
}
