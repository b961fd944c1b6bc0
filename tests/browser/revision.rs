//! An earlier revision beside the open model: what became of its findings, by the core's own word.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::finding::Zone;
use rakelight_core::progress::Silent;
use rakelight_core::review::revision::RevisionRecord;
use rakelight_core::review::{Beside, Options, ZonePlan, run_beside};
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(120);

fn file(name: &str, bytes: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).expect("a file");
    path
}

fn of_the_core(zone: Zone) -> RevisionRecord {
    let [a, b] = [Revision::A, Revision::B].map(|r| bramble::step(r).into_bytes());
    let beside = Beside { reference: None, earlier: Some(("before.step", &a)) };
    let options = Options { zones: ZonePlan::all(zone), ..Options::default() };
    let check = run_beside(&b, "now.step", beside, &options, &mut Silent, &mut || 0.0).expect("a check");
    check.revision.expect("a record")
}

fn counts(inspector: &Inspector) -> Vec<u64> {
    let told = inspector.page.ask(
        "['fixed', 'same', 'better', 'worse', 'new', 'gone'].map((fate) => Number(document.querySelector('#earlier-counts').dataset[fate]))",
    );
    told.as_array().expect("a list").iter().map(|x| x.as_u64().expect("a count")).collect()
}

fn wanted(r: &RevisionRecord) -> Vec<u64> {
    [r.fixed, r.same, r.better, r.worse, r.new, r.gone].map(|n| n as u64).to_vec()
}

#[test]
fn an_earlier_file_tells_what_was_fixed_what_remains_and_what_is_new() {
    let (a, b) = (file("before.step", bramble::step(Revision::A).as_bytes()), file("now.step", bramble::step(Revision::B).as_bytes()));
    let inspector = Inspector::open(Some(&b));
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model("now.step");
    page.choose("#earlier-input", &a);
    page.wait("document.querySelector('#earlier-counts')", SOON);
    let record = of_the_core(Zone::Visible);
    assert_eq!(counts(&inspector), wanted(&record));
    assert!(record.fixed > 5 && record.new > 0);
    assert!(page.text("#earlier-counts").contains("before.step"));
    // A new one is chosen with its finding; one that is no more has its place alone.
    page.click_on("#earlier-new-1");
    page.wait("document.querySelector('#card')?.offsetParent", SOON);
    page.click_on("#earlier-fixed-1");
    page.wait("!document.querySelector('#card')?.offsetParent", SOON);
    inspector.wait_for_exact();
    // By other limits both sides have other findings.
    page.click_on("#yardstick-secondary");
    let second = of_the_core(Zone::Secondary);
    assert_ne!(wanted(&second), wanted(&record));
    let fixed = second.fixed;
    page.wait(&format!("document.querySelector('#earlier-counts')?.dataset.fixed === '{fixed}'"), SOON);
    assert_eq!(counts(&inspector), wanted(&second));
    // What is no model is told, and the one before stays.
    let none = file("no model.step", b"no model");
    page.choose("#earlier-input", &none);
    page.wait("document.querySelector('#slips').textContent.includes('no model.step')", SOON);
    assert_eq!(counts(&inspector), wanted(&second));
    assert_eq!(inspector.state(), "ready");
    page.click_on("#earlier-close");
    page.wait("!document.querySelector('#earlier-counts')", SOON);
    assert_eq!(page.ask("document.querySelector('#earlier-close').hidden"), Value::Bool(true));
}
