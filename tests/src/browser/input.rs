//! Mouse, wheel, keys, touch and dropped files, as a person would send them.

use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use super::Page;

impl Page {
    /// Presses and releases the left button.
    pub fn click(&self, x: f64, y: f64) {
        self.drag((x, y), (x, y), "left");
    }

    /// Clicks into the middle of the first element that a selector matches.
    ///
    /// # Panics
    /// There is none.
    pub fn click_on(&self, selector: &str) {
        self.ask(&format!("document.querySelector({selector:?})?.scrollIntoView({{block: 'nearest'}})"));
        let (x, y) = self.place(selector).middle();
        self.click(x, y);
    }

    /// Moves the pointer with no button down.
    pub fn hover(&self, x: f64, y: f64) {
        self.call("Input.dispatchMouseEvent", json!({"type": "mouseMoved", "x": x, "y": y}));
    }

    /// Presses a button ("left", "middle", "right"), moves in eight steps, and releases.
    pub fn drag(&self, from: (f64, f64), to: (f64, f64), button: &str) {
        self.hover(from.0, from.1);
        let held = match button {
            "left" => 1,
            "right" => 2,
            _ => 4,
        };
        let send = |kind: &str, (x, y): (f64, f64)| {
            let moving = kind == "mouseMoved";
            self.call(
                "Input.dispatchMouseEvent",
                json!({
                    "type": kind, "x": x, "y": y, "button": button,
                    "buttons": if kind == "mouseReleased" { 0 } else { held },
                    "clickCount": i32::from(!moving),
                }),
            );
        };
        send("mousePressed", from);
        if from != to {
            for step in 1..=8 {
                let t = f64::from(step) / 8.0;
                send("mouseMoved", (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1)));
            }
        }
        send("mouseReleased", to);
    }

    /// Turns the wheel by `delta` CSS pixels; positive scrolls down.
    pub fn wheel(&self, x: f64, y: f64, delta: f64) {
        self.call("Input.dispatchMouseEvent", json!({"type": "mouseWheel", "x": x, "y": y, "deltaX": 0, "deltaY": delta}));
    }

    /// Presses and releases a key, named as in KeyboardEvent.key ("a", "Enter", "ArrowLeft").
    pub fn key(&self, key: &str) {
        self.key_with(key, 0);
    }

    /// The same with modifiers held: 1 Alt, 2 Ctrl, 4 Meta, 8 Shift, added up.
    pub fn key_with(&self, key: &str, modifiers: u8) {
        let (code, number) = code_of(key);
        // Only a key that writes has a text; a control key with one would write it.
        let text = match key {
            "Enter" => "\r",
            _ if key.chars().count() == 1 && modifiers & 7 == 0 => key,
            _ => "",
        };
        let kind = if text.is_empty() { "rawKeyDown" } else { "keyDown" };
        let mut down = json!({
            "type": kind, "key": key, "code": code, "modifiers": modifiers,
            "windowsVirtualKeyCode": number,
        });
        if !text.is_empty() {
            down["text"] = text.into();
        }
        self.call("Input.dispatchKeyEvent", down);
        self.call(
            "Input.dispatchKeyEvent",
            json!({
                "type": "keyUp", "key": key, "code": code, "modifiers": modifiers,
                "windowsVirtualKeyCode": number,
            }),
        );
    }

    /// Touches with as many fingers as there are paths (at least one), each from its first point
    /// to its last in eight steps.
    pub fn touch(&self, fingers: &[[(f64, f64); 2]]) {
        let send = |kind: &str, t: f64| {
            let points: Vec<_> = fingers
                .iter()
                .enumerate()
                .filter(|_| kind != "touchEnd")
                .map(|(id, [from, to])| {
                    json!({
                        "id": id,
                        "x": from.0 + t * (to.0 - from.0),
                        "y": from.1 + t * (to.1 - from.1),
                    })
                })
                .collect();
            self.call("Input.dispatchTouchEvent", json!({"type": kind, "touchPoints": points}));
        };
        send("touchStart", 0.0);
        if fingers.iter().any(|[from, to]| from != to) {
            for step in 1..=8 {
                send("touchMove", f64::from(step) / 8.0);
            }
        }
        send("touchEnd", 1.0);
    }

    /// Gives a file to the chooser that `open` makes the page open, as a person would in the browser's own window.
    ///
    /// # Panics
    /// No chooser is opened.
    pub fn choose_in(&self, open: impl FnOnce(), file: &Path) {
        self.call("Page.setInterceptFileChooserDialog", json!({"enabled": true}));
        let choosers = || {
            let events = self.browser.events(&self.session).into_iter();
            events.filter(|event| event.method == "Page.fileChooserOpened").map(|event| event.params["backendNodeId"].clone())
        };
        let before = choosers().count();
        open();
        let started = Instant::now();
        let node = loop {
            if let Some(node) = choosers().nth(before) {
                break node;
            }
            assert!(started.elapsed() < Duration::from_secs(10), "no file chooser");
            thread::sleep(Duration::from_millis(20));
        };
        self.call("DOM.setFileInputFiles", json!({"files": [file.display().to_string()], "backendNodeId": node}));
        self.call("Page.setInterceptFileChooserDialog", json!({"enabled": false}));
    }

    /// Drops a file onto a point of the page.
    pub fn drop_file(&self, x: f64, y: f64, file: &Path) {
        for kind in ["dragEnter", "dragOver", "drop"] {
            self.call(
                "Input.dispatchDragEvent",
                json!({
                    "type": kind, "x": x, "y": y,
                    "data": {
                        "items": [],
                        "files": [file.display().to_string()],
                        "dragOperationsMask": 1,
                    },
                }),
            );
        }
    }
}

/// Place on the keyboard and Windows key code, which pages may read instead of the name.
fn code_of(key: &str) -> (String, u32) {
    let named = match key {
        "Enter" => Some(13),
        "Escape" => Some(27),
        "Tab" => Some(9),
        " " => Some(32),
        "PageUp" => Some(33),
        "PageDown" => Some(34),
        "End" => Some(35),
        "Home" => Some(36),
        "ArrowLeft" => Some(37),
        "ArrowUp" => Some(38),
        "ArrowRight" => Some(39),
        "ArrowDown" => Some(40),
        "Delete" => Some(46),
        _ => None,
    };
    let letter = key.chars().next().unwrap_or_default().to_ascii_uppercase();
    match named {
        Some(32) => ("Space".into(), 32),
        Some(number) => (key.into(), number),
        None if letter.is_ascii_alphabetic() => (format!("Key{letter}"), letter.into()),
        None if letter.is_ascii_digit() => (format!("Digit{letter}"), letter.into()),
        None => (String::new(), letter.into()),
    }
}
