//! One page: go to an address, ask it, look at it.

use std::path::Path;
use std::sync::MutexGuard;
use std::thread;
use std::time::{Duration, Instant};

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};

use super::connection::Connection;
use crate::picture::Picture;

/// A page in a profile of its own; closed when dropped.
#[derive(Debug)]
pub struct Page {
    pub(super) browser: &'static Connection,
    pub(super) session: String,
    context: String,
    /// None of a second page, which lives as long as the first.
    turn: Option<MutexGuard<'static, ()>>,
}

/// A place on the page, in CSS pixels from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Rect {
    /// The point in the middle.
    pub fn middle(self) -> (f64, f64) {
        (self.x + self.width / 2.0, self.y + self.height / 2.0)
    }
}

impl Page {
    pub(super) fn new(browser: &'static Connection, turn: MutexGuard<'static, ()>) -> Self {
        let made = browser.call(None, "Target.createBrowserContext", json!({}));
        let context = made["browserContextId"].as_str().expect("an id").to_owned();
        Self { browser, session: attach(browser, &context), context, turn: Some(turn) }.begin()
    }

    /// Another page in the same profile, as a second tab is; to be dropped before this one.
    pub fn second(&self) -> Self {
        let context = self.context.clone();
        Self { browser: self.browser, session: attach(self.browser, &context), context, turn: None }.begin()
    }

    /// Ends the page's process as a fault or a lack of memory does, without a word to the page, and opens an empty one in its place.
    pub fn crash(&mut self) {
        self.browser.post(&self.session, "Page.crash", json!({}));
        let started = Instant::now();
        while !self.browser.events(&self.session).iter().any(|event| event.method == "Inspector.targetCrashed") {
            assert!(started.elapsed() < Duration::from_secs(30), "the page lives");
            thread::sleep(Duration::from_millis(20));
        }
        self.browser.leave(&self.session);
        self.session = attach(self.browser, &self.context);
        self.prepare();
    }

    fn begin(self) -> Self {
        self.prepare();
        self
    }

    fn prepare(&self) {
        self.browser.listen(&self.session);
        for domain in ["Page", "Runtime", "Network", "Log", "DOM", "Inspector"] {
            self.call(&format!("{domain}.enable"), json!({}));
        }
        self.call("Target.setAutoAttach", json!({"autoAttach": true, "waitForDebuggerOnStart": true, "flatten": true}));
        self.resize(1024, 768);
    }

    /// Shows this page in place of another one of the same profile.
    pub fn to_front(&self) {
        self.call("Page.bringToFront", json!({}));
    }

    /// Runs a script in each document to come, before any of its own.
    pub fn before(&self, script: &str) {
        self.call("Page.addScriptToEvaluateOnNewDocument", json!({"source": script}));
    }

    pub(super) fn call(&self, method: &str, params: Value) -> Value {
        self.browser.call(Some(&self.session), method, params)
    }

    /// Sets the size of the page in CSS pixels, one device pixel each.
    pub fn resize(&self, width: u32, height: u32) {
        self.resize_zoomed(width, height, 1);
    }

    /// The same with `scale` device pixels each, as the browser's own zoom makes them.
    pub fn resize_zoomed(&self, width: u32, height: u32, scale: u32) {
        self.call(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": scale, "mobile": false}),
        );
    }

    /// Asks for less motion, as a setting of the system does.
    pub fn calm(&self) {
        let features = json!([{"name": "prefers-reduced-motion", "value": "reduce"}]);
        self.call("Emulation.setEmulatedMedia", json!({"features": features}));
    }

    /// Goes to an address and waits for its document; events of the page before are forgotten.
    ///
    /// # Panics
    /// The address cannot be loaded.
    pub fn go(&self, address: &str) {
        self.browser.listen(&self.session);
        let answer = self.call("Page.navigate", json!({"url": address}));
        assert!(answer["errorText"].is_null(), "{address}: {}", answer["errorText"]);
        self.wait(
            &format!("document.readyState === 'complete' && location.href !== 'about:blank' && {:?} !== ''", address),
            Duration::from_secs(30),
        );
    }

    /// The value of an expression; a promise is waited for.
    ///
    /// # Panics
    /// The expression throws.
    pub fn ask(&self, expression: &str) -> Value {
        let mut answer = self.call("Runtime.evaluate", json!({"expression": expression, "awaitPromise": true, "returnByValue": true}));
        assert!(answer["exceptionDetails"].is_null(), "{expression}: {}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }

    /// Waits until an expression is true.
    ///
    /// # Panics
    /// It is not within `patience`; the message carries what went wrong on the page.
    pub fn wait(&self, expression: &str, patience: Duration) {
        let started = Instant::now();
        while self.ask(&format!("Boolean({expression})")) != Value::Bool(true) {
            assert!(
                started.elapsed() < patience,
                "after {patience:?} still not: {expression}\nproblems: {:#?}\npage: {}",
                self.problems(),
                self.ask("document.body.innerText.slice(0, 2000)")
            );
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// Where the first element that a selector matches is.
    ///
    /// # Panics
    /// There is none.
    pub fn place(&self, selector: &str) -> Rect {
        let value = self.ask(&format!(
            "(() => {{ const r = document.querySelector({selector:?})?.getBoundingClientRect(); return r ? [r.x, r.y, r.width, r.height] : null; }})()"
        ));
        let side = |index: usize| value[index].as_f64().unwrap_or_else(|| panic!("no element {selector}"));
        Rect { x: side(0), y: side(1), width: side(2), height: side(3) }
    }

    /// The text of the first element that a selector matches; empty where there is none.
    pub fn text(&self, selector: &str) -> String {
        self.ask(&format!("document.querySelector({selector:?})?.innerText ?? ''")).as_str().unwrap_or_default().to_owned()
    }

    /// Gives a file to a file chooser of the page.
    ///
    /// # Panics
    /// There is no such chooser.
    pub fn choose(&self, selector: &str, file: &Path) {
        let document = self.call("DOM.getDocument", json!({}));
        let node = self.call("DOM.querySelector", json!({"nodeId": document["root"]["nodeId"], "selector": selector}));
        self.call("DOM.setFileInputFiles", json!({"files": [file.display().to_string()], "nodeId": node["nodeId"]}));
    }

    /// A picture of a part of the page, rounded to whole pixels.
    pub fn picture(&self, part: Rect) -> Picture {
        let answer = self.call(
            "Page.captureScreenshot",
            json!({
                "format": "png",
                "clip": {
                    "x": part.x.round(), "y": part.y.round(),
                    "width": part.width.round(), "height": part.height.round(), "scale": 1,
                },
            }),
        );
        let png = BASE64_STANDARD.decode(answer["data"].as_str().expect("a screenshot")).expect("base64");
        Picture::from_png(&png)
    }

    /// A picture of the whole page as seen.
    pub fn whole_picture(&self) -> Picture {
        let size = self.ask("[innerWidth, innerHeight]");
        self.picture(Rect { x: 0.0, y: 0.0, width: size[0].as_f64().expect("a width"), height: size[1].as_f64().expect("a height") })
    }

    /// The page as a PDF, on paper of a size in inches, as its own print rules say.
    pub fn print(&self, width: f64, height: f64) -> Vec<u8> {
        let asked = json!({"paperWidth": width, "paperHeight": height, "printBackground": false, "preferCSSPageSize": false});
        let answer = self.call("Page.printToPDF", asked);
        BASE64_STANDARD.decode(answer["data"].as_str().expect("a document")).expect("base64")
    }

    /// Addresses that the page and its workers have asked for, in order.
    pub fn requests(&self) -> Vec<String> {
        self.browser
            .events(&self.session)
            .iter()
            .filter(|event| event.method == "Network.requestWillBeSent")
            .filter_map(|event| event.params["request"]["url"].as_str().map(str::to_owned))
            .collect()
    }

    /// Uncaught errors, console errors, and what the browser itself complains about, such as a
    /// breach of the page's policy or a file that is missing.
    pub fn problems(&self) -> Vec<String> {
        self.browser
            .events(&self.session)
            .iter()
            .filter_map(|event| {
                let params = &event.params;
                match event.method.as_str() {
                    "Runtime.exceptionThrown" => Some(params["exceptionDetails"].to_string()),
                    "Runtime.consoleAPICalled" if params["type"] == "error" => Some(params["args"].to_string()),
                    "Log.entryAdded" if params["entry"]["level"] == "error" => Some(params["entry"].to_string()),
                    _ => None,
                }
            })
            .collect()
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        self.browser.leave(&self.session);
        if !thread::panicking() && self.turn.is_some() {
            self.browser.call(None, "Target.disposeBrowserContext", json!({"browserContextId": self.context}));
        }
    }
}

/// A new tab of a profile, driven from here: its session.
fn attach(browser: &Connection, context: &str) -> String {
    let made = browser.call(None, "Target.createTarget", json!({"url": "about:blank", "browserContextId": context}));
    let attached = browser.call(None, "Target.attachToTarget", json!({"targetId": made["targetId"], "flatten": true}));
    attached["sessionId"].as_str().expect("an id").to_owned()
}
