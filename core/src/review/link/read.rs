//! The body of a link read back; what is wrong is told by the part that it is in.

use super::bytes::In;
use super::write::STEPS;
use super::{Link, LinkError, LinkMark, LinkModel, LinkPin, Source, Stand};
use core::f64::consts::FRAC_PI_2;

impl Link {
    /// Reads a body of version 1, without check sum.
    ///
    /// # Errors
    /// It ends early, goes on after its end, or a number or text is out of range.
    pub fn from_bytes(bytes: &[u8]) -> Result<Link, LinkError> {
        let mut from = In::new(bytes);
        let link = Link {
            model: model(&mut from),
            camera: camera(&mut from),
            pass: from.word("the pass"),
            zone: from.word("the zone"),
            lamps: from.rig("the lamps"),
            hidden: hidden(&mut from),
            marks: from.many("the judgements", mark),
            pins: from.many("the pins", pin),
            rest: from.text("the limits and colours"),
        };
        from.finish().map(|()| link)
    }
}

fn model(from: &mut In) -> LinkModel {
    let part = "the model";
    let source = match from.byte(part) {
        0 => Source::Own,
        1 => Source::Demo,
        2 => Source::Address(from.text(part)),
        3 => Source::Packed(from.list(part).to_vec()),
        _ => {
            from.wrong(LinkError::Number(part));
            Source::Own
        }
    };
    let name = from.text(part);
    let hash = from.hash().iter().map(|byte| format!("{byte:02x}")).collect();
    LinkModel { name, hash, source }
}

fn camera(from: &mut In) -> Option<Stand> {
    let part = "the camera";
    match from.byte(part) {
        0 => return None,
        1 => {}
        _ => from.wrong(LinkError::Number(part)),
    }
    Some(stand(from, part, In::double))
}

fn stand<'a>(from: &mut In<'a>, part: &'static str, number: fn(&mut In<'a>, &'static str) -> f64) -> Stand {
    let [x, y, z, yaw, pitch, distance] = [(); 6].map(|()| number(from, part));
    // Straight down in single precision is a little more than that in double.
    let pitch = pitch.clamp(-FRAC_PI_2, FRAC_PI_2);
    Stand { target: [x, y, z], yaw, pitch, distance, projection: from.word(part) }
}

fn hidden(from: &mut In) -> Vec<u32> {
    let part = "the faces not shown";
    let mut last = 0u32;
    from.many(part, |from| {
        let next = last.checked_add(from.small(part));
        if next.is_none() {
            from.wrong(LinkError::Number(part));
        }
        last = next.unwrap_or_default();
        last
    })
}

fn mark(from: &mut In) -> LinkMark {
    let part = "the judgements";
    let (measure, rest) = (from.word(part), from.text(part));
    let key = if measure.is_empty() { rest } else { format!("{measure}|{rest}") };
    LinkMark { key, state: from.word(part), severity: from.word(part), reason: from.text(part), note: from.text(part) }
}

fn pin(from: &mut In) -> LinkPin {
    let part = "the pins";
    let mut p = LinkPin {
        key: from.small(part),
        title: from.text(part),
        text: from.text(part),
        severity: from.word(part),
        state: from.word(part),
        place: [(); 3].map(|()| from.single(part)),
        face: face(from, part),
        camera: stand(from, part, In::single),
        lamps: from.rig(part),
        pass: from.word(part),
        strokes: Vec::new(),
    };
    let step = p.camera.distance / STEPS;
    p.strokes = from.many(part, |from| {
        let mut at = p.place;
        from.many(part, |from| {
            at.iter_mut().for_each(|x| *x += from.signed(part) as f64 * step);
            at
        })
    });
    p
}

fn face(from: &mut In, part: &'static str) -> Option<u32> {
    let face = from.count(part).checked_sub(1)?;
    if face > u32::MAX.into() {
        from.wrong(LinkError::Number(part));
    }
    Some(face as u32)
}
