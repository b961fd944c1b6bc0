//! What a frame costs, as ratios within one run in software rendering, and how soon exact pixels come. Only in the full
//! run: figures of a busy machine mean nothing.

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
const FRAMES: usize = 15;
/// A frame under a dragged lamp over one of the plain mesh.
const LAMP: f64 = 1.5;
/// First exact pixels on the canvas, and all of them, ms after the camera has come to rest.
const FIRST: f64 = 300.0;
const WHOLE: f64 = 3000.0;

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
        let found = page.ask(&format!(
            "(async () => {{
                await wasm_bindgen({{ module_or_path: 'rakelight_bg.wasm' }});
                const canvas = document.createElement('canvas');
                const viewer = wasm_bindgen.Viewer.create(canvas);
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
                viewer.set_stripes({{ family: 'none' }});
                await settle();
                const plain = await middle((k) => viewer.orbit(k % 2 ? 3 : -3, 0));
                viewer.set_stripes(stripes(0));
                await settle();
                const lamp = await middle((k) => viewer.set_stripes(stripes(k)));
                const camera = await middle((k) => viewer.orbit(k % 2 ? 3 : -3, 0));
                await settle();
                viewer.orbit(5, 0);
                const from = performance.now();
                let first = null;
                let share = 0;
                for (;;) {{
                    // A picture shown was drawn with the tiles there were then.
                    if (viewer.show() && share > 0) first ??= performance.now() - from;
                    share = viewer.status().share;
                    if (viewer.draw('exact')) break;
                    await breath();
                }}
                return {{ plain, lamp, camera, first: first ?? performance.now() - from, whole: performance.now() - from }};
            }})()"
        ));
        let of = |name: &str| found[name].as_f64().unwrap_or(f64::NAN);
        let (plain, lamp, camera) = (of("plain"), of("lamp"), of("camera"));
        println!(
            "{faces} faces: plain {plain:.0} ms, lamp {lamp:.0} ms ({:.2}×), camera {camera:.0} ms ({:.2}×); first exact {:.0} ms, all {:.0} ms",
            lamp / plain,
            camera / plain,
            of("first"),
            of("whole")
        );
        assert!(lamp <= LAMP * plain, "{lamp} ms under {plain} ms");
        assert!(of("first") <= FIRST && of("whole") <= WHOLE, "{found}");
        assert_eq!(page.problems(), Vec::<String>::new());
    }
}
