//! What a first visit to the inspector downloads.

use super::table::Row;
use brotli::enc::BrotliEncoderParams;
use rakelight_tests::site;

/// Bytes it may come to.
const BAR: f64 = 1_000_000.0;

/// What the page loads to show a model, beside its styles.
const FILES: [&str; 5] = ["index.html", "app.js", "worker.js", "rakelight.js", "rakelight_bg.wasm"];

/// The folder of its styles.
const STYLES: &str = "css";

/// The row.
pub fn rows() -> Vec<Row> {
    let folder = &site::packed().folder;
    let mut names: Vec<String> = FILES.iter().map(|name| (*name).to_owned()).collect();
    let page = std::fs::read_to_string(folder.join("index.html")).unwrap_or_default();
    let styles = std::fs::read_dir(folder.join(STYLES)).into_iter().flatten().flatten();
    // Other pages of the site have styles of their own.
    names.extend(
        styles.map(|entry| format!("{STYLES}/{}", entry.file_name().to_string_lossy())).filter(|name| page.contains(name.as_str())),
    );
    names.sort();
    let sizes: Vec<(String, usize)> =
        names.into_iter().map(|name| (name.clone(), compressed(&std::fs::read(folder.join(&name)).unwrap_or_default()))).collect();
    let sum: usize = sizes.iter().map(|(_, size)| size).sum();
    let list: Vec<String> = sizes.iter().map(|(name, size)| format!("{name} {:.1}", *size as f64 / 1e3)).collect();
    vec![Row::ms("download of the inspector, brotli 11 / 1,000 kB", sum as f64 / 1e3, BAR / 1e3, 1.0).unit("kB").note(list.join(", "))]
}

fn compressed(bytes: &[u8]) -> usize {
    let mut out = Vec::new();
    let parameters = BrotliEncoderParams { quality: 11, size_hint: bytes.len(), ..BrotliEncoderParams::default() };
    brotli::BrotliCompress(&mut &*bytes, &mut out, &parameters).expect("compression");
    out.len()
}
