//! A view with its judgements as a link, for the page. Field by field: readers made for each record would be ten kilobytes of module.

use js_sys::{Array, Object, Reflect, Uint8Array};
use rakelight_core::review::link::{Link, LinkMark, LinkModel, LinkPin, Rig, Source, Stand};
use wasm_bindgen::prelude::*;

/// The text after `#` of a record with the fields of `Link`; what is missing or of another kind is empty or zero. Throws a text that says
/// why there is none.
#[wasm_bindgen]
pub fn link_text(record: &JsValue) -> Result<String, JsValue> {
    let link = Link {
        model: model_of(&get(record, "model")),
        camera: Some(get(record, "camera")).filter(|c| c.is_object()).map(|c| stand_of(&c)),
        pass: text(record, "pass"),
        zone: text(record, "zone"),
        lamps: rig_of(&get(record, "lamps")),
        hidden: list(record, "hidden").iter().filter_map(|x| x.as_f64()).map(|x| x as u32).collect(),
        marks: list(record, "marks").iter().map(|m| mark_of(&m)).collect(),
        pins: list(record, "pins").iter().map(|p| pin_of(&p)).collect(),
        rest: text(record, "rest"),
    };
    link.write().map_err(|e| JsValue::from_str(&e.to_string()))
}

/// What such a text says, as a record with the fields of `Link`. Throws a text that says what is wrong with it.
#[wasm_bindgen]
pub fn link_read(text: &str) -> Result<JsValue, JsValue> {
    let link = Link::read(text).map_err(|e| JsValue::from_str(&e.to_string()))?;
    let source = match &link.model.source {
        Source::Own => "own".into(),
        Source::Demo => "demo".into(),
        Source::Address(address) => record(&[("address", address.into())]),
        Source::Packed(bytes) => record(&[("packed", Uint8Array::from(bytes.as_slice()).into())]),
    };
    let model = record(&[("name", (&link.model.name).into()), ("hash", (&link.model.hash).into()), ("source", source)]);
    Ok(record(&[
        ("model", model),
        ("camera", link.camera.as_ref().map_or(JsValue::NULL, stand)),
        ("pass", link.pass.into()),
        ("zone", link.zone.into()),
        ("lamps", rig(&link.lamps)),
        ("hidden", link.hidden.iter().map(|x| JsValue::from(*x)).collect::<Array>().into()),
        ("marks", link.marks.iter().map(mark).collect::<Array>().into()),
        ("pins", link.pins.iter().map(pin).collect::<Array>().into()),
        ("rest", link.rest.into()),
    ]))
}

fn get(of: &JsValue, name: &str) -> JsValue {
    Reflect::get(of, &name.into()).unwrap_or(JsValue::UNDEFINED)
}

fn text(of: &JsValue, name: &str) -> String {
    get(of, name).as_string().unwrap_or_default()
}

fn number(of: &JsValue, name: &str) -> f64 {
    get(of, name).as_f64().unwrap_or_default()
}

fn list(of: &JsValue, name: &str) -> Array {
    array(get(of, name))
}

fn array(value: JsValue) -> Array {
    value.dyn_into().unwrap_or_default()
}

fn triple(list: &Array) -> [f64; 3] {
    [0, 1, 2].map(|i| list.get(i).as_f64().unwrap_or_default())
}

fn model_of(of: &JsValue) -> LinkModel {
    let given = get(of, "source");
    let (address, packed) = (get(&given, "address"), get(&given, "packed"));
    let source = match address.as_string() {
        Some(address) => Source::Address(address),
        None if packed.is_object() => Source::Packed(Uint8Array::new(&packed).to_vec()),
        None if given.as_string().as_deref() == Some("demo") => Source::Demo,
        None => Source::Own,
    };
    LinkModel { name: text(of, "name"), hash: text(of, "hash"), source }
}

fn stand_of(of: &JsValue) -> Stand {
    Stand {
        target: triple(&list(of, "target")),
        yaw: number(of, "yaw"),
        pitch: number(of, "pitch"),
        distance: number(of, "distance"),
        projection: text(of, "projection"),
    }
}

fn rig_of(of: &JsValue) -> Rig {
    Rig {
        family: text(of, "family"),
        azimuth: number(of, "azimuth"),
        elevation: number(of, "elevation"),
        turn: number(of, "turn"),
        spacing: number(of, "spacing"),
        step: number(of, "step"),
        count: number(of, "count"),
        width: number(of, "width"),
        reach: number(of, "reach"),
    }
}

fn mark_of(of: &JsValue) -> LinkMark {
    let [key, state, severity, reason, note] = ["key", "state", "severity", "reason", "note"].map(|name| text(of, name));
    LinkMark { key, state, severity, reason, note }
}

fn pin_of(of: &JsValue) -> LinkPin {
    LinkPin {
        key: number(of, "key") as u32,
        title: text(of, "title"),
        text: text(of, "text"),
        severity: text(of, "severity"),
        state: text(of, "state"),
        place: triple(&list(of, "place")),
        face: get(of, "face").as_f64().map(|x| x as u32),
        camera: stand_of(&get(of, "camera")),
        lamps: rig_of(&get(of, "lamps")),
        pass: text(of, "pass"),
        strokes: list(of, "strokes").iter().map(|s| array(s).iter().map(|p| triple(&array(p))).collect()).collect(),
    }
}

fn record(fields: &[(&str, JsValue)]) -> JsValue {
    let made = Object::new();
    for (name, value) in fields {
        // A new object takes every field.
        let _ = Reflect::set(&made, &(*name).into(), value);
    }
    made.into()
}

fn point(p: &[f64; 3]) -> JsValue {
    p.iter().map(|x| JsValue::from(*x)).collect::<Array>().into()
}

fn stand(s: &Stand) -> JsValue {
    record(&[
        ("target", point(&s.target)),
        ("yaw", s.yaw.into()),
        ("pitch", s.pitch.into()),
        ("distance", s.distance.into()),
        ("projection", (&s.projection).into()),
    ])
}

fn rig(r: &Rig) -> JsValue {
    record(&[
        ("family", (&r.family).into()),
        ("azimuth", r.azimuth.into()),
        ("elevation", r.elevation.into()),
        ("turn", r.turn.into()),
        ("spacing", r.spacing.into()),
        ("step", r.step.into()),
        ("count", r.count.into()),
        ("width", r.width.into()),
        ("reach", r.reach.into()),
    ])
}

fn mark(m: &LinkMark) -> JsValue {
    let all = [("key", &m.key), ("state", &m.state), ("severity", &m.severity), ("reason", &m.reason), ("note", &m.note)];
    record(&all.map(|(name, value)| (name, value.into())))
}

fn pin(p: &LinkPin) -> JsValue {
    let strokes = p.strokes.iter().map(|s| JsValue::from(s.iter().map(point).collect::<Array>())).collect::<Array>();
    record(&[
        ("key", p.key.into()),
        ("title", (&p.title).into()),
        ("text", (&p.text).into()),
        ("severity", (&p.severity).into()),
        ("state", (&p.state).into()),
        ("place", point(&p.place)),
        ("face", p.face.map_or(JsValue::NULL, JsValue::from)),
        ("camera", stand(&p.camera)),
        ("lamps", rig(&p.lamps)),
        ("pass", (&p.pass).into()),
        ("strokes", strokes.into()),
    ])
}
