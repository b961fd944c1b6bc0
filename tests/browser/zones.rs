//! Zones of patches: by rules, picked one by one, painted over; undone, saved and opened again, by pointer and by keys.

use std::fs;
use std::path::Path;
use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::progress::Silent;
use rakelight_core::review::{Options, ZonePlan, ZoneRule, run};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::schema;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(60);

/// Patches that are visible, secondary and hidden, as the page counts them.
fn tally(inspector: &Inspector) -> [u64; 3] {
    let told =
        inspector.page.ask("['visible', 'secondary', 'hidden'].map((zone) => Number(document.querySelector('#zone-tally').dataset[zone]))");
    serde_json::from_value(told).expect("three numbers")
}

fn wait_for(inspector: &Inspector, zone: &str, count: &str) {
    inspector.page.wait(&format!("Number(document.querySelector('#zone-tally').dataset.{zone}) {count}"), SOON);
}

/// The page's own check, once it is judged anew: `holds` says of its faces' zones when.
fn checked(inspector: &Inspector, holds: impl Fn(&[u64; 3]) -> bool) -> Value {
    for _ in 0..40 {
        let mut check: Value = serde_json::from_str(&inspector.check_json()).expect("JSON");
        let zones = ["visible", "secondary", "hidden"].map(|zone| {
            let faces = check["faces"].as_array().expect("faces");
            faces.iter().filter(|face| face["zone"] == zone).count() as u64
        });
        if holds(&zones) {
            check["times"].take();
            return check;
        }
    }
    panic!("never judged so: {:?}", tally(inspector));
}

fn findings(check: &Value) -> usize {
    check["findings"].as_array().expect("findings").len()
}

/// Chooses from a list, or writes into a box, as somebody who leaves it does.
fn set(inspector: &Inspector, selector: &str, value: &str) {
    inspector.page.wait(&format!("document.querySelector('{selector}')"), SOON);
    inspector.enter(selector, value);
}

#[test]
fn patches_have_zones_by_rule_by_picking_and_by_painting() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    let [all, secondary, hidden] = tally(&inspector);
    assert_eq!((secondary, hidden), (0, 0));
    let first = checked(&inspector, |zones| zones[0] == all);

    // By rule: the findings are those of the core under the same rule.
    page.click_on("#zone-rule-add");
    set(&inspector, "#zone-rule-0-by", "name");
    set(&inspector, "#zone-rule-0-is", "HOOD*");
    wait_for(&inspector, "hidden", "> 0");
    let ruled = tally(&inspector);
    assert!(page.text("#zone-rule-0-fits").contains(&format!("{} patch", ruled[2])), "{}", page.text("#zone-rule-0-fits"));
    let by_rule = checked(&inspector, |zones| *zones == ruled);
    let zones = ZonePlan { rules: vec![ZoneRule::read("name=hood*:hidden").expect("a rule")], ..ZonePlan::default() };
    let options = Options { zones, ..Options::default() };
    let core = run(bramble::step(Revision::A).as_bytes(), demo::NAME, &options, &mut Silent, &mut || 0.0).expect("a check");
    let core: Value = serde_json::from_str(&core.to_json().expect("JSON")).expect("JSON");
    assert_eq!((&by_rule["faces"], &by_rule["findings"]), (&core["faces"], &core["findings"]));
    assert!(findings(&by_rule) < findings(&first));

    // By hand and by keys: a patch of the hood comes back, whatever the rule says.
    page.click_on("#zone-as-secondary");
    page.ask("document.querySelector('#zone-paint').focus()");
    page.key("Enter");
    page.wait("document.querySelector('#surface').hasAttribute('data-paint')", SOON);
    assert_eq!(page.ask("document.activeElement.id"), json!("canvas"));
    page.key("Enter");
    wait_for(&inspector, "secondary", "=== 1");
    page.key("Escape");
    page.wait("!document.querySelector('#surface').hasAttribute('data-paint')", SOON);
    page.click_on("#undo");
    assert_eq!(tally(&inspector), ruled);
    page.ask("document.querySelector('#canvas').focus()");
    page.key("Enter");
    if page.ask("document.querySelector('#zone-patch') === null") == json!(true) {
        // A join lay there.
        let (x, y) = inspector.canvas().middle();
        page.click(x + 25.0, y + 25.0);
    }
    page.wait("document.querySelector('#zone-face-secondary')", SOON);
    page.ask("document.querySelector('#zone-face-secondary').focus()");
    page.key(" ");
    wait_for(&inspector, "secondary", "=== 1");
    assert_eq!(page.ask("document.activeElement.id"), json!("zone-face-secondary"), "the focus stays");
    let picked = tally(&inspector);
    assert_eq!(picked[0] + picked[2] + 1, all);
    checked(&inspector, |zones| *zones == picked);

    // By a drag over the model, which does not turn it: one step.
    page.click_on("#zone-as-hidden");
    page.click_on("#zone-paint");
    let (x, y) = inspector.canvas().middle();
    page.drag((x - 150.0, y - 60.0), (x + 150.0, y + 80.0), "left");
    wait_for(&inspector, "hidden", &format!(">= {}", picked[2] + 2));
    let painted = tally(&inspector);
    page.click_on("#undo");
    assert_eq!(tally(&inspector), picked, "one drag is one step");
    page.click_on("#redo");
    assert_eq!(tally(&inspector), painted);
    assert!(page.text("#legend-zones").contains(&painted[2].to_string()));
    page.click_on("#zone-stop");
    let last = checked(&inspector, |zones| *zones == painted);
    assert!(findings(&last) < findings(&first));
    // What lies elsewhere than the yardstick says so.
    let named = last["findings"].as_array().expect("findings").iter().position(|f| {
        let faces = f["faces"].as_array().expect("faces");
        !faces.is_empty() && faces.iter().all(|id| last["faces"][id.as_u64().expect("an id") as usize]["zone"] == "hidden")
    });
    let at = named.expect("a finding between two patches that were painted");
    page.click_on("#ledger-more");
    set(&inspector, "#ledger-pass", "all");
    page.ask(&format!("document.querySelectorAll('#ledger [data-finding]')[{at}].click()"));
    page.wait("document.querySelector('#card-zone')?.dataset.zone === 'hidden'", SOON);

    // Saved, taken back, and opened again.
    let text = inspector.saved_by("#review-save");
    let file: Value = serde_json::from_str(&text).expect("JSON");
    let published = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/review.schema.json")).expect("the schema");
    let published: Value = serde_json::from_slice(&published).expect("a schema in JSON");
    assert_eq!(schema::breaches(&published, &file), Vec::<String>::new());
    assert_eq!(file["review"]["zones"]["rules"], json!([{ "by": "name", "is": "HOOD*", "zone": "hidden" }]));
    while page.ask("document.querySelector('#undo').getAttribute('aria-disabled')") == json!("false") {
        page.click_on("#undo");
    }
    wait_for(&inspector, "visible", &format!("=== {all}"));
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("zones.review.json");
    fs::write(&path, &text).expect("a file");
    inspector.choose(&path);
    wait_for(&inspector, "hidden", &format!("=== {}", painted[2]));
    let again = checked(&inspector, |zones| *zones == painted);
    assert_eq!(again["findings"], last["findings"]);
    // Hostile ones are refused as a whole.
    let mut wrong = file.clone();
    wrong["review"]["zones"]["picked"][0]["zone"] = json!("<b>seen</b>");
    fs::write(&path, wrong.to_string()).expect("a file");
    inspector.choose(&path);
    page.wait("document.querySelector('#failure-message')?.innerText.includes('zones.picked.0.zone')", SOON);
    assert_eq!(tally(&inspector), painted);
    assert_eq!(page.problems(), Vec::<String>::new());
}
