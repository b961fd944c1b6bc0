//! The page in a frame that its surroundings have taken the origin from (`sandbox="allow-scripts"`), on a host that lets any page read its
//! files, as static hosts do.

use std::time::{Duration, Instant};

use rakelight_tests::open_host::OpenHost;
use rakelight_tests::{browser, demo, site};
use serde_json::{Value, json};

#[test]
fn in_a_frame_without_an_origin_it_works_says_that_nothing_is_kept_and_offers_the_file() {
    let around = "<!doctype html><title>Around</title><iframe sandbox=\"allow-scripts\" src=\"/\" width=\"1200\" height=\"760\"></iframe>";
    let host = OpenHost::start(&site::packed().folder, vec![("/around.html", around.to_owned())]);
    let page = browser::page();
    page.resize(1240, 800);
    page.go(&host.at("/around.html"));
    let wait = |expression: &str| {
        let started = Instant::now();
        while page.ask_frame(&format!("Boolean({expression})")) != Value::Bool(true) {
            let seen = || page.ask_frame("document.body.innerText.slice(0, 1500)");
            assert!(started.elapsed() < Duration::from_secs(120), "still not: {expression}\n{:?}\n{}", page.problems(), seen());
            std::thread::sleep(Duration::from_millis(50));
        }
    };
    wait("document.documentElement.dataset.state === 'ready'");
    assert_eq!(page.ask_frame("self.origin"), "null", "the frame has an origin");
    assert_eq!(page.ask_frame("document.documentElement.dataset.model"), demo::NAME);
    wait("document.documentElement.dataset.kept === 'nowhere'");
    assert_eq!(
        page.ask_frame("document.querySelector('#kept-nowhere') === null"),
        Value::Bool(true),
        "not before there is anything to keep"
    );
    wait("document.querySelector('#canvas').dataset.frame === 'exact'");

    wait("document.querySelectorAll('#finding-list .row').length > 5");
    page.ask_frame("document.querySelector('#finding-list .row').click(); document.querySelector('#mark-agreed').click()");
    wait("document.querySelector('#kept-nowhere')");
    assert!(page.ask_frame("document.querySelector('#kept-nowhere').innerText").as_str().is_some_and(|said| said.contains("not kept")));
    page.ask_frame(
        "globalThis.saved = null;
        {
            const make = URL.createObjectURL;
            URL.createObjectURL = (blob) => { blob.text().then((text) => { saved = text; }); return make.call(URL, blob); };
        }
        document.querySelector('#unkept-save').click()",
    );
    wait("saved !== null");
    let file: Value = serde_json::from_str(page.ask_frame("saved").as_str().expect("a text")).expect("JSON");
    let marks: Vec<&Value> = file["review"]["marks"].as_object().expect("marks").values().collect();
    assert_eq!(marks, [&json!({"state": "agreed"})]);
    // The frame around may keep the file from coming, which nobody tells the page.
    assert!(page.ask_frame("document.querySelector('#slips').innerText").as_str().is_some_and(|said| said.contains("allow-downloads")));
    page.ask_frame("document.querySelector('#theme').click()");
    wait("['light', 'dark'].includes(document.documentElement.dataset.theme)");
    let mine: Vec<String> = page.problems().into_iter().filter(|one| !one.contains("favicon") && !one.contains("Download")).collect();
    assert_eq!(mine, Vec::<String>::new());
}
