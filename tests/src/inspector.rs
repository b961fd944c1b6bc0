//! The page as its user handles it, by the stable hooks that `www/index.html` lists.

use std::path::Path;
use std::time::Duration;

use rakelight_pack::server::Server;

use crate::browser::{self, Page, Rect};
use crate::site;

/// How long an import may take: the largest model here on a busy machine of two cores.
const IMPORT: Duration = Duration::from_secs(120);

/// A page open on the packed site.
#[derive(Debug)]
pub struct Inspector {
    /// The page.
    pub page: Page,
    /// Its server.
    pub server: Server,
}

impl Inspector {
    /// Opens the page as `cargo run` would, on a file or on the demo model.
    pub fn open(file: Option<&Path>) -> Self {
        Self::open_under("", file)
    }

    /// The same with the site in a sub-folder.
    pub fn open_under(mount: &str, file: Option<&Path>) -> Self {
        let server = site::serve(mount, file);
        let page = browser::page();
        page.go(&server.page());
        Self { page, server }
    }

    /// Waits until a model is open and nothing runs; one that was open before is not taken for it.
    ///
    /// # Panics
    /// The import fails or takes too long.
    pub fn wait_for_model(&self, name: &str) {
        let there = format!("(({{ state, model }}) => state === 'failed' || (state === 'ready' && model === {name:?}))");
        self.page.wait(&format!("{there}(document.documentElement.dataset)"), IMPORT);
        assert_eq!(self.state(), "ready", "{}", self.failure());
    }

    /// Waits until an import has failed.
    ///
    /// # Panics
    /// It does not within the time allowed.
    pub fn wait_for_failure(&self) {
        self.page.wait("document.documentElement.dataset.state === 'failed'", IMPORT);
    }

    /// "empty", "busy", "ready" or "failed".
    pub fn state(&self) -> String {
        self.data("document.documentElement.dataset.state")
    }

    /// File name of the open model; empty where there is none.
    pub fn model(&self) -> String {
        self.data("document.documentElement.dataset.model")
    }

    /// What the page says could not be read, with its place.
    pub fn failure(&self) -> String {
        self.page.text("#failure")
    }

    /// Waits for the exact picture.
    pub fn wait_for_exact(&self) {
        self.page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", IMPORT);
    }

    /// Pixels of the canvas that `like` picks, red, green and blue.
    pub fn count_pixels(&self, like: impl Fn([u8; 3]) -> bool) -> usize {
        let picture = self.page.picture(self.canvas());
        picture.rgba.as_chunks::<4>().0.iter().filter(|[r, g, b, _]| like([*r, *g, *b])).count()
    }

    /// Enters a value into a box and leaves it.
    pub fn enter(&self, selector: &str, value: &str) {
        self.page.ask(&format!(
            "(() => {{ const box = document.querySelector('{selector}'); box.value = '{value}'; box.dispatchEvent(new Event('change')); }})()"
        ));
    }

    /// Gives the file chooser a file.
    pub fn choose(&self, file: &Path) {
        self.page.choose("#file-input", file);
    }

    /// Drops a file onto the canvas.
    pub fn drop_file(&self, file: &Path) {
        let (x, y) = self.canvas().middle();
        self.page.drop_file(x, y, file);
    }

    /// Where the canvas is.
    pub fn canvas(&self) -> Rect {
        self.page.place("#canvas")
    }

    /// What the button saves as the check, caught on its way to the disk.
    ///
    /// # Panics
    /// Nothing is saved in time.
    pub fn check_json(&self) -> String {
        self.saved_by("#check-json")
    }

    /// What a button saves, caught on its way to the disk.
    ///
    /// # Panics
    /// Nothing is saved in time.
    pub fn saved_by(&self, button: &str) -> String {
        self.saved_after(|| self.page.click_on(button))
    }

    /// What is saved after something was done, caught on its way to the disk.
    ///
    /// # Panics
    /// Nothing is saved in time.
    pub fn saved_after(&self, act: impl FnOnce()) -> String {
        self.page.ask(
            "globalThis.saved = null; globalThis.caught ??= (() => {
                const make = URL.createObjectURL;
                URL.createObjectURL = (blob) => { blob.text().then((text) => { saved = text; }); return make.call(URL, blob); };
                return true;
            })()",
        );
        act();
        self.page.wait("saved !== null", IMPORT);
        self.data("saved")
    }

    fn data(&self, expression: &str) -> String {
        self.page.ask(&format!("{expression} ?? ''")).as_str().unwrap_or_default().to_owned()
    }
}
