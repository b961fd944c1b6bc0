//! A face seen near, on the device.

use super::Gl;
use super::program::{Program, USUAL_DEGREE};
use super::textures::{net_texels, upload_net};
use crate::near::{Bend, Near};
use glam::DVec3;
use wasm_bindgen::JsValue;
use web_sys::WebGlTexture;

/// A base and what bends away from it.
pub struct GpuNear {
    /// In double precision.
    pub near: Near,
    net: Option<WebGlTexture>,
}

impl GpuNear {
    /// Uploads it; `None` when its degree is above what the device evaluates.
    pub fn upload(gl: &Gl, near: Near, max_rows: usize) -> Result<Option<GpuNear>, JsValue> {
        let net = match &near.bend {
            Bend::Spline(bend) => match net_texels(&bend.grid, &[0.0, 1.0, 0.0, 1.0], max_rows) {
                Some(texels) => Some(upload_net(gl, &texels)?),
                None => return Ok(None),
            },
            _ => None,
        };
        Ok(Some(GpuNear { near, net }))
    }

    /// True when the degree asks for the pass of high degrees.
    pub fn is_high(&self) -> bool {
        matches!(&self.near.bend, Bend::Spline(bend) if bend.grid.degree.iter().any(|p| *p > USUAL_DEGREE + 1))
    }

    /// Tells a program of it, for a face with its `origin`.
    pub fn describe(&self, gl: &Gl, program: &Program, origin: DVec3) {
        let vec3 = |name: &str, v: DVec3| program.vec3(gl, name, v.as_vec3().to_array());
        vec3("base", self.near.base - origin);
        vec3("base_normal", self.near.normal);
        let kind = match &self.near.bend {
            Bend::Quadric { axis, across, along } => {
                vec3("axis", *axis);
                program.vec2(gl, "quadric", [*across as f32, *along as f32]);
                1
            }
            Bend::Torus { axis, out, ring, tube, side, sign } => {
                vec3("axis", *axis);
                vec3("out_base", *out);
                program.vec4(gl, "tube", [*ring, tube[0], tube[1], tube[0].hypot(tube[1])].map(|x| x as f32));
                program.vec2(gl, "turned", [*side as f32, *sign as f32]);
                2
            }
            Bend::Spline(bend) => {
                vec3("along_u", bend.along_u);
                vec3("along_v", bend.along_v);
                program.vec4(gl, "from_uv", bend.from_uv.map(|x| x as f32));
                program.vec2(gl, "turned", [1.0, bend.side as f32]);
                let ([p, q], [su, sv]) = (bend.grid.degree, bend.grid.spans());
                program.ints(gl, "shape", [p as i32, q as i32, su as i32, sv as i32]);
                3
            }
        };
        program.int(gl, "kind", kind);
        gl.active_texture(Gl::TEXTURE2);
        gl.bind_texture(Gl::TEXTURE_2D, self.net.as_ref());
        program.int(gl, "net", 2);
    }

    /// Gives the memory back.
    pub fn delete(&self, gl: &Gl) {
        gl.delete_texture(self.net.as_ref());
    }
}
