//! The page's check and the command line's are one text.

use std::ffi::OsString;

use rakelight_pack::command;
use rakelight_pack::site::DEMO;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::{data, site};

#[test]
fn the_page_saves_byte_for_byte_what_the_command_line_prints() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model("bramble-a.step");
    let demo = data::Model { name: "bramble-a.step", path: site::packed().folder.join(DEMO) };
    let mut differing = Vec::new();
    for model in data::step_models("equal checks").into_iter().chain([demo]) {
        inspector.choose(&model.path);
        inspector.page.wait(
            &format!("document.documentElement.dataset.state === 'ready' && document.documentElement.dataset.model === {:?}", model.name),
            std::time::Duration::from_secs(120),
        );
        let saved = without_times(&inspector.check_json());
        let printed = printed(&model);
        if saved.trim_end() != printed.trim_end() {
            let at = saved.bytes().zip(printed.bytes()).take_while(|(a, b)| a == b).count();
            let around = |text: &str| text.get(at.saturating_sub(60)..).map(|rest| rest.chars().take(120).collect::<String>());
            differing.push(format!("{} at byte {at}: page {:?}, command {:?}", model.name, around(&saved), around(&printed)));
        }
    }
    assert_eq!(differing, Vec::<String>::new());
}

/// What `check FILE --json` prints, its timings left out.
fn printed(model: &data::Model) -> String {
    let arguments: [OsString; 3] = ["check".into(), "--json".into(), model.path.clone().into_os_string()];
    let (mut out, mut err) = (Vec::new(), Vec::new());
    // A model with no face that could be read has a check too, though its exit code is another.
    command::run(arguments, &mut out, &mut err);
    assert!(!out.is_empty(), "{}: {}", model.name, String::from_utf8_lossy(&err));
    without_times(&String::from_utf8(out).expect("text"))
}

/// Both texts tell how long the steps took, which no two runs agree in.
fn without_times(text: &str) -> String {
    let (before, rest) = text.split_once(r#""times":{"#).expect("timings");
    let (_, after) = rest.split_once("},").expect("the end of the timings");
    format!("{before}{after}")
}
