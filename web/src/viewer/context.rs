//! The WebGL2 context of a canvas.

use super::Gl;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{HtmlCanvasElement, WebGlContextAttributes};

/// Opens WebGL2 on the canvas; the error is a sentence for the user.
pub fn open(canvas: &HtmlCanvasElement) -> Result<Gl, JsValue> {
    let wanted = WebGlContextAttributes::new();
    // A picture of the page's may lie behind the model; every pixel is opaque otherwise.
    wanted.set_alpha(true);
    wanted.set_premultiplied_alpha(true);
    wanted.set_antialias(false);
    wanted.set_depth(false);
    wanted.set_stencil(false);
    // The page looks at the picture long after it was drawn: it is drawn only when something changes.
    wanted.set_preserve_drawing_buffer(true);
    let found = canvas.get_context_with_context_options("webgl2", &wanted).ok().flatten();
    found.and_then(|c| c.dyn_into::<Gl>().ok()).ok_or_else(|| {
        JsValue::from_str("This browser or device gives no WebGL2, so the model cannot be drawn. Findings and traces still work.")
    })
}
