//! Several viewers on one canvas, for pages that show many models: a browser keeps few contexts alive. One context, its programs
//! linked once; the page takes each picture off the canvas before another viewer gives it its own.

use super::Viewer;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Viewer {
    /// Another viewer, empty, on this one's canvas and context. The canvas grows to the largest picture.
    pub fn another(&self) -> Viewer {
        Viewer::on(self.canvas.clone(), self.renderer.beside())
    }

    /// [left, top, width, height] of this viewer's picture on the canvas, if it was given one since that was asked last.
    pub fn given(&mut self) -> Option<Vec<f64>> {
        let (width, height) = self.renderer.was_given()?;
        let [width, height] = [width, height].map(f64::from);
        Some(vec![0.0, f64::from(self.canvas.height()) - height, width, height])
    }

    /// Gives the targets between its passes back, 44 bytes a pixel; the next picture is drawn anew.
    pub fn rest(&mut self) {
        self.renderer.rest();
    }

    /// Gives back everything on the device, until [`Viewer::wake`].
    pub fn sleep(&mut self) {
        self.renderer.end();
    }

    /// Puts everything on the device again, after a sleep or after the device has lost it, beside a viewer that has been revived.
    ///
    /// # Errors
    /// When the device has no room.
    pub fn wake(&mut self, beside: &Viewer) -> Result<(), JsValue> {
        self.renderer = beside.renderer.beside();
        self.upload()
    }
}
