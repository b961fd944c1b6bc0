//! Strokes on the device: face borders, joins and the marker.

use super::Gl;
use std::collections::BTreeMap;
use std::ops::Range;
use wasm_bindgen::JsValue;
use web_sys::{WebGlBuffer, WebGlVertexArrayObject};

/// Numbers for each segment: tail 3, head 3, level at both 2.
const SEGMENT_FLOATS: usize = 8;

/// Segments being collected before they go to the device.
#[derive(Default)]
pub struct Segments {
    data: Vec<f32>,
    ranges: BTreeMap<u32, Range<i32>>,
}

impl Segments {
    /// Number of segments.
    pub fn len(&self) -> i32 {
        i32::try_from(self.data.len() / SEGMENT_FLOATS).unwrap_or(i32::MAX)
    }

    /// Adds a segment with the levels at its ends.
    pub fn push(&mut self, tail: [f32; 3], head: [f32; 3], levels: [f32; 2]) {
        self.data.extend_from_slice(&tail);
        self.data.extend_from_slice(&head);
        self.data.extend_from_slice(&levels);
    }

    /// Names the segments added since `start`.
    pub fn name(&mut self, id: u32, start: i32) {
        self.ranges.insert(id, start..self.len());
    }
}

/// Segments on the device.
pub struct Lines {
    array: WebGlVertexArrayObject,
    buffer: WebGlBuffer,
    count: i32,
    ranges: BTreeMap<u32, Range<i32>>,
}

impl Lines {
    /// Uploads segments.
    pub fn upload(gl: &Gl, segments: Segments) -> Result<Lines, JsValue> {
        let array = gl.create_vertex_array().ok_or("no vertex array object")?;
        let buffer = gl.create_buffer().ok_or("no buffer object")?;
        gl.bind_buffer(Gl::ARRAY_BUFFER, Some(&buffer));
        gl.buffer_data_with_array_buffer_view(Gl::ARRAY_BUFFER, &js_sys::Float32Array::from(segments.data.as_slice()), Gl::STATIC_DRAW);
        Ok(Lines { array, buffer, count: segments.len(), ranges: segments.ranges })
    }

    /// Draws every segment with the program in use.
    pub fn draw(&self, gl: &Gl) {
        self.draw_range(gl, 0..self.count);
    }

    /// Draws the segments of one name; nothing for an unknown one.
    pub fn draw_named(&self, gl: &Gl, id: u32) {
        if let Some(range) = self.ranges.get(&id) {
            self.draw_range(gl, range.clone());
        }
    }

    fn draw_range(&self, gl: &Gl, range: Range<i32>) {
        if range.is_empty() {
            return;
        }
        gl.bind_vertex_array(Some(&self.array));
        gl.bind_buffer(Gl::ARRAY_BUFFER, Some(&self.buffer));
        let stride = (SEGMENT_FLOATS * 4) as i32;
        for (slot, size, start) in [(0, 3, 0), (1, 3, 12), (2, 2, 24)] {
            gl.enable_vertex_attrib_array(slot);
            gl.vertex_attrib_pointer_with_i32(slot, size, Gl::FLOAT, false, stride, range.start * stride + start);
            gl.vertex_attrib_divisor(slot, 1);
        }
        gl.draw_arrays_instanced(Gl::TRIANGLE_STRIP, 0, 4, range.end - range.start);
    }

    /// Gives the memory back.
    pub fn delete(&self, gl: &Gl) {
        gl.delete_vertex_array(Some(&self.array));
        gl.delete_buffer(Some(&self.buffer));
    }
}
