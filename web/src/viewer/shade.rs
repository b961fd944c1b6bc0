//! What the shading pass is told: eye, colours and lamps.

use super::Gl;
use super::picture::{Care, Picture};
use super::program::Program;
use super::shade_programs::{Content, ShadeKind};
use super::view::View;
use crate::form_colour::{FormSettings, FormView, view_map};
use glam::DVec3;
use rakelight_core::geometry::Form;
use rakelight_core::highlight::{Eye, Family, LampRig};

/// The kind of program that paints a picture. `bends`: the frame has curvatures; `near`: some faces are relative to a base.
pub fn kind(care: Care, bends: bool, near: bool, picture: &Picture<'_>) -> ShadeKind {
    let content = match (picture.form.view(), picture.rig.map(|r| r.family)) {
        (Some(FormView::By(_) | FormView::Map | FormView::Amount), _) if bends => Content::Form,
        (Some(FormView::Face), _) => Content::Classes,
        (_, Some(Family::Isophote)) => Content::Stripes(1),
        (_, Some(Family::HighlightLine)) => Content::Stripes(2),
        (_, Some(Family::ReflectionLine)) => Content::Stripes(3),
        (_, None) => Content::Paint,
    };
    ShadeKind { content, near, fine: care == Care::Fine }
}

/// Sets all of it but the textures. `bends`: the frame has curvatures.
pub fn describe(gl: &Gl, program: &Program, bends: bool, view: &View, picture: &Picture<'_>) {
    let Picture { scene, theme, marks, .. } = *picture;
    program.vec3(gl, "view_back", view.camera.axes().2.as_vec3().to_array());
    program.vec3(gl, "eye", (view.camera.eye() - scene.origin()).as_vec3().to_array());
    program.float(gl, "perspective", view.perspective());
    program.vec3(gl, "paper", theme.paper);
    program.float(gl, "ground", if theme.clear { 0.0 } else { 1.0 });
    program.vec3(gl, "paint", theme.paint());
    program.vec3(gl, "stripe_ink", theme.stripe());
    program.vec3(gl, "accent", theme.accent());
    program.float(gl, "relief", theme.relief);
    program.uint(gl, "chosen", marks.face.map_or(0, |f| f + 1));
    program.float(gl, "ratio", marks.ratio);
    set_lamps(gl, program, picture.rig, view.camera.sight(), scene.origin());
    set_form(gl, program, picture.form, bends);
}

fn set_form(gl: &Gl, program: &Program, form: &FormSettings, bends: bool) {
    let code = match form.view() {
        Some(FormView::By(by)) if bends => match by {
            Form::Gaussian => 1,
            Form::Mean => 2,
            Form::Max => 3,
            Form::Min => 4,
            Form::Radius => 5,
        },
        Some(FormView::Map | FormView::Amount) if bends => 6,
        _ => 0,
    };
    if code != 0 {
        program.vec3s(gl, "form_map", view_map(form.view()).as_flattened());
    }
    let (low, high) = form.range();
    program.int(gl, "form_view", code);
    program.vec2(gl, "form_range", [low as f32, high as f32]);
    program.float(gl, "form_step", form.step.max(0.0) as f32);
    program.float(gl, "form_limit", form.limit() as f32);
    program.float(gl, "form_swapped", if form.swapped { -1.0 } else { 1.0 });
}

fn set_lamps(gl: &Gl, program: &Program, rig: Option<&LampRig>, eye: Eye, origin: DVec3) {
    let Some(rig) = rig else {
        return;
    };
    let (count, middle) = match rig.family {
        // More lamps than angles: the whole range is filled.
        Family::Isophote => (1e6, 0.0),
        Family::HighlightLine | Family::ReflectionLine => (rig.count as f32, 0.5 * (rig.count.saturating_sub(1)) as f32),
    };
    let (eye, near) = match eye {
        Eye::At(place) => (place - origin, 1),
        Eye::Far(way) => (way, 0),
    };
    program.vec3(gl, "lamp_eye", eye.as_vec3().to_array());
    program.int(gl, "lamp_eye_near", near);
    program.vec3(gl, "lamp_direction", rig.direction.as_vec3().to_array());
    program.vec3(gl, "lamp_across", rig.across.as_vec3().to_array());
    program.vec3(gl, "lamp_centre", (rig.centre - origin).as_vec3().to_array());
    program.float(gl, "lamp_distance", rig.distance as f32);
    program.float(gl, "lamp_spacing", rig.spacing as f32);
    program.float(gl, "lamp_share", (rig.width / rig.spacing) as f32);
    program.float(gl, "lamp_count", count);
    program.float(gl, "lamp_middle", middle);
}
