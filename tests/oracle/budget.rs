//! What the page costs to load stays within its written budget.

use brotli::enc::BrotliEncoderParams;
use rakelight_pack::scripts::{BINDINGS, WORKER};
use rakelight_pack::single::TEMPLATE;
use rakelight_pack::site::INDEX;
use rakelight_pack::style::SHEET;
use rakelight_tests::site;

/// Largest compressed module, in bytes: what a page may cost on a slow line. Trials took 90,000 of it.
const BUDGET: usize = 960_000;

#[test]
fn the_module_compresses_into_its_budget() {
    let size = packed_size("rakelight_bg.wasm");
    assert!(size <= BUDGET, "{size} bytes compressed");
}

/// Most that a first visit loads before a model can be opened, compressed, in bytes.
const DOWNLOAD: usize = 1_100_000;

#[test]
fn all_that_the_page_loads_stays_within_its_budget() {
    let page = std::fs::read_to_string(site::packed().folder.join(INDEX)).expect("the page");
    let named =
        |attribute: &str| page.split(&format!(" {attribute}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect::<Vec<_>>();
    let styles = named("href").into_iter().filter(|name| name.ends_with(".css"));
    let mut files: Vec<&str> = named("src").into_iter().chain(styles).collect();
    files.sort_unstable();
    assert_eq!(files, ["app.js", SHEET, BINDINGS], "what the page asks for");
    files.extend([INDEX, WORKER, "rakelight_bg.wasm"]);
    let size: usize = files.into_iter().map(packed_size).sum();
    println!("all: {size} compressed");
    assert!(size <= DOWNLOAD, "{size} bytes compressed");
}

/// A file of the site as a host would send it; printed.
fn packed_size(name: &str) -> usize {
    let text = std::fs::read(site::packed().folder.join(name)).expect(name);
    let mut compressed = Vec::new();
    let parameters = BrotliEncoderParams { quality: 11, size_hint: text.len(), ..BrotliEncoderParams::default() };
    brotli::BrotliCompress(&mut text.as_slice(), &mut compressed, &parameters).expect("compression");
    println!("{name}: {} bytes, {} compressed", text.len(), compressed.len());
    compressed.len()
}

/// Largest page in one file, without a model, in bytes: what goes through a mail with a model beside it.
const SINGLE: u64 = 2_500_000;

#[test]
fn the_page_in_one_file_stays_within_its_budget() {
    let size = std::fs::metadata(site::packed().folder.join(TEMPLATE)).expect("the page in one file").len();
    println!("one file without a model: {size} bytes");
    assert!(size <= SINGLE, "{size} bytes");
}

#[test]
fn the_module_names_no_folder_of_this_machine() {
    let wasm = &site::packed().module.wasm;
    let home = std::env::home_dir().expect("a home folder");
    for folder in [home.as_path(), std::path::Path::new(env!("CARGO_MANIFEST_DIR"))] {
        let folder = folder.as_os_str().as_encoded_bytes();
        assert!(folder.len() > 1);
        assert!(!wasm.windows(folder.len()).any(|window| window == folder));
    }
}
