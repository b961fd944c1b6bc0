use super::text::check_sum;
use super::*;
use proptest::collection::vec;
use proptest::prelude::*;

/// A link of version 1 as it was first written, and what it says. It has to open for ever.
const FIRST: &str = "v1.lgYCN2h0dHBzOi8vZmlsZXMuZXhhbXBsZS5jb20vcmV2aWV3cy9vdXRlci1wYW5lbC1sZWZ0LnN0ZXAVb3V0ZXItcGFuZWwtbGVmdC5zdGVwASNFZ4mrz\
    e8A_xEiM0RVZgEAAAAAANKSQAAAAAAAoELAAAAAAAAhg0AAAAAAAADsvwAAAAAAAOA_AAAAAABwp0AAC3BlcnNwZWN0aXZlAApoaWdobGlnaHRzAAd2aXNpY\
    mxlAAAIaXNvcGhvdGUA4NwqAIjGSQCPoQ8AwAwA8JMJAKDLmAEAkE4AoJwBAwMBgAcCAAxqb2luLnRhbmdlbnQIMTIrMTN8NDUABmFncmVlZAAAAAAFDTF8M\
    C41IDEuNSAyLjAABG9wZW4ABGdvb2QXQWdyZWVkIDxiPm9uPC9iPiBNb25kYXkE8J-SoQIBB0Nyb3duIDENw6lubm5ubm5ubm5ubgADZml4CAAAyUIAAKJBA\
    ADkwAgAkJZEAAAVwgAIGUQAAAA-AAAAPwCAO0UBAQAFam9pbnMCAwEBAAQGAdYBYVoBOW0mAgdDcm93biAyDcOpbm5ubm5ubm5ubm4ABnBvbGlzaAgAAElDA\
    ACiQQAA5MAPAJCWRAAAFcIACBlEAACAPgAAAD8AgDtFAQELAA57InNlYXJjaCI6MC40fQ";

fn rig() -> Rig {
    Rig {
        family: "isophote".into(),
        azimuth: 35.0,
        elevation: 60.25,
        turn: -12.5,
        spacing: 0.08,
        step: 7.5,
        count: 125.0,
        width: 0.5,
        reach: 1.0,
    }
}

fn stand() -> Stand {
    Stand { target: [1204.5, -37.25, 612.125], yaw: -0.875, pitch: 0.5, distance: 3000.0, projection: "perspective".into() }
}

/// A link with `pins` pins of texts of `letters` characters, on a model from an address.
fn sample(pins: u32, letters: usize) -> Link {
    let pin = |key: u32| LinkPin {
        key,
        title: format!("Crown {key}"),
        text: format!("é{}", "n".repeat(letters - 1)),
        severity: ["serious", "fix", "polish"][key as usize % 3].into(),
        state: "open".into(),
        place: [f64::from(key) * 100.5, 20.25, -7.125],
        face: Some(key * 7),
        camera: Stand { yaw: f64::from(key) / 8.0, ..stand() },
        lamps: rig(),
        pass: "joins".into(),
        strokes: Vec::new(),
    };
    Link {
        model: LinkModel {
            name: "outer-panel-left.step".into(),
            hash: "0123456789abcdef00ff112233445566".into(),
            source: Source::Address("https://files.example.com/reviews/outer-panel-left.step".into()),
        },
        camera: Some(stand()),
        pass: "highlights".into(),
        zone: "visible".into(),
        lamps: rig(),
        hidden: vec![],
        marks: vec![],
        pins: (1..=pins).map(pin).collect(),
        rest: String::new(),
    }
}

fn said(mut link: Link) -> Link {
    link.hidden = vec![3, 4, 900];
    link.marks = vec![
        LinkMark { key: "join.tangent|12+13|45".into(), state: "agreed".into(), ..LinkMark::default() },
        LinkMark {
            key: "join.tangent|1|0.5 1.5 2.0".into(),
            state: "open".into(),
            severity: "good".into(),
            reason: "Agreed <b>on</b> Monday".into(),
            note: "\u{1f4a1}".into(),
        },
    ];
    link.pins[0].strokes = vec![vec![[100.0, 20.0, -7.0], [101.0, 21.0, -7.5], [140.0, 3.0, 9.0]], vec![[90.0, 0.0, 0.0]]];
    link.rest = "{\"search\":0.4}".into();
    link
}

#[test]
fn ten_pins_with_notes_of_forty_characters_fit_into_two_thousand() {
    let mut link = sample(10, 40);
    let text = link.write().expect("a link");
    println!("{} characters", text.len());
    assert!(text.len() + "https://tools.example.com/rakelight/#".len() <= 2000, "{} characters", text.len());
    // Each under lamps and from a place of its own too, all judged in passes of their own.
    for (i, pin) in link.pins.iter_mut().enumerate() {
        pin.lamps.azimuth += i as f64;
        pin.pass = format!("pass{i}");
        pin.title.clear();
    }
    assert!(link.write().expect("a link").len() <= 2000, "{} characters", link.write().expect("a link").len());
}

#[test]
fn what_is_written_is_read() {
    let link = said(sample(3, 40));
    let mut read = Link::read(&link.write().expect("a link")).expect("a link");
    let strokes = std::mem::replace(&mut read.pins[0].strokes, link.pins[0].strokes.clone());
    assert_eq!(read, link);
    for (far, near) in strokes.iter().flatten().flatten().zip(link.pins[0].strokes.iter().flatten().flatten()) {
        assert!((far - near).abs() <= 0.5 * 3000.0 / 8192.0 + 1e-9, "{far} for {near}");
    }
    for source in [Source::Own, Source::Demo, Source::Packed((0..=255).collect())] {
        let mut other = Link { model: LinkModel { source, ..link.model.clone() }, ..sample(0, 1) };
        other.camera = None;
        assert_eq!(Link::read(&format!("#{}", other.write().expect("a link"))), Ok(other));
    }
}

#[test]
fn the_first_link_of_version_1_opens() {
    let link = Link::read(FIRST).expect("a link");
    let mut wanted = said(sample(2, 12));
    wanted.pins[0].strokes.clone_from(&link.pins[0].strokes);
    assert_eq!(link.pins[0].strokes.iter().map(Vec::len).collect::<Vec<_>>(), [3, 1]);
    assert_eq!(link, wanted);
    assert_eq!(said(sample(2, 12)).write().as_deref(), Ok(FIRST), "the same review is the same link");
}

/// The check value that the catalogue of CRCs gives for it: that of the digits 1 to 9.
#[test]
fn the_check_sum_is_the_published_one() {
    assert_eq!(check_sum(b"123456789"), 0x29b1);
}

#[test]
fn links_that_are_none_are_told_apart() {
    let text = sample(2, 40).write().expect("a link");
    for (given, told) in [
        (String::new(), LinkError::NoLink),
        ("ledger".into(), LinkError::NoLink),
        ("v1".into(), LinkError::NoLink),
        ("vx.AAAA".into(), LinkError::NoLink),
        (text.replacen("v1.", "v2.", 1), LinkError::Later("2".into())),
        ("v1.".into(), LinkError::Changed),
        ("v1.A".into(), LinkError::Changed),
        (format!("{text})"), LinkError::Letter(text.len() + 1)),
        ("v1.<svg onload=1>".into(), LinkError::Letter(4)),
        (text.to_lowercase(), LinkError::Changed),
        ("v1.".to_owned() + &"A".repeat(MOST_TEXT), LinkError::Long),
    ] {
        assert_eq!(Link::read(&given), Err(told), "{given:.40}");
    }
    for length in 3..text.len() - 1 {
        assert!(Link::read(&text[..length]).is_err(), "cut at {length}");
    }
    let body = sample(2, 40).to_bytes().expect("a body");
    for length in 0..body.len() {
        assert!(matches!(Link::from_bytes(&body[..length]), Err(LinkError::Ends(_))), "ended at {length}");
    }
    assert_eq!(Link::from_bytes(&[body.as_slice(), &[0]].concat()), Err(LinkError::More));
}

#[test]
fn numbers_out_of_range_are_told_by_their_part() {
    let body = |change: &dyn Fn(&mut Link)| {
        let mut link = sample(1, 8);
        change(&mut link);
        link.to_bytes().and_then(|bytes| Link::from_bytes(&bytes)).expect_err("out of range").to_string()
    };
    let camera = |link: &mut Link, x: f64| link.camera = Some(Stand { distance: x, ..stand() });
    assert!(body(&|link| camera(link, f64::NAN)).contains("the camera"));
    assert!(body(&|link| link.pins[0].place[1] = 1e300).contains("the pins"));
    assert!(body(&|link| link.lamps.reach = f64::INFINITY).contains("the lamps"));
    assert!(body(&|link| link.model.hash = "0123".into()).contains("the hash"));
    assert!(body(&|link| link.pass = "p".repeat(61)).contains("names"));
    assert!(body(&|link| link.hidden = vec![9, 4]).contains("faces not shown"));
    // A count that no link can meet is told before anything is made of it.
    let mut bytes = sample(0, 8).to_bytes().expect("a body");
    bytes.truncate(bytes.len() - 2);
    bytes.extend([0xff, 0xff, 0xff, 0xff, 0x0f]);
    assert_eq!(Link::from_bytes(&bytes), Err(LinkError::Ends("the pins")));
    let long = Link { rest: "r".repeat(60_000), ..sample(0, 8) };
    assert_eq!(long.write(), Err(LinkError::Long));
}

prop_compose! {
    fn stands()(
        target in any::<[f32; 3]>(), yaw in any::<f32>(), pitch in -1.5f32..1.5, distance in any::<f32>(), flat in any::<bool>(),
    ) -> Stand {
        let finite = |x: f32| f64::from(if x.is_finite() { x } else { 0.0 });
        let projection = if flat { "orthographic" } else { "perspective" }.into();
        Stand { target: target.map(finite), yaw: finite(yaw), pitch: finite(pitch), distance: finite(distance), projection }
    }
}

prop_compose! {
    fn rigs()(
        family in "[a-z]{0,12}", n in vec(prop_oneof![(-100_000i32..100_000).prop_map(|n| f64::from(n) / 1e4), -1e3..1e3], 8),
    ) -> Rig {
        let [azimuth, elevation, turn, spacing, step, count, width, reach] = n.try_into().expect("eight");
        Rig { family, azimuth, elevation, turn, spacing, step, count, width, reach }
    }
}

prop_compose! {
    fn pins()(
        key in any::<u32>(), words in vec(".{0,20}", 2), state in "[a-z]{0,8}", place in any::<[f32; 3]>(),
        face in any::<Option<u32>>(), camera in stands(), lamps in rigs(),
    ) -> LinkPin {
        let place = place.map(|x| f64::from(if x.is_finite() { x } else { 0.0 }));
        let [title, text] = words.try_into().expect("two");
        LinkPin { key, title, text, severity: state.clone(), pass: state.clone(), state, place, face, camera, lamps, strokes: Vec::new() }
    }
}

prop_compose! {
    fn links()(
        name in ".{0,30}", hash in "[0-9a-f]{32}", packed in vec(any::<u8>(), 0..80), camera in proptest::option::of(stands()),
        lamps in rigs(), mut hidden in vec(any::<u32>(), 0..5), keys in vec(".{0,80}", 0..5), pins in vec(pins(), 0..5),
        rest in ".{0,90}",
    ) -> Link {
        hidden.sort_unstable();
        let mark = |key: String| LinkMark { note: key.clone(), key, state: "waived".into(), ..LinkMark::default() };
        let marks = keys.into_iter().map(mark).collect();
        let model = LinkModel { name, hash, source: Source::Packed(packed) };
        Link { model, camera, pass: "form".into(), zone: "hidden".into(), lamps, hidden, marks, pins, rest }
    }
}

proptest! {
    #[test]
    fn any_link_comes_back(link in links()) {
        prop_assert_eq!(Link::read(&link.write().expect("short enough")), Ok(link));
    }

    #[test]
    fn a_change_anywhere_is_told_and_never_a_panic(link in links(), at in any::<prop::sample::Index>(), byte in any::<u8>()) {
        let mut body = link.to_bytes().expect("a body");
        let sum = check_sum(&body);
        let place = at.index(body.len());
        let changed = body[place] != byte;
        body[place] = byte;
        let _ = Link::from_bytes(&body);
        prop_assert!(!changed || check_sum(&body) != sum);
    }

    #[test]
    fn no_bytes_are_a_panic(bytes in vec(any::<u8>(), 0..300), text in ".{0,80}") {
        let _ = (Link::from_bytes(&bytes), Link::read(&text), Link::read(&format!("v1.{text}")));
    }
}
