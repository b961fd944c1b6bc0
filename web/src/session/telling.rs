//! Progress told to a function of the page.

use rakelight_core::progress::{Progress, Stage};
use wasm_bindgen::JsValue;

/// Reports of one stage that are passed on at most. More only cost messages between threads.
const STEPS: usize = 100;

/// Calls a function with (stage, done, total), a hundred times a stage at most.
pub struct Telling {
    tell: js_sys::Function,
    last: Option<(Stage, usize)>,
}

impl Telling {
    /// Tells `tell`.
    pub fn new(tell: js_sys::Function) -> Self {
        Telling { tell, last: None }
    }
}

impl Progress for Telling {
    fn report(&mut self, stage: Stage, done: usize, total: usize) {
        let step = done.saturating_mul(STEPS) / total.max(1);
        if self.last == Some((stage, step)) {
            return;
        }
        self.last = Some((stage, step));
        let (done, total) = (JsValue::from_f64(done as f64), JsValue::from_f64(total as f64));
        // Work goes on whatever becomes of a report.
        let _ = self.tell.call3(&JsValue::NULL, &JsValue::from_str(stage.name()), &done, &total);
    }
}
