//! A review as a file, and as the browser keeps it: saved and opened, for its model and for others, after a crash, in two tabs, where
//! nothing is stored, and out of hostile files.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rakelight_tests::browser::Page;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::schema;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);
const LONG: Duration = Duration::from_secs(120);
const REASON: &str = "Agreed with the tool shop <b>on</b> \"Monday\"";

fn opened() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    settled(&inspector.page);
    inspector
}

/// Waits until what was kept is there and what was changed is kept.
fn settled(page: &Page) {
    page.wait("document.documentElement.dataset.kept === 'here'", LONG);
}

/// The page's review as its file says it, without times.
fn review(inspector: &Inspector) -> Value {
    let mut file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    file["saved"].take();
    file
}

/// A file that a test opens.
fn written(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a file");
    path
}

/// Judges two findings, adds a line to the checklist, moves the lamps and a limit.
fn work(inspector: &Inspector) {
    let page = &inspector.page;
    page.ask("document.querySelectorAll('#finding-list [data-finding]')[0].click()");
    page.click_on("#mark-agreed");
    page.ask("document.querySelectorAll('#finding-list [data-finding]')[1].click()");
    page.click_on("#mark-ask");
    page.ask("((list) => { list.value = 'good'; list.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('#mark-severity'))");
    inspector.enter("#mark-reason", &REASON.replace('\'', ""));
    page.click_on("#mark-overrule");
    page.click_on("#pass-reference");
    page.click_on("#checklist-add");
    page.ask("document.execCommand('insertText', false, 'Both doors')");
    page.key("Enter");
    page.click_on("#pass-highlights");
    inspector.enter("#lamp-azimuth", "77");
    page.click_on("#pass-joins");
    page.wait("document.querySelector('#limit-polish')?.offsetParent", SOON);
    inspector.enter("#limit-polish", "0.07");
}

fn assert_worked(file: &Value) {
    let review = &file["review"];
    assert_eq!(review["lamps"]["azimuth"], 77);
    assert_eq!(review["checklist"][0]["text"], "Both doors");
    let marks: Vec<&Value> = review["marks"].as_object().expect("marks").values().collect();
    assert_eq!(marks.len(), 2, "{marks:?}");
    assert!(marks.iter().any(|mark| mark["state"] == "agreed"), "{marks:?}");
    assert!(marks.iter().any(|mark| mark["severity"].is_string() && mark["reason"] == REASON), "{marks:?}");
    assert_eq!(review["limits"]["visible"]["g1"][0], 0.07, "{}", review["limits"]);
}

/// Nothing said yet.
fn assert_fresh(file: &Value) {
    let review = &file["review"];
    assert_eq!((&review["marks"], &review["checklist"], &review["lamps"]["azimuth"]), (&json!({}), &json!([]), &json!(35)));
}

fn schema() -> Value {
    let text = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/review.schema.json")).expect("the schema");
    serde_json::from_slice(&text).expect("a schema in JSON")
}

/// The schema without room for entries that it does not name.
fn strict(mut schema: Value) -> Value {
    fn close(part: &mut Value) {
        match part {
            Value::Object(all) => {
                if all.contains_key("properties") && all.get("type").is_some_and(|kind| kind == "object") {
                    all.entry("additionalProperties").or_insert(json!(false));
                }
                all.values_mut().for_each(close);
            }
            Value::Array(all) => all.iter_mut().for_each(close),
            _ => {}
        }
    }
    close(&mut schema);
    schema
}

#[test]
fn a_review_is_saved_as_published_and_opened_again_by_chooser_and_drop() {
    let inspector = opened();
    let page = &inspector.page;
    assert_eq!(
        schema::breaches(&strict(schema()), &serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON")),
        Vec::<String>::new()
    );
    assert_fresh(&review(&inspector));
    work(&inspector);
    let text = inspector.saved_by("#review-save");
    let file: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(schema::breaches(&strict(schema()), &file), Vec::<String>::new());
    assert_worked(&file);
    assert_eq!(file["model"]["name"], demo::NAME);
    assert_eq!(file["view"]["pass"], "joins");
    let path = written("kept from before.review.json", &text);
    let worked = review(&inspector);

    // Taken back step by step, then opened: one step, and all is as its author left it.
    while page.ask("document.querySelector('#undo').getAttribute('aria-disabled')") == json!("false") {
        page.click_on("#undo");
    }
    assert_fresh(&review(&inspector));
    page.click_on("#pass-form");
    inspector.choose(&path);
    page.wait("document.querySelector('#slips').innerText.includes('is in use')", SOON);
    inspector.wait_for_exact();
    assert_eq!(review(&inspector)["review"], worked["review"]);
    assert!(page.ask("document.querySelector('#pass-joins').classList.contains('here')") == json!(true), "the pass comes back");
    page.click_on("#undo");
    assert_fresh(&review(&inspector));
    assert_eq!(page.ask("document.querySelector('#undo').getAttribute('aria-disabled')"), json!("true"), "it was one step");

    // By its content, whatever it is called.
    let dropped = written("no ending", &format!("\u{feff}  {text}"));
    inspector.drop_file(&dropped);
    page.wait("document.querySelector('#redo').getAttribute('aria-disabled') === 'true'", SOON);
    page.wait("document.querySelector('#undo').getAttribute('aria-disabled') === 'false'", SOON);
    assert_eq!(review(&inspector)["review"], worked["review"]);
    assert_eq!(inspector.state(), "ready");
    assert_eq!(inspector.model(), demo::NAME);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn all_is_back_after_the_process_was_killed() {
    let mut inspector = opened();
    work(&inspector);
    // The promise: at most a second after the last change.
    std::thread::sleep(Duration::from_millis(1000));
    inspector.page.crash();
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.page.go(&inspector.server.page());
    inspector.wait_for_model(demo::NAME);
    settled(&inspector.page);
    let page = &inspector.page;
    let said = page.text("#kept-back");
    assert!(said.contains(demo::NAME) && said.contains("is back"), "{said}");
    assert_worked(&review(&inspector));
    page.wait("document.querySelectorAll('#finding-list [data-finding]').length > 1", LONG);
    assert_eq!(page.ask("document.querySelector('#undo').getAttribute('aria-disabled')"), json!("true"), "it is where one begins");

    // Afresh, and back, and both are kept.
    page.click_on("#review-afresh");
    assert_eq!(page.text("#kept-back"), "");
    assert_fresh(&review(&inspector));
    page.click_on("#undo");
    assert_worked(&review(&inspector));
    page.click_on("#redo");
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    std::thread::sleep(Duration::from_millis(1000));
    inspector.page.crash();
    inspector.page.go(&inspector.server.page());
    inspector.wait_for_model(demo::NAME);
    settled(&inspector.page);
    assert_fresh(&review(&inspector));
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}

#[test]
fn a_review_of_another_model_asks_or_waits_for_its_own() {
    let inspector = opened();
    let page = &inspector.page;
    work(&inspector);
    let text = inspector.saved_by("#review-save");
    let worked = review(&inspector);
    let path = written("of the demo.review.json", &text);

    // The same shape in other bytes: asked, left, asked again, used.
    let plain = rakelight_core::demo::bramble::step(rakelight_core::demo::bramble::Revision::A);
    let again = written("sent again.step", &format!("{plain}\n"));
    inspector.choose(&again);
    inspector.wait_for_model("sent again.step");
    settled(page);
    assert!(page.text("#kept-carried").contains(demo::NAME), "what goes on is told");
    page.click_on("#review-afresh");
    assert_fresh(&review(&inspector));
    inspector.choose(&path);
    page.wait("document.querySelector('#review-other')", SOON);
    let said = page.text("#review-other");
    assert!(said.contains(demo::NAME) && said.contains("sent again.step"), "{said}");
    assert_fresh(&review(&inspector));
    page.click_on("#review-leave");
    assert_eq!(page.text("#review-other"), "");
    inspector.choose(&path);
    page.wait("document.querySelector('#review-other')", SOON);
    page.click_on("#review-use");
    page.wait("document.querySelector('#slips').innerText.includes('is in use')", SOON);
    let used = review(&inspector);
    assert_eq!(used["review"], worked["review"]);
    assert_ne!(used["model"]["hash"], worked["model"]["hash"]);
    let marked = page.ask("document.querySelectorAll('#finding-list [data-finding]').length");
    assert!(marked.as_i64() > Some(1), "{marked}");

    // A model of the same bytes under another name is the same model.
    let renamed = written("renamed.step", &plain);
    inspector.choose(&renamed);
    inspector.wait_for_model("renamed.step");
    settled(page);
    let back = review(&inspector);
    assert_eq!((&back["model"]["hash"], &back["model"]["name"]), (&worked["model"]["hash"], &json!("renamed.step")));
    assert_eq!(back["review"], worked["review"]);

    // With no model open it waits for its own.
    let missing = format!("{}?open=open/none.step", inspector.server.folder());
    page.go(&missing);
    page.wait("document.documentElement.dataset.state === 'failed'", LONG);
    inspector.choose(&path);
    page.wait("document.querySelector('#review-waits')", SOON);
    assert!(page.text("#review-waits").contains(demo::NAME));
    page.click_on("#demo-button");
    inspector.wait_for_model(demo::NAME);
    page.wait("document.querySelector('#slips').innerText.includes('is in use')", SOON);
    assert_eq!(page.text("#review-waits"), "");
    assert_eq!(review(&inspector)["review"], worked["review"]);
    // A revision that is called the same has no part in what was said of the other's faces.
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("sent anew");
    fs::create_dir_all(&folder).expect("a folder");
    let anew = folder.join(demo::NAME);
    fs::write(&anew, format!("{plain}\n\n")).expect("a file");
    inspector.choose(&anew);
    page.wait("document.querySelector('#slips').innerText.includes('stay with that')", LONG);
    inspector.wait_for_model(demo::NAME);
    let next = review(&inspector);
    assert_eq!((&next["review"]["marks"], &next["review"]["limits"]), (&json!({}), &worked["review"]["limits"]));
    page.click_on("#undo");
    assert_eq!(review(&inspector)["review"], worked["review"]);
    let mine: Vec<String> = page.problems().into_iter().filter(|one| !one.contains("none.step")).collect();
    assert_eq!(mine, Vec::<String>::new());
}

#[test]
fn two_tabs_do_not_write_over_each_other() {
    let inspector = opened();
    let first = &inspector.page;
    first.click_on("#pass-highlights");
    inspector.enter("#lamp-azimuth", "11");
    settled(first);

    let second = first.second();
    second.calm();
    second.go(&inspector.server.page());
    second.to_front();
    second.wait("document.documentElement.dataset.kept === 'elsewhere'", LONG);
    let said = second.text("#kept-elsewhere");
    assert!(said.contains("Another tab") && said.contains("not kept"), "{said}");
    let azimuth = |page: &Page| page.ask("Number(document.querySelector('#lamp-azimuth').value)");
    let enter = |page: &Page, value: &str| {
        page.ask(&format!(
            "{{ const box = document.querySelector('#lamp-azimuth'); box.value = '{value}'; box.dispatchEvent(new Event('change')); }}"
        ));
    };
    assert_eq!(azimuth(&second), json!(11), "what is kept is shown here too");
    enter(&second, "22");
    std::thread::sleep(Duration::from_millis(900));
    assert!(stored(&second).contains("\"azimuth\":11"), "not kept from here");

    second.click_on("#take-over");
    second.wait("document.documentElement.dataset.kept === 'here'", SOON);
    assert_eq!(second.text("#kept-elsewhere"), "");
    assert_eq!(azimuth(&second), json!(22), "its own changes stay");
    second.wait("document.querySelector('#live').textContent !== ''", SOON);
    assert!(stored(&second).contains("\"azimuth\":22"));
    // What the other had is a step back, and comes again.
    second.click_on("#undo");
    assert_eq!(azimuth(&second), json!(11));
    second.click_on("#redo");
    assert_eq!(azimuth(&second), json!(22));
    settled(&second);

    first.to_front();
    first.wait("document.documentElement.dataset.kept === 'taken'", SOON);
    assert!(first.text("#kept-elsewhere").contains("taken over"));
    enter(first, "33");
    std::thread::sleep(Duration::from_millis(900));
    assert!(stored(first).contains("\"azimuth\":22"), "the first tab keeps nothing now");
    assert_eq!(first.problems(), Vec::<String>::new());
    assert_eq!(second.problems(), Vec::<String>::new());
}

/// The text of the record that was written last.
fn stored(page: &Page) -> String {
    let text = page.ask(
        "new Promise((done, fail) => { const open = indexedDB.open('rakelight'); open.onerror = fail; open.onsuccess = () => { const db = open.result;
            const all = db.transaction('reviews').objectStore('reviews').index('saved').openCursor(null, 'prev');
            all.onsuccess = () => { db.close(); done(all.result?.value.text ?? ''); }; }; })",
    );
    text.as_str().expect("a text").to_owned()
}

#[test]
fn where_nothing_is_stored_it_is_said_and_the_file_offered() {
    let inspector = opened();
    let page = &inspector.page;
    page.before(
        "IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError'); };
         LockManager.prototype.request = () => Promise.reject(new DOMException('no', 'SecurityError'));",
    );
    page.go(&inspector.server.page());
    inspector.wait_for_model(demo::NAME);
    page.wait("document.documentElement.dataset.kept === 'nowhere'", SOON);
    assert_eq!(page.text("#kept-nowhere"), "", "not before there is anything to keep");
    work(&inspector);
    page.wait("document.querySelector('#kept-nowhere')", SOON);
    assert!(page.text("#kept-nowhere").contains("not kept"), "{}", page.text("#kept-nowhere"));
    let saved: Value = serde_json::from_str(&inspector.saved_by("#unkept-save")).expect("JSON");
    assert_worked(&saved);
    page.click_on("#unkept-close");
    page.click_on("#undo");
    std::thread::sleep(Duration::from_millis(900));
    assert_eq!(page.text("#kept-nowhere"), "", "told once");
    assert_eq!(page.problems(), Vec::<String>::new());

    // A disk that is full: the review goes on, and is told of.
    let full = "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };";
    let inspector = {
        drop(inspector);
        opened()
    };
    let page = &inspector.page;
    page.ask(full);
    page.click_on("#pass-highlights");
    inspector.enter("#lamp-azimuth", "12");
    page.wait("document.querySelector('#kept-nowhere')", SOON);
    assert!(page.text("#kept-nowhere").contains("could not be kept"));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_oldest_reviews_go_and_broken_ones_are_put_aside() {
    let inspector = opened();
    let page = &inspector.page;
    let count = || {
        page.ask(
            "new Promise((done, fail) => { const open = indexedDB.open('rakelight'); open.onerror = fail; open.onsuccess = () => { const db = open.result;
                const all = db.transaction(['reviews', 'aside']); const [a, b, c] = [all.objectStore('reviews').count(), all.objectStore('aside').count(), all.objectStore('reviews').getAllKeys()];
                all.oncomplete = () => { db.close(); done([a.result, b.result, c.result.filter((one) => one.startsWith('old')).sort()[0] ?? null]); }; }; })",
        )
    };
    let put = |records: &str| {
        page.ask(&format!(
            "new Promise((done, fail) => {{ const open = indexedDB.open('rakelight'); open.onerror = fail; open.onsuccess = () => {{ const db = open.result;
                const all = db.transaction('reviews', 'readwrite'); {records}.forEach((one) => all.objectStore('reviews').put(one));
                all.oncomplete = () => {{ db.close(); done(true); }}; }}; }})"
        ));
    };
    put("Array.from({ length: 60 }, (_, i) => ({ hash: `old${String(i).padStart(2, '0')}`, saved: i, text: '{}' }))");
    page.click_on("#pass-highlights");
    inspector.enter("#lamp-azimuth", "12");
    page.wait("document.documentElement.dataset.kept === 'saving'", SOON);
    settled(page);
    assert_eq!(count(), json!([50, 0, "old11"]), "the latest fifty, this one among them");

    for (number, text) in ["{\"rakelight_review\":1", "<svg onload=\"globalThis.ran = 1\">", "{\"rakelight_review\": 2}"].iter().enumerate()
    {
        let hash = review(&inspector)["model"]["hash"].clone();
        put(&format!("[{{ hash: {hash}, saved: 1, text: {} }}]", json!(text)));
        page.go(&inspector.server.page());
        inspector.wait_for_model(demo::NAME);
        settled(page);
        let said = page.text("#kept-broken");
        assert!(said.contains("cannot be read"), "{said}");
        assert_fresh(&review(&inspector));
        assert_eq!(count()[1], json!(number + 1), "nothing is thrown away");
        assert_eq!(inspector.saved_by("#broken-save"), *text);
    }
    page.click_on("#broken-close");
    assert_eq!(page.text("#kept-broken"), "");
    assert_eq!(page.ask("typeof ran"), json!("undefined"));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn hostile_reviews_are_refused_by_name_and_change_nothing() {
    let inspector = opened();
    let page = &inspector.page;
    work(&inspector);
    let good: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    let before = review(&inspector);
    let with = |pointer: &str, value: Value| {
        let mut file = good.clone();
        let (parent, name) = pointer.rsplit_once('/').expect("a pointer");
        match file.pointer_mut(parent).expect("an entry") {
            Value::Object(all) => drop(all.insert(name.replace("~1", "/"), value)),
            Value::Array(all) => all[name.parse::<usize>().expect("an index")] = value,
            other => panic!("{pointer}: {other}"),
        }
        file.to_string()
    };
    let markup = json!("<svg/onload=globalThis.ran=1><script>globalThis.ran=1</script>");
    let deep = |levels: usize| format!("{}{}", "[".repeat(levels), "]".repeat(levels));
    let text = good.to_string();
    let cut = text[..text.len() / 2].to_owned();
    let line = json!({"text": "one"});
    let cases: Vec<(&str, String, &str)> = vec![
        ("half", cut, "JSON"),
        ("other json", json!({"findings": []}).to_string(), "rakelight_review"),
        ("later", with("/rakelight_review", json!(2)), "later version"),
        ("form", with("/rakelight_review", json!("1")), "rakelight_review"),
        ("form below", with("/rakelight_review", json!(0)), "rakelight_review"),
        ("no model", with("/model", Value::Null), "model"),
        ("hash", with("/model/hash", json!("ab")), "model.hash"),
        ("hash markup", with("/model/hash", markup.clone()), "model.hash"),
        ("name", with("/model/name", json!({"toString": 1})), "model.name"),
        ("long name", with("/model/name", json!("n".repeat(301))), "model.name"),
        ("size", with("/model/size", json!(-1)), "model.size"),
        ("saved", with("/saved", markup.clone()), "saved"),
        ("no time", with("/saved", json!("Monday")), "saved"),
        ("review", with("/review", json!([])), "review"),
        ("yardstick", with("/review/yardstick", json!("__proto__")), "review.yardstick"),
        ("limits", with("/review/limits", json!([])), "review.limits"),
        ("falling", with("/review/limits/visible/g1", json!([3, 2, 1])), "review.limits.visible.g1"),
        ("limit", with("/review/limits/visible/g1/0", json!("1")), "review.limits.visible.g1.0"),
        ("below", with("/review/limits/visible/g1/0", json!(-1)), "review.limits.visible.g1.0"),
        ("lamps", with("/review/lamps/count", json!(1e9)), "review.lamps.count"),
        ("family", with("/review/lamps/family", markup.clone()), "review.lamps.family"),
        ("half a lamp", with("/review/lamps/count", json!(1.5)), "review.lamps.count"),
        ("null lamp", with("/review/lamps/azimuth", Value::Null), "review.lamps.azimuth"),
        ("form view", with("/review/form/view", json!("constructor")), "review.form.view"),
        ("form range", with("/review/form/range", json!([2, 1])), "review.form.range"),
        ("plane", with("/review/plane", json!({"normal": [0, 0, 0]})), "review.plane.normal"),
        ("points", with("/review/plane", json!({"points": [[0, 0, 0]]})), "review.plane.points"),
        ("search", with("/review/search", json!(0)), "review.search"),
        ("making", with("/review/making/sheet", json!(-2)), "review.making.sheet"),
        ("draft", with("/review/making/draft", json!(1)), "review.making.draft"),
        ("pull", with("/review/pull", json!([0, 1])), "review.pull"),
        ("marks", with("/review/marks", json!([])), "review.marks"),
        ("key", with("/review/marks/__proto__", json!({"state": "agreed"})), "review.marks.__proto__"),
        ("state", with("/review/marks", json!({"join.tangent|1|2": {"state": "<b>"}})), "state"),
        ("no reason", with("/review/marks", json!({"join.tangent|1|2": {"severity": "good"}})), "review.marks.join.tangent|1|2"),
        ("reason", with("/review/marks", json!({"join.tangent|1|2": {"state": "agreed", "reason": "r".repeat(501)}})), "reason"),
        ("section", with("/review/sections", json!([{"axis": [0, 0, 0], "at": 1}])), "review.sections.0.axis"),
        ("sections", with("/review/sections", json!(vec![json!({"axis": [1, 0, 0], "at": 1}); 61])), "review.sections"),
        ("underlay", with("/review/underlay", json!({"file": "a.png"})), "review.underlay"),
        ("lines", with("/review/checklist", json!(vec![line.clone(); 201])), "review.checklist"),
        ("line", with("/review/checklist", json!([line, {"text": "x", "note": 7}])), "Line 2"),
        ("camera", with("/view/camera/pitch", json!(9)), "view.camera.pitch"),
        ("pass", with("/view/pass", json!(["joins"])), "view.pass"),
        ("deep", text.replacen("\"marks\":{", &format!("\"marks\":{{\"a|b\":{},", deep(100_000)), 1), "review.marks.a|b"),
        ("endless", text.replacen("\"azimuth\":77", "\"azimuth\":1e999", 1), "review.lamps.azimuth"),
    ];
    for (name, text, told) in &cases {
        let path = written(&format!("hostile {name}.json"), text);
        page.ask("document.querySelector('#failure-dismiss')?.click()");
        inspector.choose(&path);
        page.wait("document.querySelector('#failure')", SOON);
        let said = page.text("#failure");
        assert!(said.contains(told), "{name}: {said}");
        assert!(said.len() < 800, "{name}: {} characters", said.len());
    }
    page.click_on("#failure-dismiss");
    let huge = written("huge.review.json", &text.replacen('{', &format!("{{\"more\":\"{}\",", "x".repeat(21 << 20)), 1));
    inspector.choose(&huge);
    page.wait("document.querySelector('#failure')", SOON);
    assert!(page.text("#failure").contains("20 MB"), "{}", page.text("#failure"));
    page.click_on("#failure-dismiss");
    assert_eq!(review(&inspector)["review"], before["review"], "nothing was used of any");
    assert_eq!(inspector.state(), "ready");

    // What is sound but odd is taken as words and no more.
    let mut odd = good.clone();
    odd["review"]["marks"] = json!({"join.tangent|1|2": {"state": "overruled", "reason": markup, "__proto__": {"polluted": 1}}});
    odd["review"]["checklist"] = json!([{"text": markup, "note": markup, "constructor": 1}]);
    odd["review"]["__proto__"] = json!({"polluted": 1});
    odd["__proto__"] = json!({"polluted": 1});
    odd["model"]["name"] = markup.clone();
    odd["model"]["hash"] = json!("0".repeat(64));
    odd["later"] = json!({"deep": [[[[1]]]]});
    inspector.choose(&written("odd.review.json", &odd.to_string()));
    page.wait("document.querySelector('#review-other')", SOON);
    assert!(page.text("#review-other").contains("<script>"), "{}", page.text("#review-other"));
    page.click_on("#review-use");
    page.wait("document.querySelector('#slips').innerText.includes('is in use')", SOON);
    page.click_on("#pass-reference");
    let used = review(&inspector);
    assert_eq!(used["review"]["checklist"][0]["note"], markup);
    assert_eq!(used["review"]["marks"], json!({"join.tangent|1|2": {"state": "open", "severity": "good", "reason": markup}}));
    let clean = page.ask("[typeof ran, typeof ({}).polluted, document.querySelectorAll('#slips svg, #checklist script, #checklist img, body > script').length]");
    assert_eq!(clean, json!(["undefined", "undefined", 0]));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn every_part_of_a_review_has_a_reader_that_takes_what_the_page_begins_with() {
    let inspector = opened();
    let told = inspector.page.ask(
        "Promise.all([import('./review-file.js'), import('./state.js')]).then(([{ PARTS, readReview }, { INITIAL }]) => {
            const lacking = Object.keys(INITIAL.review).filter((part) => !PARTS[part]);
            const model = { name: 'm', size: 1, hash: '0'.repeat(64) };
            const file = (review) => ({ rakelight_review: 1, saved: '2030-01-31T12:00:00Z', model, review });
            const same = (review) => JSON.stringify(readReview(file(review)).review) === JSON.stringify(INITIAL.review);
            const wrong = Object.keys(INITIAL.review).filter((part) => { try { readReview(file({ [part]: Symbol() })); return true; } catch (error) { return !error.message.startsWith(`Entry review.${part}`); } });
            const pins = (value) => { try { return PARTS.pins(value, 'review.pins', []); } catch (error) { return error.message; } };
            return [lacking, wrong, same(INITIAL.review), same({}), Array.isArray(pins([])), typeof pins({}), typeof pins(JSON.parse('[{\"__proto__\": 1}]'))];
        })",
    );
    assert_eq!(told, json!([[], [], true, true, true, "string", "string"]));
}
