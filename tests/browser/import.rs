//! Every way to open a model, and what happens when it is none.

use std::fs;
use std::path::PathBuf;

use rakelight_pack::site::DEMO;
use rakelight_tests::damaged;
use rakelight_tests::data;
use rakelight_tests::inspector::Inspector;

#[test]
fn the_demo_opens_by_itself_and_a_click_picks_a_face() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(demo_name());
    inspector.wait_for_exact();
    let page = &inspector.page;
    let (x, y) = inspector.canvas().middle();
    page.hover(x, y);
    page.wait("document.querySelector('#status-pick .pick-face')", std::time::Duration::from_secs(10));
    let before = page.text("#live");
    page.click(x, y);
    page.wait(&format!("document.querySelector('#live').innerText !== {before:?}"), std::time::Duration::from_secs(10));
    assert_eq!(page.problems(), Vec::<String>::new());
    for address in page.requests() {
        let own = address.starts_with(&inspector.server.folder()) || address.starts_with("blob:") || address.starts_with("data:");
        assert!(own, "{address}");
    }
}

#[test]
fn a_file_named_at_the_command_line_opens_at_once() {
    let Some(model) = data::step_model("revolve_profile.stp", "opening by command line") else { return };
    let odd = scratch("an odd näme 50%.stp", &model.bytes());
    for mount in ["", "courses/form 2"] {
        let inspector = Inspector::open_under(mount, Some(&odd));
        inspector.wait_for_model("an odd näme 50%.stp");
        assert_eq!(inspector.page.problems(), Vec::<String>::new());
    }
}

#[test]
fn a_chosen_and_a_dropped_file_replace_the_model() {
    let purpose = "opening by choosing and dropping";
    let (Some(first), Some(second)) =
        (data::step_model("nacelle_6patch.stp", purpose), data::step_model("sphere_quarter_pieces.stp", purpose))
    else {
        return;
    };
    let inspector = Inspector::open(None);
    inspector.wait_for_model(demo_name());
    inspector.choose(&first.path);
    inspector.page.wait(&open(first.name), std::time::Duration::from_secs(60));
    inspector.drop_file(&second.path);
    inspector.page.wait(&open(second.name), std::time::Duration::from_secs(60));
    inspector.wait_for_model(second.name);
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}

#[test]
fn what_is_no_model_leaves_the_open_one_alone() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(demo_name());
    for file in damaged::all() {
        inspector.choose(&scratch(file.name, &file.bytes));
        inspector
            .page
            .wait(&format!("document.querySelector('#failure')?.innerText.includes({:?})", file.name), std::time::Duration::from_secs(60));
        inspector.wait_for_failure();
        let failure = inspector.failure();
        assert!(failure.to_lowercase().contains(&format!("line {}", file.line)), "{}: {failure}", file.name);
        assert_eq!(inspector.model(), demo_name(), "{}", file.name);
        inspector.page.click_on("#failure-dismiss");
        inspector.wait_for_model(demo_name());
    }
    // The model is there not by name only: it still answers.
    assert!(inspector.check_json().contains(demo_name()));
}

fn demo_name() -> &'static str {
    DEMO.rsplit('/').next().unwrap_or(DEMO)
}

fn open(name: &str) -> String {
    format!("document.documentElement.dataset.state === 'ready' && document.documentElement.dataset.model === {name:?}")
}

/// Writes a file for the browser to open.
fn scratch(name: &str, bytes: &[u8]) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let path = folder.join(name);
    fs::write(&path, bytes).expect("a file for the browser");
    path
}
