//! One HTML file that holds the inspector, and a model and a review where they are given: it opens from disk, without a network.
//!
//! | module | what |
//! |---|---|
//! | [`gzip`] | pack bytes the way browsers unpack |
//! | [`page`] | skeleton, style and scripts as one page with its policy |

use std::fs;
use std::path::Path;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::json;

use crate::module::Module;
use crate::scripts::{self, Scripts};
use crate::{PackError, digits, offline};

pub mod gzip;
pub mod page;

/// Where the packed site has the page without a model, out of which the page itself makes files.
pub const TEMPLATE: &str = "single.html";

/// What stands before the place for a model and a review, the first time that it stands in a page.
const PLACE: &str = " id=\"packed\">";

/// A page that holds neither.
const NOTHING: &str = r#"{"key":"","model":null,"review":null}"#;

/// What a file holds beside the inspector.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Contents {
    /// Random digits: what a browser keeps of a review made in this file is kept under them, since all files on a disk share one storage.
    pub key: String,
    /// Name and bytes of a model.
    pub model: Option<(String, Vec<u8>)>,
    /// Text of a review file.
    pub review: Option<String>,
}

/// A key that no other file has.
///
/// # Errors
/// The system gives no random bytes.
pub fn key() -> Result<String, PackError> {
    digits::random()
}

/// The page of the sources in `front_end` as one file, without a model. `scripts`: made of the same sources and module.
///
/// # Errors
/// A source cannot be read, or has something that one file has no place for.
pub fn template(front_end: &Path, module: &Module, scripts: &Scripts) -> Result<String, PackError> {
    let read = |name: &str| fs::read_to_string(front_end.join(name)).map_err(|error| error.to_string());
    let wrong = |why: String| PackError::build(format!("the page cannot be put into one file: {why}"));
    let parts = page::Parts {
        skeleton: &read("index.html").map_err(wrong)?,
        read: &read,
        script: &scripts.text(offline::PAGE),
        bindings: &scripts.text(scripts::BINDINGS),
        worker: &scripts.text(scripts::WORKER),
        wasm: &gzip::gzip(&module.wasm),
    };
    page::assemble(&parts).map_err(wrong)
}

/// A page with other contents; `page` may hold some already. None where it has no place for them.
pub fn filled(page: &str, contents: &Contents) -> Option<String> {
    let start = page.find(PLACE)? + PLACE.len();
    // What stands there has no such sign, as it is written below.
    let end = start + page[start..].find('<')?;
    let model = contents.model.as_ref().map(|(name, bytes)| json!({"name": name, "gzip": BASE64_STANDARD.encode(gzip::gzip(bytes))}));
    let text = json!({"key": contents.key, "model": model, "review": contents.review}).to_string().replace('<', "\\u003c");
    Some([&page[..start], &text, &page[end..]].concat())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "<p hidden></p><script type=\"application/json\" id=\"packed\">{}</script><script>' id=\"packed\">'</script>";

    #[test]
    fn contents_take_one_place_and_stay_in_it() {
        let hostile = "</script><img src=x onerror=alert(1)><!--";
        let contents = Contents {
            key: "7".into(),
            model: Some((hostile.into(), b"model".to_vec())),
            review: Some(format!("{{\"a\": \"{hostile}\"}}")),
        };
        let page = filled(PAGE, &contents).expect("a place");
        let (head, tail) = PAGE.split_once("{}").expect("its place");
        let text = page.strip_prefix(head).and_then(|rest| rest.strip_suffix(tail)).expect("all else as it was");
        assert!(!text.contains('<'), "{text}");
        let read: serde_json::Value = serde_json::from_str(text).expect("JSON");
        assert_eq!((&read["key"], &read["model"]["name"]), (&json!("7"), &json!(hostile)));
        assert_eq!(read["review"].as_str(), contents.review.as_deref());
        let nothing = Contents::default();
        assert_eq!(filled(&page, &nothing), filled(PAGE, &nothing));
        assert_eq!(filled(PAGE, &nothing).expect("a place"), format!("{head}{NOTHING}{tail}"));
        assert_eq!(filled("<p>", &nothing), None);
    }

    #[test]
    fn keys_differ() {
        let [a, b] = [key().expect("a key"), key().expect("a key")];
        assert!(a.len() == 32 && a != b, "{a} {b}");
    }
}
