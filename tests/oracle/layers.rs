//! The core's modules use each other in one direction only.

use std::fs;
use std::path::{Path, PathBuf};

#[test]
fn no_layer_of_the_core_uses_a_later_one() {
    let core = Path::new(env!("CARGO_MANIFEST_DIR")).join("../core");
    let sources = ["src", "numeric/src", "shape/src"].map(|folder| core.join(folder));
    let layers = layers_declared(&sources[0]);
    let rank = |layer: &str| layers.iter().position(|name| name == layer);
    let mut upward = Vec::new();
    let mut seen = 0;
    for (source, file) in sources.iter().flat_map(|source| rust_files(source).into_iter().map(move |file| (source, file))) {
        let relative = file.strip_prefix(source).expect("a file of the core");
        let first = relative.components().next().expect("a name");
        let layer = first.as_os_str().to_string_lossy();
        let layer = layer.trim_end_matches(".rs");
        if layer == "lib" {
            continue;
        }
        let own = rank(layer).unwrap_or_else(|| panic!("{layer} is not in the list of layers in lib.rs"));
        let text = fs::read_to_string(&file).expect("a source file");
        for used in layers_used(&text) {
            seen += 1;
            if rank(&used).is_some_and(|used| used > own) {
                upward.push(format!("{} uses {used}", relative.display()));
            }
        }
    }
    assert!(seen > 10, "only {seen} uses found: is the reading of sources broken?");
    assert_eq!(upward, Vec::<String>::new());
}

#[test]
fn uses_are_found_in_all_their_forms() {
    let text = "use crate::math::Point;\n/// [`crate::joins::Join`]\nuse crate::{nurbs::Curve,\n    review::{check, verdict}, finding};\nlet x = crate::geometry::project(a);";
    // Links in documentation are no dependence: a layer may point its reader upwards.
    assert_eq!(layers_used(text), ["math", "nurbs", "review", "finding", "geometry"]);
}

/// The layers in the order that the front page of the core states.
fn layers_declared(source: &Path) -> Vec<String> {
    let page = fs::read_to_string(source.join("lib.rs")).expect("the core's front page");
    let (_, after) = page.split_once("# Layers").expect("the layers");
    let (list, _) = after.split_once("#![").expect("the end of the page");
    let layers: Vec<String> = list.split('`').skip(1).step_by(2).map(str::to_owned).collect();
    assert!(layers.len() > 5, "the layers read as {layers:?}");
    layers
}

/// First path segments after `crate::`, comments left out, groups in braces opened.
fn layers_used(text: &str) -> Vec<String> {
    let code: Vec<&str> = text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect();
    let code = code.join("\n");
    let mut used = Vec::new();
    for (at, found) in code.match_indices("crate::") {
        let rest = &code[at + found.len()..];
        match rest.strip_prefix('{') {
            None => used.extend(first_word(rest)),
            Some(group) => {
                let mut depth = 0;
                let mut start = 0;
                for (index, character) in group.char_indices() {
                    match character {
                        '{' => depth += 1,
                        '}' | ',' if depth == 0 => {
                            used.extend(first_word(group[start..index].trim()));
                            start = index + 1;
                            if character == '}' {
                                break;
                            }
                        }
                        '}' => depth -= 1,
                        _ => {}
                    }
                }
            }
        }
    }
    used
}

fn first_word(text: &str) -> Option<String> {
    let word: String = text.chars().take_while(|character| character.is_alphanumeric() || *character == '_').collect();
    (!word.is_empty()).then_some(word)
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).expect("a source folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}
