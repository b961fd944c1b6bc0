//! The page without a network, and how it goes over to a newer version of itself.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use rakelight_pack::offline::{self, Files, SPARE};
use rakelight_pack::server::{Options, Server};
use rakelight_pack::site as pack;
use rakelight_pack::workspace::Workspace;
use rakelight_tests::browser::{self, Page};
use rakelight_tests::{demo, site};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(90);

/// A clock that makes nothing of waits longer than ten seconds: the page's own before it keeps its files is for people.
const QUICK: &str = "{
    const wait = setTimeout;
    globalThis.setTimeout = (act, time, ...rest) => wait(act, time > 10000 ? 0 : time, ...rest);
}";

/// A site on a host that is gone at times and has other files at others.
struct Host {
    folder: PathBuf,
    server: Option<Server>,
    port: u16,
    address: String,
}

impl Host {
    fn start(files: &Files) -> Self {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("offline-site");
        pack::write_files(files, &folder).expect("the site");
        let server = Server::start_anywhere(options(&folder)).expect("a server");
        Self { folder, port: server.port(), address: server.page(), server: Some(server) }
    }

    fn stop(&mut self) {
        self.server = None;
    }

    /// Has these files now, at the address as before.
    fn back(&mut self, files: &Files) {
        self.stop();
        pack::write_files(files, &self.folder).expect("the site");
        let started = Instant::now();
        self.server = loop {
            match Server::start_at(self.port, options(&self.folder)) {
                Ok(server) => break Some(server),
                Err(error) => assert!(started.elapsed() < SOON, "{error}"),
            }
            thread::sleep(Duration::from_millis(20));
        };
    }
}

fn options(folder: &Path) -> Options {
    Options { site: folder.to_owned(), mount: "courses/form 2".into(), file: None }
}

/// The site as it would be packed if its page, and the page as one file, had another title.
fn titled(title: &str) -> Files {
    let mut files = pack::gather(&Workspace::find().expect("the sources"), &site::packed().module).expect("the files");
    let words = files.get_mut("app.js").expect("the words");
    let changed = String::from_utf8_lossy(words).replace("title:`Rakelight`,", &format!("title:`{title}`,"));
    assert!(words.as_slice() != changed.as_bytes(), "the title is where it is looked for");
    *words = changed.into_bytes();
    files.get_mut(SPARE[0]).expect("the page as one file").extend(format!("<!-- {title} -->").bytes());
    offline::seal(&mut files).expect("sealed");
    files
}

fn wait_for_demo(page: &Page, title: &str) {
    page.wait(&format!("document.title === '{} · {title}' && document.documentElement.dataset.state === 'ready'", demo::NAME), SOON);
}

/// Whether the review is the one that was made at first.
fn assert_review_is_there(page: &Page) {
    page.wait("document.querySelector('#kept-back')", SOON);
    page.wait("document.querySelector('#finding-list .row')", SOON);
    page.ask("document.querySelector('#finding-list .row').click()");
    page.wait("document.querySelector('#mark-agreed[aria-pressed=true]')", SOON);
}

/// Sizes of the site's files as the page gets them, by name; of one that does not come, what is said.
fn sizes(page: &Page, files: &Files) -> BTreeMap<String, Value> {
    let names: Vec<&String> = files.keys().collect();
    let told = page.ask(&format!(
        "Promise.all({}.map(async (name) => {{
            const size = await fetch(name).then(async (answer) => answer.ok && (await answer.arrayBuffer()).byteLength).catch(String);
            return [name, size];
        }})).then(Object.fromEntries)",
        json!(names)
    ));
    serde_json::from_value(told).expect("sizes")
}

#[test]
fn once_visited_it_works_without_a_network_and_takes_newer_versions_whole() {
    let first = titled("One");
    let mut host = Host::start(&first);
    let page = browser::page();
    page.calm();
    page.before(QUICK);
    page.go(&host.address);
    wait_for_demo(&page, "One");
    page.click_on("#finding-list .row");
    page.click_on("#mark-agreed");
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    page.wait("document.documentElement.dataset.offline === 'ready'", SOON);
    let foreign = |address: &String| !address.starts_with(&host.address) && !address.starts_with("blob:") && !address.starts_with("data:");
    assert_eq!(page.requests().into_iter().filter(foreign).collect::<Vec<_>>(), Vec::<String>::new());
    assert_eq!(page.problems(), Vec::<String>::new());
    // Pages of tests have profiles that keep nothing, in which no app is installed.
    let install: Vec<String> = page.install_problems().into_iter().filter(|one| one != "in-incognito").collect();
    assert_eq!(install, Vec::<String>::new());

    // The network is gone.
    host.stop();
    page.go(&host.address);
    wait_for_demo(&page, "One");
    assert_review_is_there(&page);
    page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", SOON);
    let odd: Vec<String> = page.problems().into_iter().filter(|one| !one.contains(offline::WORKER)).collect();
    assert_eq!(odd, Vec::<String>::new());
    let mut there: BTreeMap<String, Value> = first.iter().map(|(name, bytes)| (name.clone(), bytes.len().into())).collect();
    // Only the browser itself fetches the worker, and the others nobody has asked for yet.
    for name in [offline::WORKER, SPARE[0], SPARE[1]] {
        there.insert(name.into(), "TypeError: Failed to fetch".into());
    }
    assert_eq!(sizes(&page, &first), there);
    page.click_on("#single-save");
    page.wait("document.querySelector('#slips').innerText.includes('does not hold single.html yet')", SOON);

    // A newer version of which a file that has changed is not what it should be: the page stays with all of the one it has.
    page.ask(
        "globalThis.states = [];
        navigator.serviceWorker.getRegistration().then((one) => {
            globalThis.registration = one;
            one.onupdatefound = () => {
                const coming = one.installing;
                coming.addEventListener('statechange', () => states.push(coming.state));
            };
        })",
    );
    page.click_on("#pass-overview");
    let second = titled("Two");
    let mut torn = second.clone();
    torn.get_mut("app.js").expect("the words").push(b' ');
    host.back(&torn);
    page.ask("registration.update().then(() => true)");
    page.wait("states.includes('redundant')", SOON);
    page.wait("document.documentElement.dataset.offline === 'ready'", SOON);
    assert_eq!(page.ask("caches.keys().then((names) => names.length)"), 1);

    // All of it: the page says so, and goes on as it was until its user says yes.
    host.back(&second);
    page.ask("registration.update().then(() => true)");
    page.wait("states.includes('installed') && document.querySelector('#newer')", SOON);
    assert_eq!(page.text("#newer").lines().next(), Some("A newer version of Rakelight is ready."));
    // The page as one file is another version's there by now, and is not had from it; the model that has not changed is.
    let statuses = page.ask(&format!("Promise.all({}.map((name) => fetch(name).then(({{ status }}) => status)))", json!(SPARE)));
    assert_eq!(statuses, json!([409, 200]));
    let words = |page: &Page| page.ask("fetch('app.js').then((answer) => answer.text())").as_str().expect("a text").to_owned();
    assert_eq!(words(&page).as_bytes(), first["app.js"]);

    // Another tab has the version of this one as well, and neither can be taken from under the other.
    let other = page.second();
    other.go(&format!("{}?open=open/none.step", host.address));
    other.wait("document.title.includes('One') && document.querySelector('#newer[data-others=\"1\"]')", SOON);
    other.click_on("#newer-later");
    other.wait("!document.querySelector('#newer')", SOON);
    page.to_front();
    page.click_on("#newer-load");
    page.wait("document.querySelector('#newer[data-others=\"1\"]')", SOON);
    assert_eq!(words(&page).as_bytes(), first["app.js"]);
    other.close();
    page.click_on("#newer-load");
    page.wait_for_loads(2);
    wait_for_demo(&page, "Two");
    assert_review_is_there(&page);
    page.wait("document.documentElement.dataset.offline === 'ready'", SOON);
    assert_eq!(words(&page).as_bytes(), second["app.js"]);
    assert_eq!(page.ask("caches.keys().then((names) => names.length)"), 1);

    // Who has come again gets the rest as well.
    page.ask(&format!(
        "(async () => {{
            const there = (name) => caches.match(name);
            for (const name of {}) while (!(await there(name))) await new Promise((next) => setTimeout(next, 50));
            return true;
        }})()",
        json!(SPARE)
    ));
    host.stop();
    let mut all: BTreeMap<String, Value> = second.iter().map(|(name, bytes)| (name.clone(), bytes.len().into())).collect();
    all.insert(offline::WORKER.into(), "TypeError: Failed to fetch".into());
    assert_eq!(sizes(&page, &second), all);

    // Nobody has touched a page that is just opened: it takes a newer version by itself, as a developer wants it.
    let third = titled("Three");
    host.back(&third);
    page.go_through(&host.address, 2);
    page.wait("document.title.includes('Three')", SOON);
    assert_eq!(words(&page).as_bytes(), third["app.js"]);
}
