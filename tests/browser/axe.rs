//! The rules of axe-core for WCAG 2.2 AA over every pass, light and dark, and over what opens on top: no breach.

use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use rakelight_tests::{browser, demo, site};
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);

/// In npm's package as its authors built it; tests/vendor/axe-core/README.md.
pub const AXE: &str = include_str!("../vendor/axe-core/axe.min.js");

/// Rule, element and reason of each node that breaks a rule, then of each that the rules cannot tell.
pub const RUN: &str = "axe.run({ exclude: globalThis.lookedAt ?? [] }, {
    runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] },
    resultTypes: ['violations', 'incomplete'], preload: false,
}).then(({ violations, incomplete }) => [violations, incomplete].map((list) => list.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) =>
        `${id}: ${target.join(' ')}: ${(failureSummary ?? '').split('\\n').slice(1).join(' ').trim()}`))))";

/// A window so high that nothing is scrolled out of sight, where contrast could not be told, with a stage no higher than usual.
const HIGH: u32 = 3000;
const LOW_STAGE: &str =
    "{ const sheet = new CSSStyleSheet(); sheet.replaceSync('#stage { max-height: 40rem }'); document.adoptedStyleSheets = [sheet]; }";

/// What no pass changes, and takes as long as all the rest: looked at once in each theme.
const LEDGER: &str = "globalThis.lookedAt = [['#ledger']]";
const ALL: &str = "globalThis.lookedAt = []";

/// Runs the rules; breaches are gathered, and what cannot be told is counted by its reason.
fn look(inspector: &Inspector, what: &str, breaches: &mut Vec<String>, untold: &mut Vec<String>) {
    let told = inspector.page.ask(RUN);
    let list = |value: &Value| -> Vec<String> {
        value.as_array().expect("a list").iter().map(|one| one.as_str().expect("a text").to_owned()).collect()
    };
    breaches.extend(list(&told[0]).into_iter().map(|one| format!("{what}: {one}")));
    untold.extend(list(&told[1]).into_iter().map(|one| one.rsplit(": ").next().unwrap_or_default().to_owned()));
}

#[test]
fn no_rule_of_wcag_2_2_aa_is_broken_on_any_pass_light_or_dark() {
    let (mut breaches, mut untold) = (Vec::new(), Vec::new());
    let inspector = Inspector { server: site::serve("", None), page: browser::page() };
    let page = &inspector.page;
    page.calm();
    page.resize(1440, HIGH);
    page.go(&format!("{}?open=open/none.step", inspector.server.folder()));
    inspector.wait_for_failure();
    page.ask(AXE);
    page.ask(LOW_STAGE);
    look(&inspector, "welcome", &mut breaches, &mut untold);
    page.click_on("#theme");
    look(&inspector, "welcome, the other theme", &mut breaches, &mut untold);
    page.click_on("#address-button");
    page.wait("document.querySelector('#consent').open", SOON);
    look(&inspector, "consent", &mut breaches, &mut untold);
    page.click_on("#consent-no");
    page.click_on("#demo-button");
    inspector.wait_for_model(demo::NAME);

    let passes = page.ask("[...document.querySelectorAll('[id^=pass-]')].filter((one) => one.matches('button')).map((one) => one.id)");
    let passes: Vec<String> = passes.as_array().expect("passes").iter().filter_map(|one| one.as_str().map(str::to_owned)).collect();
    assert!(passes.len() >= 10, "{passes:?}");
    for round in 0..2 {
        let theme = page.ask("document.documentElement.dataset.theme").to_string();
        for pass in &passes {
            page.ask(if *pass == passes[0] { ALL } else { LEDGER });
            page.ask(&format!(
                "{{ const one = document.querySelector('#{pass}'); if (one.getAttribute('aria-expanded') !== 'true') one.click(); }}"
            ));
            page.wait(&format!("document.querySelector('#{pass}-body').checkVisibility()"), SOON);
            // What a pass lists comes from a worker, once.
            std::thread::sleep(Duration::from_millis(if round == 0 { 700 } else { 100 }));
            page.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
            look(&inspector, &format!("{pass}, {theme}"), &mut breaches, &mut untold);
        }
        page.click_on("#theme");
    }
    page.ask(ALL);

    page.click_on("#link-copy");
    page.wait("document.querySelector('#link-text').value !== '' && !document.querySelector('#link-take').disabled", SOON);
    look(&inspector, "link", &mut breaches, &mut untold);
    page.click_on("#link-close");
    page.ask("document.querySelector('#pass-overview').click()");
    if page.ask("document.querySelector('#ledger-more').getAttribute('aria-expanded')") == "false" {
        page.click_on("#ledger-more");
    }
    page.ask("document.querySelector('#canvas').focus()");
    page.key("i");
    page.key("Enter");
    page.wait("document.querySelector('#pin-title')", SOON);
    look(&inspector, "card of a pin", &mut breaches, &mut untold);
    page.click_on("#finding-list [data-finding^='join.']");
    page.wait("document.querySelector('#trace-plot')", SOON);
    page.click_on("#mark-ask");
    look(&inspector, "card of a finding", &mut breaches, &mut untold);
    page.click_on("#theme");
    page.click_on("#trace-table-toggle");
    look(&inspector, "card of a finding, the other theme", &mut breaches, &mut untold);
    page.resize(390, HIGH);
    page.wait("innerWidth === 390", SOON);
    look(&inspector, "card on a phone", &mut breaches, &mut untold);
    page.click_on("#card-close");
    look(&inspector, "ledger on a phone", &mut breaches, &mut untold);

    untold.sort();
    for reason in untold.chunk_by(|a, b| a == b) {
        println!("not told by axe, {} times: {}", reason.len(), reason[0]);
    }
    assert_eq!(breaches, Vec::<String>::new());
}
