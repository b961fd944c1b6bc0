//! JSON, held to its published schema.

use std::fs;
use std::path::Path;

use rakelight_core::review::report::Form;
use rakelight_tests::schema;
use serde_json::Value;

use super::case;

pub fn breaches(value: &Value) -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/report.schema.json");
    let rules: Value = serde_json::from_slice(&fs::read(file).expect("the schema")).expect("a schema in JSON");
    schema::breaches(&rules, value)
}

#[test]
fn it_meets_its_schema_and_holds_every_word() {
    let case = case(true, true);
    let value: Value = serde_json::from_str(&case.write(Form::Json)).expect("JSON");
    assert_eq!(breaches(&value), Vec::<String>::new());
    assert_eq!(value["summary"].as_str(), case.said.verdict.summary.as_deref());
    assert_eq!(value["file"], case.check.file);
    assert_eq!(value["findings"].as_array().map(Vec::len), Some(case.check.findings.len()));
    for told in value["findings"].as_array().expect("a list") {
        let f = &case.check.findings[told["index"].as_u64().expect("an index") as usize];
        let mark = &case.said.marks[told["key"].as_str().expect("a key")];
        assert_eq!(
            (&told["remedy"], &told["note"], &told["state"]),
            (&f.remedy.as_str().into(), &mark.note.as_str().into(), &mark.state.text().into())
        );
        let severity = mark.severity.map_or(f.severity, |r| r.text());
        assert_eq!((&told["severity"], &told["measured"]), (&severity.into(), &f.severity.into()));
    }
    assert_eq!(value["pins"].as_array().map(Vec::len), Some(case.said.pins.len()));
    let changed: Vec<&Value> =
        value["yardstick"].as_array().expect("rows").iter().filter(|r| r["changed"] != serde_json::json!([false, false, false])).collect();
    assert_eq!(changed.len(), 1);
    assert_eq!((&changed[0]["measure"], &changed[0]["zones"][2]), (&"gap.flush".into(), &serde_json::json!([0.5, null, 1.5])));
    // The schema tells wrong from right.
    let mut bad = value.clone();
    bad["findings"][0]["severity"] = "grave".into();
    bad["verdict"]["passes"][0]["score"] = 101.into();
    assert_eq!(breaches(&bad).len(), 2);
}
