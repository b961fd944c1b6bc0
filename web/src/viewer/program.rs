//! Shader programs and their uniforms.

use super::Gl;
use super::shade_programs::ShadePrograms;
use crate::colour::MAP_SIZE;
use crate::form_colour::Leaves;
use std::collections::BTreeMap;
use wasm_bindgen::JsValue;
use web_sys::{WebGlProgram, WebGlShader, WebGlUniformLocation};

/// Highest degree of the usual exact pass. Larger needs more registers on every device, used or not.
pub const USUAL_DEGREE: usize = 9;
/// Highest degree of the exact pass made for faces above the usual one: the core's own highest. It is
/// linked when the first such face comes.
pub const MAX_DEGREE: usize = 31;
/// Texels in a row of a control-point texture; a power of two, as the shader divides by shifting.
pub const NET_WIDTH: usize = 512;

/// A linked program.
pub struct Program {
    program: WebGlProgram,
    places: BTreeMap<String, WebGlUniformLocation>,
}

impl Program {
    /// Compiles and links; the error holds the compiler's log.
    pub fn link(gl: &Gl, vertex: &str, fragment: &[&str]) -> Result<Program, JsValue> {
        Program::link_with(gl, "", vertex, fragment)
    }

    /// The same with lines that come before the shaders' own.
    pub fn link_with(gl: &Gl, defines: &str, vertex: &str, fragment: &[&str]) -> Result<Program, JsValue> {
        Program::link_for(gl, USUAL_DEGREE, defines, vertex, fragment)
    }

    fn link_for(gl: &Gl, degree: usize, defines: &str, vertex: &str, fragment: &[&str]) -> Result<Program, JsValue> {
        let program = gl.create_program().ok_or("no program object")?;
        for (kind, text) in [(Gl::VERTEX_SHADER, vertex.to_owned()), (Gl::FRAGMENT_SHADER, fragment.concat())] {
            gl.attach_shader(&program, &compile(gl, degree, defines, kind, &text)?);
        }
        gl.link_program(&program);
        if gl.get_program_parameter(&program, Gl::LINK_STATUS).as_bool() != Some(true) {
            let log = gl.get_program_info_log(&program).unwrap_or_default();
            return Err(JsValue::from_str(&format!("shader link: {log}")));
        }
        let mut places = BTreeMap::new();
        let count = gl.get_program_parameter(&program, Gl::ACTIVE_UNIFORMS).as_f64().unwrap_or(0.0) as u32;
        for i in 0..count {
            if let Some(info) = gl.get_active_uniform(&program, i) {
                let name = info.name();
                if let Some(place) = gl.get_uniform_location(&program, &name) {
                    places.insert(name.trim_end_matches("[0]").to_owned(), place);
                }
            }
        }
        Ok(Program { program, places })
    }

    /// Makes this the program that draws.
    pub fn start(&self, gl: &Gl) {
        gl.use_program(Some(&self.program));
    }

    /// Sets an integer (or a sampler's unit).
    pub fn int(&self, gl: &Gl, name: &str, value: i32) {
        gl.uniform1i(self.places.get(name), value);
    }

    /// Sets an unsigned integer.
    pub fn uint(&self, gl: &Gl, name: &str, value: u32) {
        gl.uniform1ui(self.places.get(name), value);
    }

    /// Sets four integers.
    pub fn ints(&self, gl: &Gl, name: &str, v: [i32; 4]) {
        gl.uniform4i(self.places.get(name), v[0], v[1], v[2], v[3]);
    }

    /// Sets a number.
    pub fn float(&self, gl: &Gl, name: &str, value: f32) {
        gl.uniform1f(self.places.get(name), value);
    }

    /// Sets a pair.
    pub fn vec2(&self, gl: &Gl, name: &str, v: [f32; 2]) {
        gl.uniform2f(self.places.get(name), v[0], v[1]);
    }

    /// Sets a triple.
    pub fn vec3(&self, gl: &Gl, name: &str, v: [f32; 3]) {
        gl.uniform3f(self.places.get(name), v[0], v[1], v[2]);
    }

    /// Sets a quadruple.
    pub fn vec4(&self, gl: &Gl, name: &str, v: [f32; 4]) {
        gl.uniform4f(self.places.get(name), v[0], v[1], v[2], v[3]);
    }

    /// Sets an array of triples.
    pub fn vec3s(&self, gl: &Gl, name: &str, v: &[f32]) {
        gl.uniform3fv_with_f32_array(self.places.get(name), v);
    }

    /// Sets a 3×3 matrix, columns first.
    pub fn mat3(&self, gl: &Gl, name: &str, v: &[f32; 9]) {
        gl.uniform_matrix3fv_with_f32_array(self.places.get(name), false, v);
    }

    /// Sets a 4×4 matrix, columns first.
    pub fn mat4(&self, gl: &Gl, name: &str, v: &[f32; 16]) {
        gl.uniform_matrix4fv_with_f32_array(self.places.get(name), false, v);
    }
}

/// The programs of the surface passes.
pub struct SurfacePrograms {
    /// Surfaces by vertex normals.
    pub moving: Program,
    /// Surfaces evaluated at each pixel.
    exact: Program,
    /// The same for degrees above the usual.
    exact_high: Option<Program>,
    leaves: Leaves,
}

/// The programs of the viewer.
pub struct Programs {
    /// Surfaces that leave points and normals.
    plain: SurfacePrograms,
    /// Surfaces that leave curvatures or sampled values too, once they have been asked for.
    leaving: [Option<SurfacePrograms>; 2],
    /// Surfaces evaluated at each pixel, relative to a base; usual and high degrees.
    near: [Option<Program>; 2],
    /// Paint and stripes.
    pub shade: ShadePrograms,
    /// Outlines smoothed, onto the canvas.
    pub finish: Program,
    /// Strokes.
    pub line: Program,
    /// The model's mirror image.
    pub image: Program,
}

impl Programs {
    /// Compiles all.
    pub fn link(gl: &Gl) -> Result<Programs, JsValue> {
        Ok(Programs {
            plain: SurfacePrograms::link(gl, Leaves::Points)?,
            leaving: [None, None],
            near: [None, None],
            shade: ShadePrograms::default(),
            finish: Program::link(gl, include_str!("../shaders/screen.vert"), &[include_str!("../shaders/finish.frag")])?,
            line: Program::link(gl, include_str!("../shaders/line.vert"), &[include_str!("../shaders/line.frag")])?,
            image: Program::link(gl, include_str!("../shaders/surface.vert"), &[include_str!("../shaders/image.frag")])?,
        })
    }

    /// Links the exact pass for high degrees, once.
    pub fn need_high(&mut self, gl: &Gl) -> Result<(), JsValue> {
        self.plain.need_high(gl)?;
        self.leaving.iter_mut().flatten().try_for_each(|b| b.need_high(gl))
    }

    /// Links the passes that leave what is asked for, once.
    pub fn need(&mut self, gl: &Gl, leaves: Leaves) -> Result<(), JsValue> {
        let high = self.plain.exact_high.is_some();
        if let Some(slot @ None) = slot(leaves).and_then(|i| self.leaving.get_mut(i)) {
            let mut programs = SurfacePrograms::link(gl, leaves)?;
            if high {
                programs.need_high(gl)?;
            }
            *slot = Some(programs);
        }
        Ok(())
    }

    /// Links the pass relative to a base for high or usual degrees, once. Its splines may be a degree higher.
    pub fn need_near(&mut self, gl: &Gl, high: bool) -> Result<(), JsValue> {
        let degree = if high { MAX_DEGREE } else { USUAL_DEGREE + 1 };
        if let Some(slot) = self.near.get_mut(usize::from(high)).filter(|p| p.is_none()) {
            *slot =
                Some(surface(gl, degree, Leaves::Points, &[include_str!("../shaders/spline.glsl"), include_str!("../shaders/near.frag")])?);
        }
        Ok(())
    }

    /// That pass, once it is linked.
    pub fn near_for(&self, high: bool) -> Option<&Program> {
        self.near.get(usize::from(high))?.as_ref()
    }

    /// The passes that leave what is asked for.
    pub fn surfaces(&self, leaves: Leaves) -> &SurfacePrograms {
        slot(leaves).and_then(|i| self.leaving.get(i)?.as_ref()).unwrap_or(&self.plain)
    }
}

/// Where the passes that leave more than points stand.
fn slot(leaves: Leaves) -> Option<usize> {
    match leaves {
        Leaves::Points => None,
        Leaves::Bends => Some(0),
        Leaves::Map => Some(1),
    }
}

impl SurfacePrograms {
    fn link(gl: &Gl, leaves: Leaves) -> Result<SurfacePrograms, JsValue> {
        let moving = surface(gl, USUAL_DEGREE, leaves, &[include_str!("../shaders/moving.frag")])?;
        Ok(SurfacePrograms { moving, exact: exact(gl, USUAL_DEGREE, leaves)?, exact_high: None, leaves })
    }

    fn need_high(&mut self, gl: &Gl) -> Result<(), JsValue> {
        if self.exact_high.is_none() {
            self.exact_high = Some(exact(gl, MAX_DEGREE, self.leaves)?);
        }
        Ok(())
    }

    /// The exact pass for high or usual degrees.
    pub fn exact_for(&self, high: bool) -> &Program {
        if high { self.exact_high.as_ref().unwrap_or(&self.exact) } else { &self.exact }
    }
}

/// The exact pass for degrees up to one.
fn exact(gl: &Gl, degree: usize, leaves: Leaves) -> Result<Program, JsValue> {
    let mut parts = vec![include_str!("../shaders/spline.glsl"), include_str!("../shaders/exact.frag")];
    if leaves == Leaves::Bends {
        parts.push(include_str!("../shaders/bends.glsl"));
    }
    surface(gl, degree, leaves, &parts)
}

/// A surface pass.
fn surface(gl: &Gl, degree: usize, leaves: Leaves, fragment: &[&str]) -> Result<Program, JsValue> {
    let mut parts = vec![include_str!("../shaders/geometry_out.glsl")];
    let defines = match leaves {
        Leaves::Points => "",
        Leaves::Bends => {
            parts.push(include_str!("../shaders/bends_out.glsl"));
            "#define BENDS\n"
        }
        Leaves::Map => {
            parts.push(include_str!("../shaders/map_out.glsl"));
            "#define MAPPED\n"
        }
    };
    parts.extend(fragment);
    Program::link_for(gl, degree, defines, include_str!("../shaders/surface.vert"), &parts)
}

fn compile(gl: &Gl, degree: usize, defines: &str, kind: u32, text: &str) -> Result<WebGlShader, JsValue> {
    let head = format!(
        "#version 300 es\nprecision highp float;\nprecision highp int;\nprecision highp sampler2D;\nprecision highp usampler2D;\n#define MAX_DEGREE {degree}\n#define NET_WIDTH {NET_WIDTH}\n#define MAP_SIZE {MAP_SIZE}\n{defines}"
    );
    let shader = gl.create_shader(kind).ok_or("no shader object")?;
    gl.shader_source(&shader, &(head + text));
    gl.compile_shader(&shader);
    if gl.get_shader_parameter(&shader, Gl::COMPILE_STATUS).as_bool() == Some(true) {
        return Ok(shader);
    }
    let log = gl.get_shader_info_log(&shader).unwrap_or_default();
    Err(JsValue::from_str(&format!("shader: {log}")))
}
