//! What this device's graphics can do, asked once.

use super::Gl;
use serde::Serialize;
use wasm_bindgen::JsValue;

/// What was found.
#[derive(Clone, Debug, Serialize)]
pub struct Ability {
    /// Float colour targets exist. The viewer keeps its float results as raw bits in integer
    /// targets, which every WebGL2 device has, so nothing is lost without them.
    pub float_targets: bool,
    /// Largest texture side, texels.
    pub max_texture: u32,
    /// Targets a pass may write at once.
    pub max_targets: u32,
}

impl Ability {
    /// Asks the context.
    pub fn probe(gl: &Gl) -> Ability {
        let number = |name: u32, least: u32| gl.get_parameter(name).ok().and_then(|v| v.as_f64()).map_or(least, |v| v as u32);
        Ability {
            float_targets: gl.get_extension("EXT_color_buffer_float").is_ok_and(|e| e.is_some()),
            // Least values the WebGL2 standard promises.
            max_texture: number(Gl::MAX_TEXTURE_SIZE, 2048),
            max_targets: number(Gl::MAX_DRAW_BUFFERS, 4),
        }
    }

    /// An error text when the device falls below what the viewer needs.
    pub fn check(&self) -> Result<(), JsValue> {
        if self.max_targets < 2 { Err(JsValue::from_str("This device's WebGL2 cannot draw to two targets at once.")) } else { Ok(()) }
    }
}
