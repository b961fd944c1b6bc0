//! The page as an app: what keeps it from being installed, and tabs that are closed.

use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::Page;

impl Page {
    /// What the browser does not understand of the page's manifest, and what keeps the page from being installed as an app.
    pub fn install_problems(&self) -> Vec<String> {
        let list = |answer: &Value, name: &str| answer[name].as_array().cloned().unwrap_or_default();
        let manifest = self.call("Page.getAppManifest", json!({}));
        let install = self.call("Page.getInstallabilityErrors", json!({}));
        let mut problems: Vec<String> = list(&manifest, "errors").iter().map(|one| one["message"].to_string()).collect();
        if manifest["data"].as_str().is_none_or(str::is_empty) {
            problems.push("no manifest".into());
        }
        problems.extend(list(&install, "installabilityErrors").iter().filter_map(|one| one["errorId"].as_str().map(str::to_owned)));
        problems
    }

    /// Closes the tab, and waits until the browser has it no longer.
    ///
    /// # Panics
    /// It still has after half a minute.
    pub fn close(self) {
        let target = self.call("Target.getTargetInfo", json!({}))["targetInfo"]["targetId"].clone();
        self.browser.call(None, "Target.closeTarget", json!({"targetId": target}));
        let there = || {
            let all = self.browser.call(None, "Target.getTargets", json!({}));
            all["targetInfos"].as_array().is_some_and(|all| all.iter().any(|one| one["targetId"] == target))
        };
        patiently(|| !there(), "the tab is closed");
    }

    /// Goes to an address whose page may load itself anew, and waits until it has been loaded so many times.
    ///
    /// # Panics
    /// It has not within half a minute.
    pub fn go_through(&self, address: &str, times: usize) {
        self.browser.listen(&self.session);
        self.call("Page.navigate", json!({"url": address}));
        self.wait_for_loads(times);
    }

    /// Waits until there have been so many loads since the page was gone to. Asks it nothing meanwhile: an answer would be lost with its document.
    ///
    /// # Panics
    /// There have not within half a minute.
    pub fn wait_for_loads(&self, times: usize) {
        let loads = || self.browser.events(&self.session).iter().filter(|event| event.method == "Page.loadEventFired").count();
        patiently(|| loads() >= times, "the page is loaded anew");
    }
}

fn patiently(done: impl Fn() -> bool, what: &str) {
    let started = Instant::now();
    while !done() {
        assert!(started.elapsed() < Duration::from_secs(30), "still not: {what}");
        thread::sleep(Duration::from_millis(50));
    }
}
