//! The model's mirror image, laid thinly over the picture.

use super::Gl;
use super::paint::Tools;
use super::surfaces::Surfaces;
use super::view::View;
use crate::mirror_view::ShownMirror;
use crate::scene::Scene;
use glam::DVec4;

/// How much of the picture it hides. More passes for the model itself; less is overlooked.
const SHARE: f32 = 0.3;

/// Its colour, sRGB 0 to 1: bluish, so that nobody takes it for the clay of the model.
const TONE: [f32; 3] = [0.45, 0.56, 0.68];

/// Draws it into the frame's picture, behind what the model hides of it.
pub fn image(gl: &Gl, tools: &Tools<'_>, surfaces: &Surfaces, mirror: &ShownMirror, view: &View, scene: &Scene) {
    let program = &tools.programs.image;
    tools.frame.bind_picture(gl);
    program.start(gl);
    gl.enable(Gl::DEPTH_TEST);
    gl.depth_func(Gl::LEQUAL);
    gl.depth_mask(false);
    // Where the image and the model coincide the model is seen.
    gl.enable(Gl::POLYGON_OFFSET_FILL);
    gl.polygon_offset(2.0, 16.0);
    gl.enable(Gl::BLEND);
    gl.blend_func_separate(Gl::SRC_ALPHA, Gl::ONE_MINUS_SRC_ALPHA, Gl::ONE, Gl::ONE);
    program.vec3(gl, "tone", TONE);
    program.float(gl, "share", SHARE);
    for (face, on_device) in surfaces.with(scene) {
        let origin = face.origin();
        let to_image = mirror.image_from(origin);
        let clip = view.camera.clip_from(origin, &view.bounds) * to_image;
        program.mat4(gl, "clip", &clip.as_mat4().to_cols_array());
        // The mirrored normal against the view is the normal against the view mirrored.
        let back = to_image * DVec4::from((view.camera.axes().2, 0.0));
        program.vec3(gl, "view_back", back.truncate().as_vec3().to_array());
        on_device.draw(gl);
    }
    gl.disable(Gl::POLYGON_OFFSET_FILL);
    gl.depth_mask(true);
    gl.disable(Gl::BLEND);
    gl.disable(Gl::DEPTH_TEST);
}
