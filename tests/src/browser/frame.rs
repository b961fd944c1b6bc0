//! A frame within the page, and what holds the page or stops it: its policy, dialogs.

use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::Page;

impl Page {
    /// Lets the page's own policy hold no longer, for documents to come: what it would have stopped is then seen.
    pub fn without_policy(&self) {
        self.call("Page.setBypassCSP", json!({"enabled": true}));
    }

    /// Cuts the page off the network, for this and all documents to come.
    pub fn offline(&self) {
        let none = json!({"offline": true, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1});
        self.call("Network.emulateNetworkConditions", none);
    }

    /// What the page keeps after a collection of what is not needed: bytes of its script's heap, nodes, listeners.
    ///
    /// # Panics
    /// The browser does not say.
    pub fn kept(&self) -> [f64; 3] {
        // What a first collection lets go of may hold what the second one finds.
        for _ in 0..3 {
            self.call("HeapProfiler.collectGarbage", json!({}));
        }
        let heap = self.call("Runtime.getHeapUsage", json!({}));
        let counts = self.call("Memory.getDOMCounters", json!({}));
        [&heap["usedSize"], &counts["nodes"], &counts["jsEventListeners"]].map(|value| value.as_f64().expect("a number"))
    }

    /// How many dialogs the page has opened (alert and its like) since it was gone to.
    pub fn dialogs(&self) -> usize {
        self.browser.events(&self.session).iter().filter(|event| event.method == "Page.javascriptDialogOpening").count()
    }

    /// The value of an expression in the page's first frame that has a process of its own, as one without an origin has.
    ///
    /// # Panics
    /// There is none within half a minute, or the expression throws.
    pub fn ask_frame(&self, expression: &str) -> Value {
        let started = Instant::now();
        let session = loop {
            let events = self.browser.events(&self.session);
            let frame =
                events.iter().find(|event| event.method == "Target.attachedToTarget" && event.params["targetInfo"]["type"] == "iframe");
            if let Some(session) = frame.and_then(|event| event.params["sessionId"].as_str()) {
                break session.to_owned();
            }
            assert!(started.elapsed() < Duration::from_secs(30), "no frame in a process of its own");
            thread::sleep(Duration::from_millis(50));
        };
        let params = json!({"expression": expression, "awaitPromise": true, "returnByValue": true});
        let mut answer = self.browser.call(Some(&session), "Runtime.evaluate", params);
        assert!(answer["exceptionDetails"].is_null(), "{expression}: {}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }
}
