//! One face's buffers on the device.

use super::Gl;
use super::gpu_map::GpuMap;
use super::program::{Program, USUAL_DEGREE};
use super::textures::{net_texels, upload_net};
use crate::form_colour::Leaves;
use crate::packet::{FacePacket, Frame, Role, SurfaceRecord, VERTEX_FLOATS};
use crate::scene_map::SceneMap;
use glam::DVec3;
use wasm_bindgen::JsValue;
use web_sys::{WebGlBuffer, WebGlTexture, WebGlVertexArrayObject};

/// Most rows a control-point texture may have; beyond it (32 MB a face) small devices run out of memory.
pub const MAX_NET_ROWS: usize = 4096;

/// Vertices, triangles and the exact surface of a face.
pub struct GpuFace {
    array: WebGlVertexArrayObject,
    vertices: WebGlBuffer,
    indices: WebGlBuffer,
    net: Option<WebGlTexture>,
    map: Option<GpuMap>,
    shape: Shape,
    count: i32,
    reference: bool,
}

/// What the exact pass needs beside the net.
struct Shape {
    kind: i32,
    axes: [f32; 9],
    centre: [f32; 3],
    radii: [f32; 4],
    shape: [i32; 4],
}

impl GpuFace {
    /// Uploads a face.
    pub fn upload(gl: &Gl, packet: &FacePacket, max_texture: u32) -> Result<GpuFace, JsValue> {
        let array = gl.create_vertex_array().ok_or("no vertex array object")?;
        gl.bind_vertex_array(Some(&array));
        let vertices = gl.create_buffer().ok_or("no buffer object")?;
        gl.bind_buffer(Gl::ARRAY_BUFFER, Some(&vertices));
        gl.buffer_data_with_array_buffer_view(Gl::ARRAY_BUFFER, &js_sys::Float32Array::from(packet.vertices.as_slice()), Gl::STATIC_DRAW);
        let stride = (VERTEX_FLOATS * 4) as i32;
        for (slot, size, start) in [(0, 3, 0), (1, 2, 12), (2, 3, 20)] {
            gl.enable_vertex_attrib_array(slot);
            gl.vertex_attrib_pointer_with_i32(slot, size, Gl::FLOAT, false, stride, start);
        }
        let indices = gl.create_buffer().ok_or("no buffer object")?;
        gl.bind_buffer(Gl::ELEMENT_ARRAY_BUFFER, Some(&indices));
        gl.buffer_data_with_array_buffer_view(
            Gl::ELEMENT_ARRAY_BUFFER,
            &js_sys::Uint32Array::from(packet.triangles.as_slice()),
            Gl::STATIC_DRAW,
        );
        gl.bind_vertex_array(None);
        let rows = MAX_NET_ROWS.min(max_texture as usize);
        let net = match &packet.surface {
            SurfaceRecord::Bezier(grid) => net_texels(grid, &packet.uv_box, rows).map(|t| upload_net(gl, &t)).transpose()?,
            _ => None,
        };
        let shape = Shape::of(&packet.surface, net.is_some());
        Ok(GpuFace {
            array,
            vertices,
            indices,
            net,
            map: None,
            shape,
            count: packet.triangles.len() as i32,
            reference: packet.role == Role::Reference,
        })
    }

    /// True when the exact pass evaluates the surface itself; otherwise vertex normals stand in.
    pub fn is_exact(&self) -> bool {
        self.shape.kind != 0
    }

    /// True for a reference, which has no exact surface.
    pub fn is_reference(&self) -> bool {
        self.reference
    }

    /// True when the degree asks for the exact pass of high degrees.
    pub fn is_high(&self) -> bool {
        self.shape.shape.iter().take(2).any(|degree| usize::try_from(*degree).is_ok_and(|d| d > USUAL_DEGREE))
    }

    /// Tells a program what surface this is.
    pub fn describe(&self, gl: &Gl, program: &Program) {
        let s = &self.shape;
        program.int(gl, "kind", s.kind);
        program.mat3(gl, "axes", &s.axes);
        program.vec3(gl, "centre", s.centre);
        program.vec4(gl, "radii", s.radii);
        program.ints(gl, "shape", s.shape);
        gl.active_texture(Gl::TEXTURE2);
        gl.bind_texture(Gl::TEXTURE_2D, self.net.as_ref());
        program.int(gl, "net", 2);
    }

    /// Takes the values that the face is coloured by, over its own box of (u, v), in place of those it had.
    pub fn set_map(&mut self, gl: &Gl, map: Option<&SceneMap>, uv_box: &[f64; 4], max_texture: u32) -> Result<(), JsValue> {
        if let Some(old) = self.map.take() {
            old.delete(gl);
        }
        self.map = map.map(|m| GpuMap::upload(gl, m, uv_box, max_texture)).transpose()?.flatten();
        Ok(())
    }

    /// Offers them to a program that leaves values.
    pub fn offer_map(&self, gl: &Gl, program: &Program, leaves: Leaves) {
        if leaves == Leaves::Map {
            GpuMap::offer(self.map.as_ref(), gl, program);
        }
    }

    /// Draws the triangles with the program in use.
    pub fn draw(&self, gl: &Gl) {
        gl.bind_vertex_array(Some(&self.array));
        gl.draw_elements_with_i32(Gl::TRIANGLES, self.count, Gl::UNSIGNED_INT, 0);
    }

    /// Gives the memory back.
    pub fn delete(&self, gl: &Gl) {
        gl.delete_vertex_array(Some(&self.array));
        gl.delete_buffer(Some(&self.vertices));
        gl.delete_buffer(Some(&self.indices));
        gl.delete_texture(self.net.as_ref());
        if let Some(map) = &self.map {
            map.delete(gl);
        }
    }
}

impl Shape {
    fn of(surface: &SurfaceRecord, has_net: bool) -> Shape {
        let plain = Shape { kind: 0, axes: [0.0; 9], centre: [0.0; 3], radii: [0.0; 4], shape: [0; 4] };
        // Frames stand where the file put them, metres away on long axes: moved to their point
        // nearest the face, single precision keeps its digits.
        let near = |f: &Frame, across: bool| {
            let (c, z) = (DVec3::from_array(f.origin), DVec3::from_array(f.z));
            let along = z.dot(c);
            (if across { z * along } else { c - z * along }, -along)
        };
        let round = |kind: i32, f: &Frame, centre: DVec3, radii: [f64; 4]| {
            let mut axes = [0.0; 9];
            for (slot, value) in axes.iter_mut().zip(f.x.iter().chain(&f.y).chain(&f.z)) {
                *slot = *value as f32;
            }
            Shape { kind, axes, centre: centre.as_vec3().to_array(), radii: radii.map(|x| x as f32), shape: [0; 4] }
        };
        let own = |f: &Frame| DVec3::from_array(f.origin);
        match surface {
            SurfaceRecord::Plane(f) => round(1, f, near(f, true).0, [0.0; 4]),
            SurfaceRecord::Cylinder { frame, radius } => round(2, frame, near(frame, false).0, [*radius, 0.0, 0.0, 1.0]),
            SurfaceRecord::Cone { frame, radius, half_angle } => {
                let (centre, moved) = near(frame, false);
                round(3, frame, centre, [radius + moved * half_angle.tan(), 0.0, half_angle.sin(), half_angle.cos()])
            }
            SurfaceRecord::Sphere { frame, radius } => round(4, frame, own(frame), [*radius, 0.0, 0.0, 1.0]),
            SurfaceRecord::Torus { frame, major, minor } => round(5, frame, own(frame), [*major, *minor, 0.0, 1.0]),
            SurfaceRecord::Bezier(grid) if has_net => {
                let [su, sv] = grid.spans();
                let [p, q] = grid.degree;
                Shape { kind: 6, shape: [p as i32, q as i32, su as i32, sv as i32], ..plain }
            }
            SurfaceRecord::Bezier(_) | SurfaceRecord::None => plain,
        }
    }
}
