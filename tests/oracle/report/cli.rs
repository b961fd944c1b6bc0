//! Reports at the command line.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_pack::{command, digits};
use serde_json::{Value, json};

use super::json_form::breaches;

fn check(arguments: &[&str], review: Option<&Path>) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let review = review.into_iter().flat_map(|r| ["--review".into(), r.into()]);
    let code = command::run(std::iter::once("check".into()).chain(arguments.iter().map(OsString::from)).chain(review), &mut out, &mut err);
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (code, text(out), text(err))
}

fn written(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a file");
    path
}

#[test]
fn a_review_goes_into_the_report_or_says_what_is_wrong_with_it() {
    let hash = digits::sha256(step(Revision::A).as_bytes());
    let review = |hash: &str, marks: Value| {
        json!({
            "rakelight_review": 1, "saved": "2031-06-01T12:00:00.000Z", "model": {"name": "bramble-a.step", "size": 1, "hash": hash},
            "review": {"yardstick": "visible", "limits": {"visible": {}}, "marks": marks, "pins": [{"key": 4, "title": "A dent", "severity": "serious"}]}
        })
    };
    let fine = written("fine review.json", &review(&hash, json!({})).to_string());
    let (code, out, err) = check(&["--report", "json"], Some(&fine));
    let value: Value = serde_json::from_str(&out).unwrap_or_else(|e| panic!("{e}: {err}"));
    assert_eq!((code, err.as_str()), (command::SERIOUS, ""));
    assert_eq!(breaches(&value), Vec::<String>::new());
    assert_eq!((&value["pins"][0]["title"], &value["hash"]), (&"A dent".into(), &hash.as_str().into()));
    assert!(value["made"].as_str().is_some_and(|m| m.split(' ').count() == 3), "{}", value["made"]);
    // Of other bytes: told, and done all the same. A mark says what it says.
    let first = value["findings"][0]["key"].as_str().expect("a key");
    let other = review(&"0".repeat(64), json!({first: {"state": "waived", "note": "as agreed"}}));
    let (_, out, err) = check(&["--report=markdown"], Some(&written("other review.json", &other.to_string())));
    assert!(err.contains("other review.json was made on other bytes (bramble-a.step)") && err.lines().count() == 1, "{err}");
    assert!(out.contains("## Waived and fixed") && out.contains("as agreed"), "{out}");
    // What is wrong is named with its line, before anything is read.
    for (text, parts) in [
        ("{\n \"rakelight_review\": 1,\n", &["line 3", "EOF"][..]),
        ("{\"rakelight_review\": 2}", &["rakelight_review is not 1"]),
        ("[]", &["rakelight_review is not 1"]),
        (
            "{\"rakelight_review\": 1,\n\"review\": {\"marks\": {\n\"a|0|1\": {\"state\": \"lost\"}}}}",
            &["review.marks.a|0|1.state", "lost", "line 3"],
        ),
        ("{\"rakelight_review\": 1, \"review\": {\"pins\": [{}, {\"key\":\n-1}]}}", &["review.pins[1].key", "line 2"]),
    ] {
        let (code, out, err) = check(&["--report", "html"], Some(&written("wrong review.json", text)));
        assert_eq!((code, out.as_str()), (command::COULD_NOT, ""), "{text}");
        assert!(parts.iter().all(|p| err.contains(p)) && err.contains("wrong review.json is no sound review"), "{text}: {err}");
    }
    let (code, _, err) = check(&[], Some(Path::new("no-such-review.json")));
    assert!(code == command::COULD_NOT && err.contains("no-such-review.json"), "{err}");
}
