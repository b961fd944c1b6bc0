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
        let from = &mut from;
        let link = Link {
            model: model(from)?,
            camera: camera(from)?,
            pass: from.word("the pass")?,
            zone: from.word("the zone")?,
            lamps: from.rig("the lamps")?,
            hidden: hidden(from)?,
            marks: many(from, "the judgements", mark)?,
            pins: many(from, "the pins", pin)?,
            rest: from.text("the limits and colours")?,
        };
        from.finish()?;
        Ok(link)
    }
}

fn model(from: &mut In) -> Result<LinkModel, LinkError> {
    let part = "the model";
    let source = match from.byte(part)? {
        0 => Source::Own,
        1 => Source::Demo,
        2 => Source::Address(from.text(part)?),
        3 => Source::Packed(from.list(part)?.to_vec()),
        _ => return Err(LinkError::Number(part)),
    };
    let name = from.text(part)?;
    let hash = from.hash()?.iter().map(|byte| format!("{byte:02x}")).collect();
    Ok(LinkModel { name, hash, source })
}

fn camera(from: &mut In) -> Result<Option<Stand>, LinkError> {
    let part = "the camera";
    match from.byte(part)? {
        0 => Ok(None),
        1 => stand(from, part, In::double).map(Some),
        _ => Err(LinkError::Number(part)),
    }
}

type Number<'a> = fn(&mut In<'a>, &'static str) -> Result<f64, LinkError>;

fn stand<'a>(from: &mut In<'a>, part: &'static str, number: Number<'a>) -> Result<Stand, LinkError> {
    let target = [number(from, part)?, number(from, part)?, number(from, part)?];
    Ok(Stand {
        target,
        yaw: number(from, part)?,
        // Straight down in single precision is a little more than that in double.
        pitch: number(from, part)?.clamp(-FRAC_PI_2, FRAC_PI_2),
        distance: number(from, part)?,
        projection: from.word(part)?,
    })
}

fn hidden(from: &mut In) -> Result<Vec<u32>, LinkError> {
    let part = "the faces not shown";
    let mut last = 0u32;
    many(from, part, |from| {
        last = last.checked_add(from.small(part)?).ok_or(LinkError::Number(part))?;
        Ok(last)
    })
}

fn many<'a, T>(
    from: &mut In<'a>,
    part: &'static str,
    mut one: impl FnMut(&mut In<'a>) -> Result<T, LinkError>,
) -> Result<Vec<T>, LinkError> {
    (0..from.length(part)?).map(|_| one(from)).collect()
}

fn mark(from: &mut In) -> Result<LinkMark, LinkError> {
    let part = "the judgements";
    let (measure, rest) = (from.word(part)?, from.text(part)?);
    let key = if measure.is_empty() { rest } else { format!("{measure}|{rest}") };
    Ok(LinkMark { key, state: from.word(part)?, severity: from.word(part)?, reason: from.text(part)?, note: from.text(part)? })
}

fn pin(from: &mut In) -> Result<LinkPin, LinkError> {
    let part = "the pins";
    let mut p = LinkPin {
        key: from.small(part)?,
        title: from.text(part)?,
        text: from.text(part)?,
        severity: from.word(part)?,
        state: from.word(part)?,
        place: [from.single(part)?, from.single(part)?, from.single(part)?],
        face: from.count(part)?.checked_sub(1).map(u32::try_from).transpose().map_err(|_| LinkError::Number(part))?,
        camera: stand(from, part, In::single)?,
        lamps: from.rig(part)?,
        pass: from.word(part)?,
        strokes: Vec::new(),
    };
    let step = p.camera.distance / STEPS;
    p.strokes = many(from, part, |from| {
        let mut at = p.place;
        many(from, part, |from| {
            for x in &mut at {
                *x += from.signed(part)? as f64 * step;
            }
            Ok(at)
        })
    })?;
    Ok(p)
}
