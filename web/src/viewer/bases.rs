//! The bases of faces seen near as a float texture for the shading pass, with the stripe function's value at each.

use super::Gl;
use super::program::{NET_WIDTH, Program};
use super::textures::upload_net;
use crate::near::Near;
use glam::DVec3;
use rakelight_core::highlight::{Eye, LampRig, stripe_place};
use wasm_bindgen::JsValue;
use web_sys::WebGlTexture;

/// Texels of a base.
const EACH: usize = 4;

/// The texture, as long as some face is seen near.
#[derive(Default)]
pub struct Bases {
    texture: Option<WebGlTexture>,
}

impl Bases {
    /// Replaces what the device holds by the bases of some faces (by id), under a rig and as an eye sees them.
    pub fn set<'a>(
        &mut self,
        gl: &Gl,
        nears: impl Iterator<Item = (u32, &'a Near)>,
        rig: Option<&LampRig>,
        eye: Eye,
        origin: DVec3,
    ) -> Result<(), JsValue> {
        self.forget(gl);
        let texels = texels(nears, rig, eye, origin);
        if !texels.is_empty() {
            gl.active_texture(Gl::TEXTURE5);
            self.texture = Some(upload_net(gl, &texels)?);
        }
        Ok(())
    }

    /// Gives the memory back.
    pub fn forget(&mut self, gl: &Gl) {
        gl.delete_texture(self.texture.take().as_ref());
    }

    /// True while some face is seen near.
    pub fn any(&self) -> bool {
        self.texture.is_some()
    }

    /// Offers the texture to a program as `bases` (unit 5).
    pub fn offer(&self, gl: &Gl, program: &Program) {
        gl.active_texture(Gl::TEXTURE5);
        gl.bind_texture(Gl::TEXTURE_2D, self.texture.as_ref());
        program.int(gl, "bases", 5);
    }
}

fn texels<'a>(nears: impl Iterator<Item = (u32, &'a Near)>, rig: Option<&LampRig>, eye: Eye, origin: DVec3) -> Vec<f32> {
    let mut out = Vec::new();
    for (face, near) in nears {
        let at = usize::try_from(face).unwrap_or(0) * EACH * 4;
        let (to_eye, rate) = match eye {
            Eye::At(place) => {
                let way = place - near.base;
                (way.normalize_or_zero(), way.length().recip())
            }
            Eye::Far(way) => (way, 0.0),
        };
        let place = rig.and_then(|rig| stripe_place(rig, near.base, near.normal));
        let whole = place.map_or(0.0, |p| (p + 0.5).floor());
        let (point, normal) = (near.base - origin, near.normal);
        let part = place.map_or(0.0, |p| p - whole);
        // A place of more lamps than single precision counts has no digits left for its parts.
        let lit = place.is_some() && whole.abs() < 1e6;
        let numbers = [
            [point.x, point.y, point.z, part],
            [normal.x, normal.y, normal.z, whole],
            [to_eye.x, to_eye.y, to_eye.z, rate],
            [f64::from(u8::from(lit)), 0.0, 0.0, 0.0],
        ];
        if out.len() < at + EACH * 4 {
            out.resize(at + EACH * 4, 0.0);
        }
        if let Some(slots) = out.get_mut(at..at + EACH * 4) {
            slots.iter_mut().zip(numbers.as_flattened()).for_each(|(slot, x)| *slot = *x as f32);
        }
    }
    out.resize(out.len().div_ceil(NET_WIDTH * 4) * NET_WIDTH * 4, 0.0);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::near::Bend;
    use rakelight_core::highlight::{Family, stripe_value};

    #[test]
    fn a_base_holds_its_place_in_two_parts() {
        let rig = LampRig {
            family: Family::HighlightLine,
            direction: DVec3::Z,
            across: DVec3::X,
            centre: DVec3::ZERO,
            distance: 500.0,
            count: 9,
            spacing: 30.0,
            width: 15.0,
            eye: Eye::Far(DVec3::Z),
        };
        let bend = Bend::Quadric { axis: DVec3::Z, across: 0.0, along: 0.0 };
        let near = Near { base: DVec3::new(70.0, 3.0, 2.0), normal: DVec3::new(0.1, 0.0, 1.0).normalize(), bend };
        let eye = Eye::At(DVec3::new(70.0, 3.0, 42.0));
        let texels = texels([(5, &near)].into_iter(), Some(&rig), eye, DVec3::new(60.0, 0.0, 0.0));
        assert_eq!(texels.len() % (NET_WIDTH * 4), 0);
        let own = &texels[5 * 16..6 * 16];
        assert_eq!(own[..3], [10.0, 3.0, 2.0]);
        assert_eq!(own[8..12], [0.0, 0.0, 1.0, 0.025]);
        let value = stripe_value(&rig, near.base, near.normal).expect("lit") / 30.0 + 4.0;
        assert!((f64::from(own[3]) + f64::from(own[7]) - value).abs() < 1e-6 && own[3].abs() <= 0.5 && own[7].fract() == 0.0);
        assert_eq!(own[12], 1.0);
        assert!(super::texels([].into_iter(), Some(&rig), eye, DVec3::ZERO).is_empty());
    }
}
