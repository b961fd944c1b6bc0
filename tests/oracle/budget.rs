//! The WebAssembly module stays within its written budget.

use brotli::enc::BrotliEncoderParams;
use rakelight_pack::single::TEMPLATE;
use rakelight_tests::site;

/// Largest compressed module, in bytes: what a page may cost on a slow line. Trials took 90,000 of it.
const BUDGET: usize = 960_000;

#[test]
fn the_module_compresses_into_its_budget() {
    let wasm = &site::packed().module.wasm;
    let mut compressed = Vec::new();
    let parameters = BrotliEncoderParams { quality: 11, size_hint: wasm.len(), ..BrotliEncoderParams::default() };
    brotli::BrotliCompress(&mut wasm.as_slice(), &mut compressed, &parameters).expect("compression");
    println!("module: {} bytes, {} compressed", wasm.len(), compressed.len());
    assert!(compressed.len() <= BUDGET, "{} bytes compressed", compressed.len());
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
