//! What `check` prints, for every model at hand: as the published schema says, and the same every time.

use std::ffi::OsString;
use std::fs;
use std::path::Path;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::finding::{MeasureId, Yardstick, Zone};
use rakelight_pack::command;
use rakelight_tests::{damaged, data, schema};
use serde_json::Value;

#[test]
fn the_json_of_every_model_meets_its_published_schema() {
    let schema = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/check.schema.json")).expect("the schema");
    let schema: Value = serde_json::from_slice(&schema).expect("a schema in JSON");
    let files: Vec<OsString> = data::step_models("the check's schema").into_iter().map(|model| model.path.into_os_string()).collect();
    let mut found = Vec::new();
    for arguments in files.into_iter().map(|file| vec![file]).chain([vec![]]) {
        let (code, text, err) = check(arguments.iter().cloned().chain(["--json".into()]));
        let value: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}: {err}"));
        found.extend(schema::breaches(&schema, &value).into_iter().take(5).map(|breach| format!("{arguments:?} {breach}")));
        let serious = value["findings"].as_array().is_some_and(|all| all.iter().any(|finding| finding["severity"] == "serious"));
        let faces = value["faces"].as_array().map_or(0, Vec::len);
        let lost = value["unread"].as_array().is_some_and(|all| !all.is_empty());
        let expected = match (serious, faces) {
            (true, _) => command::SERIOUS,
            (false, 0) => command::COULD_NOT,
            (false, _) => command::DONE,
        };
        assert_eq!(code, expected, "{arguments:?}");
        assert_eq!(err.contains("not read"), lost, "{arguments:?}: {err}");
        assert_eq!(text.lines().count(), 1, "{arguments:?}");
    }
    assert_eq!(found, Vec::<String>::new());
}

#[test]
fn a_file_that_cannot_be_read_is_told_from_a_bad_review() {
    for file in damaged::all() {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(file.name);
        fs::write(&path, &file.bytes).expect("a file to check");
        let (code, out, err) = check([path.into_os_string()]);
        assert_eq!((code, out.as_str()), (command::COULD_NOT, ""), "{}", file.name);
        assert!(err.contains(file.name) && err.contains(&format!("line {}", file.line)), "{}: {err}", file.name);
    }
}

#[test]
fn the_same_file_gives_the_same_text_for_each_yardstick() {
    let Some(model) = data::step_model("mouse_cover.step", "repeated checks") else { return };
    let told = |zone: &str| {
        let (_, text, err) = check([model.path.clone().into_os_string(), "--json".into(), "--yardstick".into(), zone.into()]);
        let mut value: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {err}"));
        value.as_object_mut().expect("an object").remove("times").expect("timings");
        value
    };
    let visible = told("visible");
    assert_eq!(visible, told("visible"));
    let hidden = told("hidden");
    // Limits change what is found and the class that joins reach by them, never what is measured.
    let measured = |all: &Value| {
        let mut joins = all["joins"].clone();
        for join in joins.as_array_mut().expect("a list") {
            let join = join.as_object_mut().expect("an object");
            join.remove("class").expect("a class");
            join.remove("required").expect("an order");
        }
        joins
    };
    assert_eq!(measured(&visible), measured(&hidden));
    assert_ne!(visible["findings"], hidden["findings"]);
}

/// Rules put faces into zones: what lies on hidden ones alone is held to the hidden column, what touches none of them is as it was.
#[test]
fn faces_that_a_rule_hides_are_held_to_less_and_no_others() {
    let told = |rules: &[&str]| {
        let arguments = rules.iter().flat_map(|r| ["--zone-rule".into(), OsString::from(r)]);
        let (_, text, err) = check([OsString::from("--json")].into_iter().chain(arguments));
        let value: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {err}"));
        value
    };
    let rules = ["name=*hatch*:secondary", "layer=HOOD:hidden"];
    let (before, after) = (told(&[]), told(&rules));
    let zone = |face: &Value| after["faces"][face.as_u64().expect("an id") as usize]["zone"].as_str().expect("a zone");
    let names = |all: &Value, of: &str| {
        let faces = all["faces"].as_array().expect("faces").iter().filter(|f| f["zone"] == of);
        faces.map(|f| f["name"].as_str().expect("a name").to_owned()).collect::<Vec<String>>()
    };
    assert_eq!(names(&before, "visible").len(), before["faces"].as_array().expect("faces").len());
    let (secondary, hidden) = (names(&after, "secondary"), names(&after, "hidden"));
    assert!(!secondary.is_empty() && secondary.iter().all(|n| n.contains("hatch")), "{secondary:?}");
    assert!(!hidden.is_empty() && !hidden.iter().any(|n| n.contains("hatch")), "the first rule counts: {hidden:?}");
    let on = |all: &Value, lies: &dyn Fn(&[Value]) -> bool| -> Vec<Value> {
        let findings = all["findings"].as_array().expect("findings");
        findings.iter().filter(|f| lies(f["faces"].as_array().expect("faces"))).cloned().collect()
    };
    // Findings that other ones can explain, or that are told together, go by more than their own faces.
    let apart = |f: &Value| {
        !["form.", "highlight.", "join.open", "fillet.radius"].iter().any(|m| f["measure"].as_str().is_some_and(|x| x.starts_with(m)))
    };
    let untouched = |faces: &[Value]| !faces.is_empty() && faces.iter().all(|f| zone(f) == "visible");
    let [was, is] = [&before, &after].map(|all| on(all, &untouched).into_iter().filter(apart).collect::<Vec<Value>>());
    assert!(!was.is_empty());
    assert_eq!(was, is);
    let hidden = |faces: &[Value]| !faces.is_empty() && faces.iter().all(|f| zone(f) == "hidden");
    let [was, is] = [&before, &after].map(|all| on(all, &hidden));
    assert!(is.len() < was.len(), "{} findings on hidden faces, {} before", is.len(), was.len());
    let usual = Yardstick::default();
    for finding in is {
        let id = MeasureId::ALL.iter().find(|m| finding["measure"] == m.text()).expect("a measure");
        let limits = usual.limits(*id, Zone::Hidden).expect("a row");
        let severity = finding["severity"].as_str().expect("a severity");
        let limit = match severity {
            "serious" => limits.serious,
            "fix" => limits.fix,
            _ => limits.polish,
        };
        assert_eq!(limit, finding["limit"].as_f64(), "{finding}");
    }
}

/// Bramble's second revision against its first one, as a model and as the mesh of a plane that it is far from.
#[test]
fn a_check_against_a_reference_meets_the_schema_too() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let (own, other, mesh) = (folder.join("own.stp"), folder.join("other.stp"), folder.join("far plate.stl"));
    fs::write(&own, bramble::step(Revision::B)).expect("a file");
    fs::write(&other, bramble::step(Revision::A)).expect("a file");
    fs::write(
        &mesh,
        "solid\nfacet normal 0 0 1\nouter loop\nvertex 9e3 0 0\nvertex 9.1e3 0 0\nvertex 9e3 90 0\nendloop\nendfacet\nendsolid\n",
    )
    .expect("a file");
    let schema = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/check.schema.json")).expect("the schema");
    let schema: Value = serde_json::from_slice(&schema).expect("a schema in JSON");
    let told = |reference: &Path| {
        let (code, text, err) = check([own.clone().into_os_string(), "--json".into(), "--reference".into(), reference.into()]);
        assert_ne!(code, command::COULD_NOT, "{err}");
        let value: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {err}"));
        assert_eq!(schema::breaches(&schema, &value), Vec::<String>::new());
        value
    };
    let to_model = told(&other);
    let reference = &to_model["reference"];
    assert_eq!((&reference["kind"], &reference["file"]), (&"model".into(), &"other.stp".into()));
    assert!(reference["distances"]["area"].as_f64().expect("an area") > 1e5);
    assert_eq!(reference["turned"], 0);
    let far = told(&mesh);
    assert_eq!((&far["reference"]["kind"], &far["reference"]["count"]), (&"mesh".into(), &1.into()));
    assert_eq!(far["reference"]["distances"], Value::Null);
    let missing = far["reference"]["missing"][0]["area"].as_f64().expect("an area");
    assert!((missing - 4500.0).abs() < 1e-6, "{missing}");
    // What is no reference is refused, and says which file.
    let bad = folder.join("no reference.stl");
    fs::write(&bad, "solid\nendsolid\n").expect("a file");
    let (code, _, err) = check([own.into_os_string(), "--reference".into(), bad.into_os_string()]);
    assert!(code == command::COULD_NOT && err.contains("no reference.stl"), "{err}");
}

#[test]
fn an_earlier_revision_is_told_and_keeps_to_the_schema() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let (a, b) = (folder.join("earlier.stp"), folder.join("later.stp"));
    fs::write(&a, bramble::step(Revision::A)).expect("a file");
    fs::write(&b, bramble::step(Revision::B)).expect("a file");
    let schema = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/check.schema.json")).expect("the schema");
    let schema: Value = serde_json::from_slice(&schema).expect("a schema in JSON");
    let beside = || [b.clone().into_os_string(), "--earlier".into(), a.clone().into_os_string()];
    let (_, text, err) = check(beside().into_iter().chain(["--json".into()]));
    let value: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {err}"));
    assert_eq!(schema::breaches(&schema, &value), Vec::<String>::new());
    let revision = &value["revision"];
    assert_eq!(revision["earlier"], "earlier.stp");
    let all = revision["findings"].as_array().expect("a list");
    for c in all {
        let (was, now) = (!c["was"].is_null(), !c["now"].is_null());
        let want = match c["fate"].as_str().expect("a fate") {
            "new" => (false, true),
            "fixed" | "gone" => (true, false),
            _ => (true, true),
        };
        assert_eq!((was, now), want, "{c}");
    }
    assert_eq!(revision["fixed"], all.iter().filter(|c| c["fate"] == "fixed").count());
    let (_, text, _) = check(beside());
    assert!(text.contains("Since earlier.stp: "), "{text}");
    // What comes of a reference was never asked of the earlier one, so it is neither new nor fixed.
    let held = ["--reference".into(), a.clone().into_os_string(), "--json".into()];
    let (_, text, err) = check(beside().into_iter().chain(held));
    let against: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {err}"));
    let found = against["findings"].as_array().expect("a list");
    assert!(found.iter().any(|f| f["measure"].as_str().is_some_and(|m| m.starts_with("reference."))), "{text}");
    assert_eq!(against["revision"]["findings"].as_array().map(Vec::len), Some(all.len()));
    // A file that is none is named.
    let bad = folder.join("no revision.stp");
    fs::write(&bad, "no model").expect("a file");
    let (code, _, err) = check([b.into_os_string(), "--earlier".into(), bad.into_os_string()]);
    assert!(code == command::COULD_NOT && err.contains("no revision.stp"), "{err}");
}

fn check(arguments: impl IntoIterator<Item = OsString>) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = command::run(std::iter::once("check".into()).chain(arguments), &mut out, &mut err);
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (code, text(out), text(err))
}
