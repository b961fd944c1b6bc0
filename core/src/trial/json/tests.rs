//! Every edit comes back as it was written, and what is out of bounds is named.

use crate::joins::Order;
use crate::layout::MirrorPlane;
use crate::math::Vec3;
use crate::model::FaceId;
use crate::nurbs::Direction;
use crate::trial::net::SIDES;
use crate::trial::{
    Conform, Crown, Drag, EdgeRefit, Edit, Extend, Lock, Merge, Profile, Refillet, Refit, Resweep, RidgeSign, Sections, Setback, Size,
    Trials, Twin,
};
use proptest::prelude::*;
use serde_json::{Value, json};

const FACES: usize = 9;

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), -1e6..1e6f64, 1e-9..1e-6f64]
}

fn positive() -> impl Strategy<Value = f64> {
    1e-12..1e6f64
}

fn vector() -> impl Strategy<Value = Vec3> {
    (number(), number(), number()).prop_map(|(x, y, z)| Vec3::new(x, y, z))
}

fn face() -> impl Strategy<Value = FaceId> {
    (0..FACES).prop_map(FaceId::new)
}

fn order() -> impl Strategy<Value = Order> {
    prop_oneof![Just(Order::G0), Just(Order::G1), Just(Order::G2), Just(Order::G3)]
}

fn plane() -> impl Strategy<Value = MirrorPlane> {
    let picked = (-1e5..1e5f64).prop_map(|offset| MirrorPlane::new(Vec3::new(0.6, -0.8, 0.0), offset).expect("a direction"));
    prop_oneof![Just(MirrorPlane::X), Just(MirrorPlane::Y), Just(MirrorPlane::Z), picked]
}

fn locks() -> impl Strategy<Value = [Lock; 4]> {
    let one = || prop_oneof![Just(Lock::Free), order().prop_map(Lock::Held), (order(), plane()).prop_map(|(o, p)| Lock::Centre(o, p))];
    [one(), one(), one(), one()]
}

fn edit() -> impl Strategy<Value = Edit> {
    let side = || (0..4usize).prop_map(|i| SIDES[i]);
    let way = || prop_oneof![Just(Direction::U), Just(Direction::V)];
    let pair = |low: usize, high: usize| (low..high, low..high);
    let twin = prop::option::of((face(), plane()).prop_map(|(face, plane)| Twin { face, plane }));
    let drag = (face(), pair(0, 900), vector(), pair(0, 9), locks(), twin)
        .prop_map(|(face, point, by, reach, locks, twin)| Edit::Drag(Drag { face, point, by, reach, locks, twin }));
    let size = prop_oneof![
        positive().prop_map(|tolerance| Size::Smallest { tolerance }),
        (pair(1, 20), pair(1, 65), 0.0..9.0f64).prop_map(|(degree, spans, fairness)| Size::Chosen { degree, spans, fairness }),
    ];
    let keep = || prop::option::of(order());
    let refit = (face(), size, [keep(), keep(), keep(), keep()]).prop_map(|(face, size, keep)| Edit::Refit(Refit { face, size, keep }));
    let conform =
        (face(), side(), face(), order(), order(), positive(), positive()).prop_map(|(face, side, to, order, keep, search, tolerance)| {
            Edit::Conform(Conform { face, side, to, order, keep, search, tolerance })
        });
    let crown = (face(), way(), vector(), prop::option::of(vector()), locks())
        .prop_map(|(face, along, by, up, locks)| Edit::Crown(Crown { face, along, by: by.to_array(), up, locks }));
    let ridge = (face(), side(), face(), 0.1..79.0f64, positive())
        .prop_map(|(face, side, beside, least, search)| Edit::RidgeSign(RidgeSign { face, side, beside, least, search }));
    let merge =
        ([face(), face()], positive(), positive()).prop_map(|(faces, tolerance, search)| Edit::Merge(Merge { faces, tolerance, search }));
    let edge = (face(), side(), 1..20usize, 1..65usize)
        .prop_map(|(face, side, degree, spans)| Edit::EdgeRefit(EdgeRefit { face, side, degree, spans }));
    let extend = (face(), side(), positive()).prop_map(|(face, side, length)| Edit::Extend(Extend { face, side, length }));
    let sections = prop_oneof![Just(Sections::First), Just(Sections::Last), Just(Sections::Both)];
    let sweep = (face(), way(), sections, positive())
        .prop_map(|(face, rails, sections, tolerance)| Edit::Resweep(Resweep { face, rails, sections, tolerance }));
    let setback = prop_oneof![Just(Setback::Mean), Just(Setback::First), Just(Setback::Second), positive().prop_map(Setback::Radius)];
    let profile = prop_oneof![Just(Profile::Round), Just(Profile::Curvature)];
    let fillet = (face(), way(), [face(), face()], profile, setback, positive(), positive()).prop_map(
        |(face, along, beside, profile, setback, tolerance, search)| {
            Edit::Refillet(Refillet { face, along, beside, profile, setback, tolerance, search })
        },
    );
    prop_oneof![drag, refit, conform, crown, ridge, merge, edge, extend, sweep, fillet]
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(edits in prop::collection::vec(edit(), 0..5)) {
        let mut trials = Trials::default();
        for (i, e) in edits.into_iter().enumerate() {
            trials.add(format!("trial {i}"), e);
            trials.switch(i, i % 2 == 0);
        }
        let back = Trials::from_json(&trials.to_json(), FACES).expect("our own");
        prop_assert_eq!(back.list(), trials.list());
        // As text, since that is what a file holds: the same but for the last digit, which the parser may round.
        let text = trials.to_json().to_string();
        let back = Trials::from_json(&serde_json::from_str(&text).expect("JSON"), FACES).expect("our own");
        prop_assert_eq!(back.list().len(), trials.list().len());
        prop_assert!(near(&back.to_json(), &trials.to_json()), "{}", text);
    }

    #[test]
    fn a_list_damaged_anywhere_is_refused_or_read(
        edits in prop::collection::vec(edit(), 1..3),
        at in any::<prop::sample::Index>(),
        kind in 0..7usize,
    ) {
        let mut trials = Trials::default();
        edits.into_iter().for_each(|e| trials.add("", e));
        let mut value = trials.to_json();
        let count = count(&value);
        let junk = [json!(null), json!(-1), json!(1e300), json!("x"), json!([]), json!({}), json!(1.5)][kind].clone();
        put(&mut value, &mut at.index(count), &junk);
        if let Ok(read) = Trials::from_json(&value, FACES) {
            let again = Trials::from_json(&read.to_json(), FACES).expect("our own");
            // A plane's normal is made unit anew.
            prop_assert!(near(&again.to_json(), &read.to_json()));
        }
    }
}

/// The same values, numbers to a few parts in 1e16.
fn near(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Array(a), Value::Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(a, b)),
        (Value::Object(a), Value::Object(b)) => a.len() == b.len() && a.iter().all(|(k, v)| b.get(k).is_some_and(|w| near(v, w))),
        (Value::Number(a), Value::Number(b)) => match (a.as_f64(), b.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-15 * a.abs(),
            _ => false,
        },
        _ => a == b,
    }
}

/// Values in a value, itself among them.
fn count(value: &Value) -> usize {
    1 + match value {
        Value::Array(all) => all.iter().map(count).sum(),
        Value::Object(all) => all.values().map(count).sum(),
        _ => 0,
    }
}

fn put(value: &mut Value, at: &mut usize, junk: &Value) -> bool {
    if *at == 0 {
        *value = junk.clone();
        return true;
    }
    *at -= 1;
    match value {
        Value::Array(all) => all.iter_mut().any(|v| put(v, at, junk)),
        Value::Object(all) => all.values_mut().any(|v| put(v, at, junk)),
        _ => false,
    }
}

#[test]
fn the_entry_that_is_wrong_is_named() {
    let drag = |at: &str, value: Value| {
        let mut edit = json!({
            "edit": "drag", "face": 1, "point": [1, 1], "by": [0, 0, 1], "reach": [0, 0], "locks": ["free", "free", {"held": "g1"}, "free"]
        });
        edit[at] = value;
        let list = json!([{ "name": "a", "on": true, "edit": edit }]);
        Trials::from_json(&list, FACES).map_err(|e| e.to_string())
    };
    assert_eq!(drag("twin", Value::Null).map(|t| t.list().len()), Ok(1));
    for (at, value, told) in [
        ("edit", json!("paint"), "0.edit.edit is not the name of an edit"),
        ("face", json!(9), "0.edit.face is not a face of the model, which has 9"),
        ("face", json!(-1), "0.edit.face is not a face of the model, which has 9"),
        ("point", json!([1]), "0.edit.point is not a list of 2"),
        ("point", json!([1, 1.5]), "0.edit.point.1 is not a whole number from 0 to 100000"),
        ("by", json!([0, 1e9, 0]), "0.edit.by.1 is not a number from -1000000 to 1000000"),
        ("by", json!([0, null, 0]), "0.edit.by.1 is not a number from -1000000 to 1000000"),
        ("locks", json!(["free", "free", {"held": "g4"}, "free"]), "0.edit.locks.2.held is not one of g0, g1, g2, g3"),
        ("locks", json!("free"), "0.edit.locks is not a list of at most 4"),
        ("twin", json!({"face": 2, "plane": {"normal": [0, 0, 0], "offset": 0}}), "0.edit.twin.plane is not a plane with a normal"),
    ] {
        assert_eq!(drag(at, value).err().as_deref(), Some(told));
    }
    let long: String = "x".repeat(201);
    let named = Trials::from_json(&json!([{ "name": long, "on": true }]), FACES);
    assert_eq!(named.map_err(|e| e.field), Err("0.name".to_owned()));
    assert_eq!(Trials::from_json(&json!({}), FACES).map_err(|e| e.to_string()), Err("not a list of at most 200".to_owned()));
}
