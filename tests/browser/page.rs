//! The page loads from its own files only, from any folder.

use std::time::Duration;

use rakelight_pack::server::POLICY;
use rakelight_tests::{browser, site};

const SOON: Duration = Duration::from_secs(30);

#[test]
fn the_page_loads_from_its_own_files_only() {
    loads_under("");
}

#[test]
fn a_sub_folder_serves_as_well() {
    loads_under("courses/form 2");
}

fn loads_under(mount: &str) {
    let server = site::serve(mount, None);
    let page = browser::page();
    page.go(&server.page());
    page.wait("typeof wasm_bindgen === 'function'", SOON);
    page.wait("document.querySelector('#open-button')", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
    for address in page.requests() {
        assert!(address.starts_with(&server.folder()), "{address}");
    }
}

/// A browser of an older day is told what it lacks, by a module that it would refuse; this one takes it.
#[test]
fn a_browser_without_vectors_is_told() {
    let server = site::serve("", None);
    let page = browser::page();
    page.before("{ const real = WebAssembly.validate; WebAssembly.validate = (bytes) => real(bytes) && bytes.length > 29; }");
    page.go(&server.page());
    page.wait("document.querySelector('#failure')?.innerText.includes('128-bit vectors')", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_page_and_the_server_state_the_same_policy() {
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&server.page());
    let stated = page.ask("document.querySelector('meta[http-equiv=Content-Security-Policy]').content");
    assert_eq!(stated.as_str(), Some(POLICY));
}
