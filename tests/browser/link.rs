//! A link to what is shown: made, opened by somebody else, and made by hostile hands.

use std::fs;
use std::path::Path;
use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use rakelight_tests::open_host::OpenHost;
use rakelight_tests::{browser, damaged, demo, site};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);
const LONG: Duration = Duration::from_secs(120);

/// A link of version 1 as it was first made, with a model of one plane face in it. It has to open for ever.
pub const KEPT: &str = "#v1.dBsDtwUfiwgAAAAAAAADhZXNrpswEIX3eYpIVAKuCPLYpItGLHzBN7EENsJOdHdWF32Atur7d2wTIH-t4pCEOWfsb-wM0ugd\
    EEbYjsJhcxK8FeNh8yE74VphmlEOVmqVZWmaFyk9QJpPUcV7kaW_f_75_utHiiFCv-4I4LCEfAsjLYIrWtM4rm7TnETPMS0_W91rKy9hPnlUaY4aoVojmsOm5ZYfNgnU5i\
    S6zr1zI1pnzuMHb4TrdSs6zF5kCfWmhNZ6EMoFbbzPwn1W8_bCVYNeb4yhKi8SSorSll5S1SGlPlsxund9Vq1XJftrfF-L9ihcp_UQ7fCVFHgBf6H-EqeipB46rsIcCYVw\
    C2r-KQ11GGhEL5R1LGanaKQM31XQ0brho8UicOUGLZUNM5GyCCOmZ3UrR9GEPVmiMEWruyisvUDI_ycAIPVFoOhzUXhniCHcv_Izb22sHqMJiwuhdlCRupNTTTBX4aUhsC\
    exrM15vExh8GHwZa3mzcFa13qUWDncQW_w0jd8-QyziMBTPLjjg2d8EPngsbqw4oNbPpj5YM3n185iwj088vkw-BNTwcIHL_kWEXl-PjwfrAHpM0AaAekd4O5uB-ktIZ0J\
    6ZrQr57FjHv6SOjDwDwhXQjpS8JFRNirA3oDyJ4Bsgj45P-xW28huwVkMyBbA_rFs5hxzx4B2fWcVmwBZC8BZxHFf2DPlfzQ3dLFzIkPwo1iGIVBO5-XnkDoIL5LxT6CBz\
    w7Ct0LO8rmzuEajVN_2ozl22On33nnzkpax43vqbimaxx7pd8_6hkpqfJ8-yJRbNdxYlpnnVBHewpJs3zrm38bf7zlWyPj17KXXSfLovRLFFNPwk3NbuWhQTqujvgcmPJd\
    M3wpypG3uP1Xc3VvXikN9upJvDW6k-1NztVTBD938uY59xdPHj_89gYAAApwbGF0ZS5zdGVwAqEu9UbWu0TV1nrgutHuuQFYRs8wSwoVQPphlzhqhhFAlPNpMmlo9b_NzM\
    zMzMzsv83MzMzMzNw_WCmOA6ZFPEAAC3BlcnNwZWN0aXZlAApoaWdobGlnaHRzAAd2aXNpYmxlAAAIaXNvcGhvdGUAoP9dAICfSQAAAMAMAPCTCQCgy5gBAJBOAKCcAQAB\
    AAxqb2luLnRhbmdlbnQDMHwxAAZhZ3JlZWQAABpBcyBhZ3JlZWQgPGI-b248L2I-IE1vbmRheQABAxBEZW50IDxiPmhlcmU8L2I-ElNlZW4gZnJvbSB0aGUgbGVmdAADZm\
    l4AARvcGVuAACAQAAAoEAAAAAAAVpSqEBSM4xASkOrv2ZmZr9mZuY-MC3iQQEBAgEDwwQAAIgJAAAAxAQAOXsic2VhcmNoIjowLjA1LCJsaW1pdHMiOnsidmlzaWJsZSI6\
    eyJnMSI6WzAuMSwwLjIsMC40XX19fQ";

const LEDGER: &str =
    "[...document.querySelectorAll('#ledger-list .row')].map((row) => [row.dataset.finding ?? '', row.dataset.pin ?? '', row.innerText])";

/// A page of a profile of its own, at a link.
fn at(fragment: &str) -> Inspector {
    let inspector = Inspector { server: site::serve("", None), page: browser::page() };
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.page.go(&format!("{}{fragment}", inspector.server.folder()));
    inspector
}

/// What the dialog says: the link after its page, and where the model comes from.
fn link(inspector: &Inspector) -> (String, String) {
    let page = &inspector.page;
    page.click_on("#link-copy");
    page.wait("document.querySelector('#link-text').value !== '' && !document.querySelector('#link-take').disabled", SOON);
    let text = page.ask("document.querySelector('#link-text').value").as_str().expect("a link").to_owned();
    assert_eq!(page.ask("Number(document.querySelector('#link-length').dataset.length)"), json!(text.len()));
    assert!(text.starts_with(&format!("{}#v1.", inspector.server.folder())), "{text}");
    let source = page.text("#link-source");
    page.click_on("#link-take");
    page.wait("document.querySelector('#link-said').textContent !== ''", SOON);
    page.click_on("#link-close");
    (text[text.find('#').expect("a fragment")..].to_owned(), source)
}

/// Waits until nothing runs and looks at the picture and, with all passes, the ledger.
fn seen(inspector: &Inspector) -> (rakelight_tests::picture::Picture, Value) {
    let page = &inspector.page;
    page.wait("document.documentElement.dataset.kept === 'here' && document.documentElement.dataset.state === 'ready'", LONG);
    page.ask("document.querySelector('#slips .row-slip button')?.click()");
    page.wait("document.querySelector('#slips').innerText.trim() === ''", SOON);
    page.ask("document.activeElement.blur()");
    page.hover(2.0, 2.0);
    // What lies over the canvas follows a frame later: the picture counts when it stays.
    let mut picture = page.picture(inspector.canvas());
    loop {
        page.wait("document.documentElement.dataset.state === 'ready'", LONG);
        inspector.wait_for_exact();
        std::thread::sleep(Duration::from_millis(400));
        let next = page.picture(inspector.canvas());
        if std::mem::replace(&mut picture, next) == picture {
            break;
        }
    }
    page.click_on("#pass-overview");
    page.wait("document.querySelectorAll('#ledger-list .row').length > 5", LONG);
    let ledger = page.ask(LEDGER);
    page.click_on("#pass-highlights");
    inspector.wait_for_exact();
    (picture, ledger)
}

fn review(inspector: &Inspector) -> Value {
    let mut file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    file["review"].take()
}

#[test]
fn a_link_shows_another_profile_the_same_picture_and_ledger() {
    let first = at("");
    let page = &first.page;
    first.wait_for_model(demo::NAME);
    page.wait("document.documentElement.dataset.kept === 'here'", LONG);
    page.ask("document.querySelectorAll('#finding-list [data-finding]')[0].click()");
    page.click_on("#mark-agreed");
    page.ask("document.querySelector('#finding-list [data-finding^=\"rows.evenness\"]').click()");
    page.click_on("#pass-trials");
    page.ask("((box) => { box.value = 'crown'; box.dispatchEvent(new Event('change')); })(document.querySelector('#make-kind'))");
    first.enter("#make-third1", "2.5");
    page.click_on("#make-add");
    page.wait("document.querySelector('#trial-list [data-state=made]')", LONG);
    page.click_on("#pass-joins");
    page.wait("document.querySelector('#limit-polish')?.offsetParent", SOON);
    first.enter("#limit-polish", "0.07");
    page.click_on("#pass-highlights");
    first.enter("#lamp-azimuth", "77");
    let (x, y) = first.canvas().middle();
    page.drag((x, y), (x - 61.0, y + 23.0), "left");
    page.click_on("#pin-add");
    page.wait("document.querySelector('#surface').dataset.pen === 'aim'", SOON);
    page.click(x, y);
    page.wait("document.querySelector('#pin-title')", SOON);
    page.ask("document.execCommand('insertText', false, 'Crown <b>too</b> flat')");
    page.click_on("#card-close");
    // What differs from the other page's own beginning, so that this cannot be the same by itself.
    assert!(page.ask(LEDGER).to_string().contains("Crown <b>too</b> flat"));
    let (picture, ledger) = seen(&first);
    let (fragment, source) = link(&first);
    assert!(source.contains("demo"), "{source}");
    assert!(fragment.len() < 1000, "{} characters", fragment.len());
    assert!(picture.colours() > 100);
    let own = review(&first);
    assert_eq!(page.problems(), Vec::<String>::new());
    drop(first);

    let second = at(&fragment);
    let page = &second.page;
    second.wait_for_model(demo::NAME);
    page.wait("document.querySelector('#slips').innerText.includes('in the link is in use')", LONG);
    page.wait("document.querySelector('#trial-after')", LONG);
    let (other, rows) = seen(&second);
    assert_eq!(rows, ledger);
    let off = picture.difference(&other, 0);
    println!("{} characters; {:.5} % of the pixels differ", fragment.len(), 100.0 * off);
    if off > 0.001 {
        // To be looked at.
        picture.save(&Path::new(env!("CARGO_TARGET_TMPDIR")).join("link-sent.png"));
        other.save(&Path::new(env!("CARGO_TARGET_TMPDIR")).join("link-opened.png"));
    }
    assert!(off <= 0.001, "{off}");
    let mine = review(&second);
    assert_eq!(own["trials"][0]["edit"]["by"], json!([0, 2.5, 0]));
    for part in ["marks", "limits", "lamps", "yardstick", "zones", "trials"] {
        assert_eq!(mine[part], own[part], "{part}");
    }
    assert_eq!(mine["pins"][0]["title"], "Crown <b>too</b> flat");
    assert_eq!(link(&second).0, fragment, "sent on, it is the same link");

    // One step back, and forth; loaded anew, what was made of it since counts.
    page.click_on("#undo");
    assert_eq!(review(&second)["pins"], json!([]));
    page.click_on("#redo");
    // However short it is kept waiting.
    page.ask(
        "((root) => {
            const look = () => { globalThis.saving ||= root.dataset.kept === 'saving'; };
            new MutationObserver(look).observe(root, { attributes: true });
            look();
        })(document.documentElement)",
    );
    second.enter("#lamp-azimuth", "11");
    page.wait("globalThis.saving", SOON);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    page.ask("globalThis.old = true; location.reload()");
    page.wait("globalThis.old === undefined && document.documentElement?.dataset.kept === 'here'", LONG);
    second.wait_for_model(demo::NAME);
    assert_eq!(review(&second)["lamps"]["azimuth"], 11);
    assert_eq!(page.ask("document.querySelector('#kept-back') !== null"), json!(true));
    for address in page.requests() {
        assert!(!address.contains("v1."), "the link went to a host: {address:.200}");
        assert!(address.starts_with(&second.server.folder()) || address.starts_with("blob:") || address.starts_with("data:"), "{address}");
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn links_bring_a_model_ask_for_an_address_tell_another_model_and_are_refused_by_name() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let square = folder.join("square <b>.step");
    fs::write(&square, damaged::one_face("#20=PLANE('',#21);")).expect("a file");
    let missing = at(KEPT);
    let page = &missing.page;
    missing.wait_for_model("plate.step");
    page.wait("document.querySelector('#slips').innerText.includes('in the link is in use')", SOON);
    let kept = review(&missing);
    assert_eq!(kept["marks"], json!({"join.tangent|0|1": {"state": "agreed"}}));
    assert_eq!(
        (&kept["lamps"]["azimuth"], &kept["search"], &kept["limits"]["visible"]["g1"]),
        (&json!(77), &json!(0.05), &json!([0.1, 0.2, 0.4]))
    );
    let pin = &kept["pins"][0];
    assert_eq!((&pin["title"], &pin["text"], &pin["key"]), (&json!("Dent <b>here</b>"), &json!("Seen from the left"), &json!(3)));
    assert_eq!((&pin["place"], &pin["severity"], pin["strokes"][0].as_array().map(Vec::len)), (&json!([4, 5, 0]), &json!("fix"), Some(3)));
    missing.choose(&square);
    missing.wait_for_model("square <b>.step");
    let (inside, source) = link(&missing);
    assert!(source.contains("in the link itself"), "{source}");
    assert!((500..30_000).contains(&inside.len()), "{} characters", inside.len());
    page.click_on("#link-copy");
    page.wait("!document.querySelector('#link-take').disabled", SOON);
    page.click_on("#link-pack");
    page.wait("document.querySelector('#link-source').innerText.includes('must have the file')", SOON);
    let outside = page.ask("document.querySelector('#link-text').value.replace(/^[^#]*/, '')");
    let outside = outside.as_str().expect("a link").to_owned();
    assert!(outside.len() < inside.len());
    page.click_on("#link-close");
    drop(missing);

    // Without its model it waits for it, with its model it brings it.
    let text = fs::read_to_string(&square).expect("its text");
    let host = OpenHost::start(&site::packed().folder, vec![("/square.step", text)]);
    let inspector = at(&outside);
    let page = &inspector.page;
    page.wait("document.querySelector('#review-waits')", LONG);
    assert!(page.text("#review-waits").contains("square <b>.step"), "{}", page.text("#review-waits"));
    let go = |fragment: &str| page.ask(&format!("document.querySelector('#failure-dismiss')?.click(); location.hash = {fragment:?}"));
    go(&inside);
    inspector.wait_for_model("square <b>.step");
    page.wait("document.querySelector('#slips').innerText.includes('in the link is in use')", SOON);
    let before = review(&inspector);

    // Made by other hands. None of these is used.
    let made = |change: &str| {
        let text = page.ask(&format!(
            "(() => {{ const sound = wasm_bindgen.link_read({inside:?}); {change}; return '#' + wasm_bindgen.link_text(sound); }})()"
        ));
        text.as_str().expect("a link").to_owned()
    };
    let markup = "<svg/onload=globalThis.ran=1>";
    let cases = [
        (inside.replacen("v1.", "v2.", 1), "later version"),
        (inside[..inside.len() / 2].to_owned(), "not whole"),
        (inside.replacen("v1.", "v1.x", 1), "not whole"),
        (format!("#v1.{markup}"), "character 4"),
        (format!("#v1.{}", "A".repeat(70_000)), "64000"),
        (made(&format!("sound.zone = '{markup}'")), "review.yardstick"),
        (made("sound.lamps.count = 1e9"), "review.lamps.count"),
        (made("sound.camera.distance = -1"), "view.camera.distance"),
        (made("sound.camera.projection = 'constructor'"), "view.camera.projection"),
        (made("sound.marks = [{ key: 'no bar', state: 'agreed' }]"), "review.marks"),
        (made("sound.marks = [{ key: '__proto__|1', state: 'gone' }]"), "review.marks"),
        (made(&format!("sound.pins = [{{ key: 1, severity: '{markup}' }}]")), "review.pins"),
        (made(&format!("sound.rest = '{markup}'")), "no JSON"),
        (made("sound.rest = '[]'"), "review"),
        (made("sound.rest = '{\"search\": -1}'"), "review.search"),
        (made("sound.rest = '{\"measure\": \"__proto__\"}'"), "view.measure"),
        (made("sound.rest = JSON.stringify({ limits: { visible: { g1: [3, 2, 1] } } })"), "review.limits.visible.g1"),
        (made("sound.model.hash = '0'.repeat(32); sound.model.source = { packed: [31, 139, 8, 0, 1, 2, 3] }"), "cannot be unpacked"),
    ];
    for (fragment, told) in &cases {
        go(fragment);
        page.wait("document.querySelector('#failure')", SOON);
        let said = page.text("#failure");
        assert!(said.contains(told), "{told}: {said}");
        assert!(said.len() < 800, "{said}");
    }
    page.ask("document.querySelector('#failure-dismiss').click(); document.querySelector('#review-leave')?.click()");
    assert_eq!(review(&inspector), before);
    assert_eq!(inspector.model(), "square <b>.step");

    // An address is asked for, with its host; another model there is told.
    let asked = |from: &str| page.requests().iter().filter(|request| request.starts_with(from)).count();
    go(&made("sound.model.hash = '0'.repeat(32); sound.model.source = { address: 'javascript:globalThis.ran=1' }"));
    page.wait("document.querySelector('#consent').open", SOON);
    assert_eq!(page.ask("document.querySelector('#consent-yes').disabled"), json!(true));
    page.click_on("#consent-no");
    let address = host.at("/demo/bramble-a.step");
    let elsewhere = made(&format!(
        "sound.model.hash = 'ab'.repeat(16); sound.model.name = '{markup}'; sound.model.source = {{ address: '{address}' }}"
    ));
    go(&elsewhere);
    page.wait("document.querySelector('#consent').open", SOON);
    assert!(page.text("#consent-host").starts_with("127.0.0.1:"), "{}", page.text("#consent"));
    assert_eq!(asked(&host.at("/")), 0);
    page.click_on("#consent-yes");
    inspector.wait_for_model(demo::NAME);
    page.wait("document.querySelector('#review-other')", SOON);
    let said = page.text("#review-other");
    assert_eq!(asked(&host.at("/")), 1);
    assert!(said.contains("begins with abababababab") && said.contains(markup), "{said}");
    let hash: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    assert!(said.contains(&hash["model"]["hash"].as_str().expect("a hash")[..12]), "{said}");
    page.click_on("#review-leave");
    assert!(link(&inspector).1.contains(&address));

    // A host that lets no other page read its files is told, with what to do.
    let own = OpenHost::start_closed(&site::packed().folder).at("/demo/bramble-a.step");
    go(&made(&format!("sound.model.hash = '0'.repeat(32); sound.model.source = {{ address: '{own}' }}")));
    page.wait("document.querySelector('#consent').open", SOON);
    let name = page.text("#consent-host");
    assert!(own.contains(&format!("//{name}/")), "{name}");
    page.click_on("#consent-yes");
    page.wait("document.querySelector('#failure')", SOON);
    let said = page.text("#failure");
    assert!(said.contains(&name) && said.contains("drop it here"), "{said}");
    assert_eq!(inspector.model(), demo::NAME);
    page.ask("document.querySelector('#review-leave')?.click()");

    // The very model, from an address: the review in the link is used on it.
    let square_there = host.at("/square.step");
    go(&made(&format!("sound.lamps.azimuth = 123; sound.model.source = {{ address: '{square_there}' }}")));
    page.wait("document.querySelector('#consent').open", SOON);
    assert_eq!(asked(&square_there), 0);
    page.click_on("#consent-yes");
    inspector.wait_for_model("square.step");
    page.wait("document.querySelector('#lamp-azimuth').value === '123'", SOON);
    assert_eq!(asked(&square_there), 1);

    let clean = "[typeof ran, typeof ({}).polluted, document.querySelectorAll('#slips svg, #link svg, body > script').length]";
    assert_eq!(page.ask(clean), json!(["undefined", "undefined", 0]));
    // Of the host that was closed to it the browser itself complains too.
    let odd: Vec<String> = page.problems().into_iter().filter(|one| !one.contains(&own)).collect();
    assert_eq!(odd, Vec::<String>::new());
}
