//! The worker's verdict and reports: what the page is given is what the command line prints.

use std::ffi::OsString;
use std::fs;
use std::path::Path;

use rakelight_pack::command;
use rakelight_pack::site::DEMO;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::{demo, site};
use serde_json::Value;

/// A worker of its own, the demo in it, a review as the page writes it, and every answer by its form.
const WALK: &str = r#"(async () => {
  const { message } = await import('./protocol.js');
  const { writeReview } = await import('./review-file.js');
  const { INITIAL } = await import('./state.js');
  const module = await WebAssembly.compileStreaming(fetch('rakelight_bg.wasm'));
  const bytes = await (await fetch('DEMO')).arrayBuffer();
  const worker = new Worker('worker.js');
  let findings = [];
  const ask = (type, fields, answer = type) => new Promise((done, fail) => {
    worker.onmessage = ({ data }) => {
      if (data.type === 'findings') findings = [...findings, ...data.findings];
      if (data.type === 'model') window.summary = data.summary;
      if (data.type === answer) done(data);
      if (data.type === 'failed') fail(new Error(data.error.message));
    };
    worker.postMessage(message(type, fields));
  });
  await ask('start', { module }, 'ready');
  const reading = { unit: null, hidden: false, search: null, plane: null };
  await ask('open', { job: 1, name: 'NAME', bytes, yardstick: 'visible', limits: {}, making: {}, reading }, 'done');
  const { markKey } = await import('./records.js');
  const marks = {
    [markKey('NAME', findings[0])]: { state: 'waived', note: 'as agreed <b>' },
    [markKey('NAME', findings[1])]: { state: 'agreed', severity: 'polish', reason: 'hardly seen' },
  };
  const model = { name: 'NAME', size: 1, hash: window.summary.hash };
  const said = { ...INITIAL.review, marks };
  const text = writeReview({ model, review: said, view: { pass: null, camera: null }, saved: new Date(0) });
  const review = JSON.parse(text);
  const timed = async () => {
    const start = performance.now();
    const { verdict } = await ask('verdict', { job: 2, wish: { review } });
    return [verdict, performance.now() - start];
  };
  const [[, first], [verdict, second]] = [await timed(), await timed()];
  const told = { text, verdict, first, second, keys: Object.keys(review.review.marks) };
  for (const form of ['html', 'markdown', 'findings', 'joins', 'json']) {
    const start = performance.now();
    told[form] = (await ask('report', { job: 3, form, review, made: 'MADE', pictures: [] })).text;
    told[`${form} took`] = performance.now() - start;
  }
  const pixel = 'PIXEL';
  const picture = (of, data) => ({ of, data, alt: 'A view', width: 4, height: 3 });
  const pictures = [picture('whole', pixel), picture({ finding: 2 }, pixel), picture({ pin: 9 }, pixel)];
  told.pictures = (await ask('report', { job: 4, form: 'html', review, made: 'MADE', pictures })).text;
  const odd = [picture('whole', 'data:image/svg+xml;base64,AAAA')];
  told.refused = await ask('report', { job: 5, form: 'html', review, made: 'MADE', pictures: odd }).then(() => '', (e) => e.message);
  told.unknown = await ask('report', { job: 6, form: 'pdf', review, made: 'MADE', pictures: [] }).then(() => '', (e) => e.message);
  worker.terminate();
  return told;
})()"#;

#[test]
fn the_worker_reports_what_the_command_line_prints() {
    const PIXEL: &str =
        "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==";
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    inspector.wait_for_model(demo::NAME);
    let made = made_today();
    let walk = WALK.replace("DEMO", DEMO).replace("NAME", demo::NAME).replace("MADE", &made).replace("PIXEL", PIXEL);
    let told = page.ask(&walk);
    let text = |name: &str| told[name].as_str().unwrap_or_else(|| panic!("{name}: {}", told[name]));
    assert_eq!(told["keys"].as_array().map(Vec::len), Some(2), "{}", told["keys"]);
    println!("verdict: {} ms the first time, {} ms then; html {} ms", told["first"], told["second"], told["html took"]);
    let review = Path::new(env!("CARGO_TARGET_TMPDIR")).join("said.json");
    fs::write(&review, text("text")).expect("a file");
    for form in ["html", "markdown", "findings", "joins", "json"] {
        let printed = printed(form, &review);
        let at = printed.bytes().zip(text(form).bytes()).take_while(|(a, b)| a == b).count();
        let near = |t: &str| String::from_utf8_lossy(&t.as_bytes()[at.saturating_sub(60)..t.len().min(at + 60)]).into_owned();
        assert!(printed == text(form), "{form}: page {:?}, command {:?}", near(text(form)), near(&printed));
    }
    let json: Value = serde_json::from_str(text("json")).expect("JSON");
    assert_eq!(json["verdict"]["summary"], told["verdict"]["summary"]);
    let scores = |verdict: &Value| verdict["passes"].as_array().expect("passes").iter().map(|p| p["score"].clone()).collect::<Vec<_>>();
    assert_eq!(scores(&json["verdict"]), scores(&told["verdict"]));
    let states: Vec<&Value> = json["findings"].as_array().expect("a list").iter().map(|f| &f["state"]).collect();
    assert_eq!(states.iter().filter(|s| **s == "waived").count(), 1);
    assert_eq!(text("pictures").matches("<img ").count(), 2, "a picture of no pin is left out");
    assert!(
        text("refused").contains("no PNG or JPEG") && text("unknown").contains("no such form"),
        "{} {}",
        told["refused"],
        told["unknown"]
    );
    assert_eq!(page.problems(), Vec::<String>::new());
}

fn printed(form: &str, review: &Path) -> String {
    let file = site::packed().folder.join(DEMO);
    let arguments: [OsString; 6] = ["check".into(), file.into(), "--report".into(), form.into(), "--review".into(), review.into()];
    let (mut out, mut err) = (Vec::new(), Vec::new());
    command::run(arguments, &mut out, &mut err);
    assert!(!out.is_empty() && err.is_empty(), "{}", String::from_utf8_lossy(&err));
    String::from_utf8(out).expect("text")
}

/// The date as the command line writes it.
fn made_today() -> String {
    rakelight_pack::date::in_words(std::time::SystemTime::now())
}
