//! Edits as JSON.

use crate::joins::Order;
use crate::layout::{BoxSide, MirrorPlane};
use crate::model::FaceId;
use crate::nurbs::Direction;
use crate::trial::{Edit, Lock, Profile, Sections, Setback, Size};
use serde_json::{Value, json};

fn face(id: FaceId) -> usize {
    id.index()
}

fn direction(d: Direction) -> &'static str {
    if d == Direction::U { "u" } else { "v" }
}

fn side(s: BoxSide) -> &'static str {
    match (s.of_u, s.high) {
        (true, false) => "u_low",
        (true, true) => "u_high",
        (false, false) => "v_low",
        (false, true) => "v_high",
    }
}

fn plane(p: MirrorPlane) -> Value {
    json!({ "normal": p.normal().to_array(), "offset": p.offset() })
}

fn locks(all: &[Lock; 4]) -> Value {
    let one = |lock: &Lock| match *lock {
        Lock::Free => json!("free"),
        Lock::Held(order) => json!({ "held": order.text() }),
        Lock::Centre(order, p) => json!({ "centre": order.text(), "plane": plane(p) }),
    };
    all.iter().map(one).collect()
}

fn size(s: Size) -> Value {
    match s {
        Size::Chosen { degree, spans, fairness } => json!({ "degree": degree, "spans": spans, "fairness": fairness }),
        Size::Smallest { tolerance } => json!({ "tolerance": tolerance }),
    }
}

pub(super) fn edit(edit: &Edit) -> Value {
    match edit {
        Edit::Drag(e) => json!({
            "edit": "drag", "face": face(e.face), "point": e.point, "by": e.by.to_array(), "reach": e.reach, "locks": locks(&e.locks),
            "twin": e.twin.map(|t| json!({ "face": face(t.face), "plane": plane(t.plane) })),
        }),
        Edit::Refit(e) => {
            json!({ "edit": "refit", "face": face(e.face), "size": size(e.size), "keep": e.keep.map(|o| o.map(Order::text)) })
        }
        Edit::Conform(e) => json!({
            "edit": "conform", "face": face(e.face), "side": side(e.side), "to": face(e.to), "order": e.order.text(), "keep": e.keep.text(),
            "search": e.search, "tolerance": e.tolerance,
        }),
        Edit::Crown(e) => json!({
            "edit": "crown", "face": face(e.face), "along": direction(e.along), "by": e.by, "up": e.up.map(|v| v.to_array()),
            "locks": locks(&e.locks),
        }),
        Edit::RidgeSign(e) => json!({
            "edit": "ridge_sign", "face": face(e.face), "side": side(e.side), "beside": face(e.beside), "least": e.least,
            "search": e.search,
        }),
        Edit::Merge(e) => json!({ "edit": "merge", "faces": e.faces.map(face), "tolerance": e.tolerance, "search": e.search }),
        Edit::EdgeRefit(e) => {
            json!({ "edit": "edge_refit", "face": face(e.face), "side": side(e.side), "degree": e.degree, "spans": e.spans })
        }
        Edit::Extend(e) => json!({ "edit": "extend", "face": face(e.face), "side": side(e.side), "length": e.length }),
        Edit::Resweep(e) => {
            let sections = match e.sections {
                Sections::First => "first",
                Sections::Last => "last",
                Sections::Both => "both",
            };
            json!({ "edit": "resweep", "face": face(e.face), "rails": direction(e.rails), "sections": sections, "tolerance": e.tolerance })
        }
        Edit::Refillet(e) => {
            let setback = match e.setback {
                Setback::Mean => json!("mean"),
                Setback::First => json!("first"),
                Setback::Second => json!("second"),
                Setback::Radius(r) => json!({ "radius": r }),
            };
            let profile = if e.profile == Profile::Round { "round" } else { "curvature" };
            json!({
                "edit": "refillet", "face": face(e.face), "along": direction(e.along), "beside": e.beside.map(face), "profile": profile,
                "setback": setback, "tolerance": e.tolerance, "search": e.search,
            })
        }
    }
}
