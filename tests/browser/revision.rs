//! An earlier revision beside the open model: what became of its findings, by the core's own word.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::finding::Zone;
use rakelight_core::math::Vec3;
use rakelight_core::progress::Silent;
use rakelight_core::review::revision::RevisionRecord;
use rakelight_core::review::{Beside, Check, FindingRecord, Opened, Options, ZonePlan, run_beside};
use rakelight_core::section::{Plane, Precision, SectionFace, SectionLine, apart, section};
use rakelight_core::tessellate::{Tolerance, tessellate};
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(120);

fn file(name: &str, bytes: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).expect("a file");
    path
}

fn of_the_core(zone: Zone) -> RevisionRecord {
    checked(zone).revision.expect("a record")
}

fn checked(zone: Zone) -> Check {
    let [a, b] = [Revision::A, Revision::B].map(|r| bramble::step(r).into_bytes());
    let beside = Beside { reference: None, earlier: Some(("before.step", &a)) };
    let options = Options { zones: ZonePlan::all(zone), ..Options::default() };
    run_beside(&b, "now.step", beside, &options, &mut Silent, &mut || 0.0).expect("a check")
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
    // A size that a wrong unit would explain is doubted, another one is not.
    let doubts = page.ask(
        "import('./revision.js').then(({ unitDoubt }) => [[1, 25.4], [1000, 1], [300, 1], [2, 1], [1, 1], [0, 1]].map(([before, now]) => {
            const box = (size) => [[5, 5, 5], [5 + size, 5 + 2 * size, 5]];
            return unitDoubt({ earlier: { bbox: box(before) }, model: { summary: { bbox: box(now) } } })?.larger ?? null;
        }))",
    );
    assert_eq!(doubts, json!(["now", "earlier", "earlier", null, null, null]));
    assert_eq!(page.ask("document.querySelector('#earlier-close').hidden"), Value::Bool(true));
}

/// A finding's name on the page.
fn key(f: &FindingRecord) -> String {
    let faces: Vec<String> = f.faces.iter().map(usize::to_string).collect();
    let at = || f.place.point.map(|x| format!("{:.3}", x.0)).join(" ");
    format!("{}|{}|{}", f.measure, faces.join("+"), f.join.map_or_else(at, |j| j.to_string()))
}

fn cut(revision: Revision, plane: &Plane) -> Vec<SectionLine> {
    let bytes = bramble::step(revision).into_bytes();
    let opened = Opened::read(&bytes, "a.step", &Options::default(), &mut Silent, &mut || 0.0).expect("our own file");
    let model = &opened.prepared.import.model;
    let meshes = tessellate(model, &opened.prepared.domains, &Tolerance::for_model(model), &mut Silent);
    let faces = SectionFace::all(&opened.prepared.sheets(), &meshes, &opened.graph);
    section(plane, &faces, &opened.graph, &Precision::default())
}

fn length(lines: &[SectionLine]) -> f64 {
    lines.iter().filter_map(|l| l.points.last()).map(|p| p.along).sum()
}

#[test]
fn what_was_said_of_one_revision_goes_on_to_the_next() {
    let (a, b) = (file("before.step", bramble::step(Revision::A).as_bytes()), file("now.step", bramble::step(Revision::B).as_bytes()));
    let check = checked(Zone::Visible);
    let record = check.revision.as_ref().expect("a record");
    let of = |fate: &str| record.findings.iter().find(|c| c.fate == fate).unwrap_or_else(|| panic!("none is {fate}"));
    let was = |fate: &str| key(of(fate).was.as_ref().expect("an earlier finding"));
    let now = key(&check.findings[of("same").now.expect("a finding")]);

    let inspector = Inspector::open(Some(&a));
    let page = &inspector.page;
    let number = |expression: &str| page.ask(expression).as_f64().unwrap_or_else(|| panic!("no number: {expression}"));
    let rows = |like: &str| number(&format!("document.querySelectorAll('#finding-list {like}').length")) as usize;
    let typed = |words: &str| page.ask(&format!("document.execCommand('insertText', false, '{words}')"));
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model("before.step");
    // Judgements of one finding that stays and of one that will be fixed, a pin, and a section with a name.
    for (finding, state) in [(was("same"), "#mark-agreed"), (was("fixed"), "#mark-waived")] {
        page.ask(&format!("document.querySelector('[data-finding={finding:?}]').click()"));
        page.click_on(state);
    }
    page.click_on("#pin-add");
    page.key("Enter");
    page.wait("document.activeElement.id === 'pin-title'", SOON);
    typed("Look here");
    page.click_on("#pass-form");
    page.click_on("#sections-on");
    page.click_on("#section-y");
    page.click_on("#sections-single");
    page.ask("(() => { const s = document.querySelector('#section-at'); s.value = '100'; s.dispatchEvent(new Event('input')); })()");
    let plane = Plane { normal: Vec3::Y, offset: number("Number(document.querySelector('#section-at').value)") };
    page.click_on("#section-keep");
    typed("Shoulder");
    let named = |what: &str| number(&format!("Number(document.querySelector('#named-list li')?.dataset.{what})"));
    let [on_a, on_b] = [Revision::A, Revision::B].map(|r| cut(r, &plane));
    page.wait(&format!("document.querySelector('#named-list li').dataset.length === String({:?})", length(&on_a)), SOON);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);

    // The next revision: the section is there and cuts it anew; judgements and pins are not.
    inspector.choose(&b);
    inspector.wait_for_model("now.step");
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    page.wait(&format!("document.querySelector('#named-list li')?.dataset.length === String({:?})", length(&on_b)), SOON);
    assert_eq!(page.ask("document.querySelector('#section-name-1').value"), "Shoulder");
    page.click_on("#section-show-1");
    page.wait("document.querySelector('#section-found [data-lines]')", SOON);
    page.click_on("#pass-overview");
    page.choose("#earlier-input", &a);
    page.wait("document.querySelector('#earlier-carry')?.dataset.count === '2'", SOON);
    let said = page.text("#earlier-review");
    assert!(said.contains("2 judgements, 1 pin, 1 named section"), "{said}");
    assert_eq!((rows(".agreed"), rows("[data-pin]")), (0, 0));

    // One that stays has its judgement, whatever its faces are called; one that is fixed has none; all is one step.
    page.click_on("#earlier-carry");
    page.wait("document.querySelector('#earlier-carry').dataset.count === '0'", SOON);
    let carried = || (rows(".agreed"), rows(".waived"), rows("[data-pin]"));
    assert_eq!(carried(), (1, 0, 1));
    assert_eq!(rows(&format!(".agreed[data-finding={now:?}]")), 1, "{now}");
    assert!(page.text("#finding-list [data-pin]").contains("Look here"));
    page.click_on("#undo");
    assert_eq!(carried(), (0, 0, 0));
    page.click_on("#redo");
    assert_eq!(carried(), (1, 0, 1));
    // A judgement made here stays.
    page.ask(&format!("document.querySelector('[data-finding={now:?}]').click()"));
    page.click_on("#mark-waived");
    assert_eq!(number("Number(document.querySelector('#earlier-carry').dataset.count)"), 0.0);
    // A review of other bytes is refused by name.
    let own = file("of the next.review.json", inspector.saved_by("#review-save").as_bytes());
    page.choose("#earlier-review-input", &own);
    page.wait("document.querySelector('#slips').textContent.includes('a review of other bytes, now.step')", SOON);

    // In the ledger each says what became of it, what is no more is listed at the end, and a fate can be filtered.
    let fates = || ["new", "worse", "better", "same"].map(|fate| rows(&format!(".row-fate[data-fate={fate}]")));
    assert_eq!(fates(), [record.new, record.worse, record.better, record.same]);
    page.click_on("#ledger-more");
    page.click_on("#fate-same");
    assert_eq!(fates(), [record.new, record.worse, record.better, 0]);
    page.click_on("#fate-same");
    let ended = page.ask("['fixed', 'gone'].map((fate) => document.querySelectorAll(`#fixed-list [data-fate=${fate}]`).length)");
    assert_eq!(ended, json!([record.fixed, record.gone]));
    page.click_on("#fixed-list-open");
    page.click_on("#ended-0");

    // Beside and as a map, by one button each; what the reference adds is not taken for new.
    page.click_on("#earlier-beside");
    page.wait("document.querySelector('#beside-second')?.textContent === 'before.step'", SOON);
    page.click_on("#beside-close");
    page.click_on("#earlier-map");
    page.wait("document.querySelector('#reference-facts')?.dataset.rms", SOON);
    page.wait("document.querySelector('#finding-list [data-finding^=\"reference.\"]')", SOON);
    assert_eq!(fates(), [0; 4]);
    page.click_on("#pass-form");
    page.wait("document.querySelector('#named-list li').dataset.apart !== ''", SOON);
    assert_eq!(named("before"), length(&on_a));
    assert_eq!(Some(named("apart")), apart(&on_b, &on_a).map(|x| x.0));
    assert_eq!(page.problems(), Vec::<String>::new());
}
