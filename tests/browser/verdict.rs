//! The verdict: scores with their parts, a summary in sentences or in one's own words, a rating; and a whole review of a real file, up
//! to the printed report.

use std::fs;
use std::path::Path;
use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use rakelight_tests::{data, demo};
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);
const LONG: Duration = Duration::from_secs(240);

fn number(inspector: &Inspector, expression: &str) -> f64 {
    let told = inspector.page.ask(&format!("Number({expression})"));
    told.as_f64().unwrap_or_else(|| panic!("{expression}: {told}"))
}

/// Points of a pass.
fn points(inspector: &Inspector, pass: &str) -> f64 {
    number(inspector, &format!("document.querySelector('#scores [data-pass={pass}]').dataset.points"))
}

fn type_into(inspector: &Inspector, selector: &str, text: &str) {
    inspector.page.ask(&format!(
        "(() => {{ const box = document.querySelector('{selector}'); box.focus(); box.value = {text:?}; box.dispatchEvent(new Event('input', {{ bubbles: true }})); \
         box.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()"
    ));
}

fn numbers(text: &str) -> Vec<f64> {
    text.split_whitespace().map(|x| x.parse().expect("a number")).collect()
}

#[test]
fn scores_follow_the_ledger_and_words_and_points_are_kept() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-verdict");
    page.wait("document.querySelector('#scores table')", SOON);

    // Every score is what its formula says, and its points are those of the findings that stand in its pass.
    let scores =
        page.ask("[...document.querySelectorAll('#scores [data-pass]')].map(({ dataset: d }) => [d.pass, d.score, Number(d.points)])");
    let mut judged = 0;
    for row in scores.as_array().expect("rows") {
        let (pass, points) = (row[0].as_str().expect("a name"), row[2].as_f64().expect("points"));
        if let Ok(score) = row[1].as_str().expect("a score").parse::<f64>() {
            assert_eq!(score, (100.0 * 20.0 / (20.0 + points)).round(), "{row}");
            judged += 1;
        }
        page.ask(&format!("(() => {{ const box = document.querySelector('#ledger-pass'); box.value = '{pass}'; box.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()"));
        let listed = number(
            &inspector,
            "[...document.querySelectorAll('#finding-list .row')].reduce((sum, { dataset: d }) => sum + ({ serious: 10, fix: 3, polish: 1 }[d.severity] ?? 0), 0)",
        );
        assert_eq!(points, listed, "{pass}");
    }
    assert!(judged >= 6, "{scores}");
    page.click_on("#ledger-all");

    // What is waived has no points; the pass of it says so. Undo brings them back.
    let key = page.ask("document.querySelector('#finding-list [data-severity=serious]').dataset.finding");
    let serious = page.text("#summary [data-of=serious]");
    page.click_on("#finding-list [data-severity=serious]");
    let measure = key.as_str().expect("a key").split('.').next().expect("a measure").to_owned();
    let pass = match measure.as_str() {
        "join" => "joins",
        "highlight" => "highlights",
        "fillet" => "fillets",
        "gap" | "edge" => "gaps",
        other => other,
    };
    let before = points(&inspector, pass);
    page.click_on("#mark-waived");
    page.wait(&format!("Number(document.querySelector('#scores [data-pass={pass}]').dataset.points) === {}", before - 10.0), SOON);
    assert_ne!(page.text("#summary"), serious);
    assert!(page.text(&format!("#scores [data-pass={pass}]")).contains("1 waived"));

    // One's own words stay while findings change.
    page.click_on("#summary-own");
    page.wait("document.activeElement.id === 'summary-words'", SOON);
    assert!(page.ask("document.querySelector('#summary-words').value.includes('Serious:')") == Value::Bool(true));
    type_into(&inspector, "#summary-words", "Not to be released. <b>Two</b> ridges first.");
    page.click_on("#mark-open");
    page.wait(&format!("Number(document.querySelector('#scores [data-pass={pass}]').dataset.points) === {before}"), SOON);
    assert_eq!(page.ask("document.querySelector('#summary-words').value"), "Not to be released. <b>Two</b> ridges first.");

    // A rating by hand: no more than can be had, and its sum.
    page.click_on("#rating-start-handIn");
    type_into(&inspector, "#rating-given-0", "12");
    type_into(&inspector, "#rating-given-1", "99");
    assert_eq!(page.ask("document.querySelector('#rating-given-1').value"), "15");
    let total = "(({ given, of, open }) => [given, of, open].join(' '))(document.querySelector('#rating-total').dataset)";
    assert_eq!(page.ask(total), "27 100 5");
    page.click_on("#undo");
    assert_eq!(page.ask(total), "12 100 6");
    page.click_on("#rating-line-2");
    type_into(&inspector, "#rating-text-2", "Joins, and the centre line");
    page.click_on("#rating-line-3");
    page.click_on("#rating-delete-3");
    assert_eq!(page.ask("document.querySelectorAll('#rating-list > li').length"), 6);

    // All of it is in the review's file.
    let file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    let verdict = &file["review"]["verdict"];
    assert_eq!(verdict["summary"], "Not to be released. <b>Two</b> ridges first.");
    assert_eq!(verdict["rating"][0]["given"], 12);
    assert_eq!(verdict["rating"][2]["text"], "Joins, and the centre line");
    page.click_on("#summary-again");
    assert_eq!(page.text("#summary [data-of=serious]"), serious);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_review_of_a_real_file_goes_from_its_findings_to_the_printed_report() {
    let Some(model) = data::model("nacelle_6patch.stp", "a review up to its report") else { return };
    let inspector = Inspector::open(Some(&model.path));
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model("nacelle_6patch.stp");
    inspector.wait_for_exact();

    // Judged: one is overruled, one waived; a pin with lines drawn for it, and one of them undone.
    page.click_on("#finding-0");
    page.click_on("#mark-ask");
    page.ask("((list) => { list.value = 'serious'; list.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('#mark-severity'))");
    inspector.enter("#mark-reason", "In the light <script>of the hall</script>");
    page.click_on("#mark-overrule");
    page.click_on("#pin-add");
    let (x, y) = inspector.canvas().middle();
    page.click(x, y);
    page.wait("document.querySelector('#pin-title')", SOON);
    type_into(&inspector, "#pin-title", "A dent <img src=x onerror=alert(1)>");
    page.click_on("#pin-draw");
    for dy in [0.0, 40.0] {
        page.drag((x - 60.0, y + dy), (x + 60.0, y + dy + 20.0), "left");
    }
    page.click_on("#pin-draw-done");
    page.wait("document.querySelectorAll('#pin-sheet path').length === 2", SOON);
    page.click_on("#undo");
    page.wait("document.querySelectorAll('#pin-sheet path').length === 1", SOON);

    // The report: a page with pictures that the dialog shows, and nothing of what was chosen is lost for it.
    page.click_on("#pass-verdict");
    page.wait("document.querySelector('#scores table')", SOON);
    page.click_on("#report-make");
    page.wait("document.querySelector('#report-page') && !document.querySelector('.report-shown').hidden", LONG);
    let report = page.ask("document.querySelector('#report-page').srcdoc");
    let report = report.as_str().expect("a page").to_owned();
    assert!(report.matches("data:image/jpeg;base64,").count() >= 2, "{}", report.len());
    assert!(!report.contains("<script") && !report.contains("<img src=x"));
    assert!(report.contains("nacelle_6patch.stp") && report.contains("A dent &lt;img"));
    // Its own style holds in the frame, under the page's policy.
    page.wait("document.querySelector('#report-page').contentDocument.querySelector('h1')", SOON);
    let styled = "getComputedStyle(document.querySelector('#report-page').contentDocument.querySelector('table')).borderCollapse";
    assert_eq!(page.ask(styled), "collapse");
    page.click_on("#report-close");
    assert_eq!(page.ask("document.querySelector('#report').open"), Value::Bool(false));
    assert!(page.ask("document.querySelector('#pin-title')?.value ?? ''").as_str().expect("words").starts_with("A dent"));
    assert_eq!(page.problems(), Vec::<String>::new());

    // Printed on both papers, each page of the paper's size.
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report.html");
    fs::write(&path, &report).expect("a file");
    let second = page.second();
    second.go(&format!("file://{}", path.display()));
    for (width, height) in [(8.27, 11.69), (8.5, 11.0)] {
        let pdf = second.print(width, height);
        let text = String::from_utf8_lossy(&pdf);
        let sizes: Vec<Vec<f64>> = text.split("/MediaBox [0 0 ").skip(1).filter_map(|rest| rest.split(']').next()).map(numbers).collect();
        assert!(sizes.len() >= 2 && sizes.len() == text.matches("/Type /Page\n").count(), "{} pages", sizes.len());
        // Points, within one of the paper's.
        assert!(sizes.iter().all(|s| (s[0] - 72.0 * width).abs() < 1.0 && (s[1] - 72.0 * height).abs() < 1.0), "{sizes:?}");
    }
    assert_eq!(second.problems(), Vec::<String>::new());
}
