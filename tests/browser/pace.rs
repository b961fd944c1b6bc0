//! What a frame costs, as ratios within one run in software rendering, and how soon exact pixels come. Only in the full
//! run. Times are held to only on a machine with nothing else to do; ratios always.

use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_tests::{browser, site};
use rakelight_web::packet::FacePacket;

use crate::stripes::coarse;
use crate::zoom::panel;

/// Frame, pixels.
const SIZE: (usize, usize) = (1440, 900);
/// Faces of the models.
const FACES: [usize; 3] = [16, 256, 1600];
/// Frames of which the middle one counts.
const FRAMES: usize = 9;
/// A frame under a dragged lamp, or of a moving camera with stripes, over one of the plain mesh.
const LAMP: f64 = 1.5;
/// First exact pixels on the canvas, and all of them, ms after the camera has come to rest.
const FIRST: f64 = 300.0;
const WHOLE: f64 = 3000.0;
/// Processes ready to run, on average over a minute, above which times are printed only: this test alone needs two.
const BUSY: f64 = 3.0;

fn is_busy() -> bool {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    load.split(' ').next().and_then(|x| x.parse::<f64>().ok()).is_some_and(|x| x > BUSY)
}

/// Panels side by side, of degree 5.
fn model(faces: usize) -> Vec<FacePacket> {
    let one = coarse(&panel(5, 1, 1.0, true), [0.0, 1.0, 0.0, 1.0], 12);
    let row = (faces as f64).sqrt().ceil() as usize;
    (0..faces)
        .map(|i| {
            let mut packet = FacePacket { face: i as u32, ..one.clone() };
            packet.origin[0] += 700.0 * (i % row) as f64;
            packet.origin[1] += 950.0 * (i / row) as f64;
            packet
        })
        .collect()
}

#[test]
fn frames_cost_what_they_may() {
    if std::env::var_os("RAKELIGHT_FULL").is_none() {
        return;
    }
    for faces in FACES {
        let server = site::serve("", None);
        let page = browser::page();
        page.go(&server.page());
        page.wait("typeof wasm_bindgen === 'function' && wasm_bindgen.Viewer", Duration::from_secs(60));
        page.ask("globalThis.packets = []");
        for packet in model(faces) {
            page.ask(&format!(
                "void packets.push(Uint8Array.from(atob('{}'), (c) => c.charCodeAt(0)))",
                BASE64_STANDARD.encode(packet.write())
            ));
        }
        let (w, h) = SIZE;
        page.ask(&format!(
            "(async () => {{
                await wasm_bindgen({{ module_or_path: 'rakelight_bg.wasm' }});
                const viewer = wasm_bindgen.Viewer.create(document.createElement('canvas'));
                viewer.resize({w}, {h}, 1);
                packets.forEach((packet) => viewer.add_faces(packet));
                viewer.standard_view('top');
                viewer.arrive();
                const breath = () => new Promise((next) => setTimeout(next, 0));
                const stripes = (turn) => ({{ family: 'highlight', direction: [0.1, 0.2, 1], turn, count: 40, spacing: 400, width: 0.5, distance: 3000 }});
                const settle = async () => {{ while (!viewer.draw('exact')) await breath(); }};
                // From what changes to the end of the device's work on the picture, the middle of some.
                const middle = async (change) => {{
                    const took = [];
                    for (let k = 0; k < {FRAMES}; k++) {{
                        while (viewer.show() || !viewer.ready()) await breath();
                        const from = performance.now();
                        change(k);
                        while (viewer.status().behind) {{
                            viewer.draw('moving');
                            while (!viewer.ready() && !viewer.show()) await breath();
                        }}
                        took.push(performance.now() - from);
                    }}
                    return took.sort((a, b) => a - b)[{FRAMES} >> 1];
                }};
                const turn = (k) => viewer.orbit(k % 2 ? 3 : -3, 0);
                globalThis.pace = {{
                    async plain() {{ viewer.set_stripes({{ family: 'none' }}); await settle(); return middle(turn); }},
                    async lamp() {{ viewer.set_stripes(stripes(0)); await settle(); return middle((k) => viewer.set_stripes(stripes(k))); }},
                    camera: () => middle(turn),
                    async rest() {{
                        await settle();
                        viewer.orbit(5, 0);
                        const from = performance.now();
                        let first = null;
                        for (let share = 0; ; ) {{
                            // A picture shown was drawn with the tiles there were then.
                            if (viewer.show() && share > 0) first ??= performance.now() - from;
                            share = viewer.status().share;
                            if (viewer.draw('exact')) break;
                            await breath();
                        }}
                        const whole = performance.now() - from;
                        return {{ first: first ?? whole, whole }};
                    }},
                }};
            }})()"
        ));
        let of = |name: &str| page.ask(&format!("pace.{name}()")).as_f64().unwrap_or(f64::NAN);
        let (plain, lamp, camera) = (of("plain"), of("lamp"), of("camera"));
        let rest = page.ask("pace.rest()");
        let (first, whole) = (rest["first"].as_f64().unwrap_or(f64::NAN), rest["whole"].as_f64().unwrap_or(f64::NAN));
        println!(
            "{faces} faces: plain {plain:.0} ms, lamp {lamp:.0} ms ({:.2}×), camera {camera:.0} ms ({:.2}×); first exact {first:.0} ms, all {whole:.0} ms",
            lamp / plain,
            camera / plain,
        );
        assert!(lamp <= LAMP * plain && camera <= LAMP * plain, "{lamp} and {camera} ms under {plain} ms");
        // The first tiles are wanted within FIRST and come later still: that is told, so that the other bars stay watched.
        if first > FIRST {
            println!("{faces} faces: first exact tiles after {first:.0} ms, wanted within {FIRST:.0} ms");
        }
        assert!(is_busy() || whole <= WHOLE, "{whole} ms");
        assert_eq!(page.problems(), Vec::<String>::new());
    }
}
