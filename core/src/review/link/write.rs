//! The body of a link, in order: source of the model (0 own, 1 demo, 2 address, 3 packed; then the address or the packed bytes), its
//! name, 16 bytes of its hash; 1 and the camera, or 0; pass; zone; rig; faces not shown, each as its distance from the one before;
//! marks; pins; the rest. Lists begin with their count, texts with their length in bytes.

use super::bytes::{Out, is_word};
use super::{Link, LinkError, LinkMark, LinkPin, Source, Stand};

/// Steps of strokes in a camera's distance: some tenth of a pixel.
pub(super) const STEPS: f64 = 8192.0;

impl Link {
    /// The body of version 1, without check sum.
    ///
    /// # Errors
    /// The hash is none, or a name is too long.
    pub fn to_bytes(&self) -> Result<Vec<u8>, LinkError> {
        let mut out = Out::default();
        match &self.model.source {
            Source::Own => out.byte(0),
            Source::Demo => out.byte(1),
            Source::Address(address) => {
                out.byte(2);
                out.text(address);
            }
            Source::Packed(bytes) => {
                out.byte(3);
                out.list(bytes);
            }
        }
        out.text(&self.model.name);
        let digits = |i: usize| self.model.hash.get(2 * i..2 * i + 2).and_then(|two| u8::from_str_radix(two, 16).ok());
        match (0..16).map(digits).collect::<Option<Vec<u8>>>() {
            Some(hash) if self.model.hash.len() == 32 => out.raw(&hash),
            _ => out.wrong(LinkError::Number("the hash")),
        }
        out.byte(self.camera.is_some().into());
        if let Some(c) = &self.camera {
            stand(&mut out, c, Out::double);
        }
        out.word(&self.pass);
        out.word(&self.zone);
        out.rig(&self.lamps);
        out.count(self.hidden.len() as u64);
        let mut before = 0;
        for face in &self.hidden {
            out.count(face.wrapping_sub(before).into());
            before = *face;
        }
        out.count(self.marks.len() as u64);
        self.marks.iter().for_each(|m| mark(&mut out, m));
        out.count(self.pins.len() as u64);
        self.pins.iter().for_each(|p| pin(&mut out, p));
        out.text(&self.rest);
        out.finish()
    }
}

fn stand(out: &mut Out, s: &Stand, number: fn(&mut Out, f64)) {
    for x in s.target.into_iter().chain([s.yaw, s.pitch, s.distance]) {
        number(out, x);
    }
    out.word(&s.projection);
}

/// A key begins with its measure, which comes again.
fn mark(out: &mut Out, m: &LinkMark) {
    let (measure, rest) = m.key.split_once('|').filter(|(measure, _)| is_word(measure) && !measure.is_empty()).unwrap_or(("", &m.key));
    out.word(measure);
    out.text(rest);
    out.word(&m.state);
    out.word(&m.severity);
    out.text(&m.reason);
    out.text(&m.note);
}

fn pin(out: &mut Out, p: &LinkPin) {
    out.count(p.key.into());
    out.text(&p.title);
    out.text(&p.text);
    out.word(&p.severity);
    out.word(&p.state);
    p.place.into_iter().for_each(|x| out.single(x));
    out.count(p.face.map_or(0, |face| u64::from(face) + 1));
    stand(out, &p.camera, Out::single);
    out.rig(&p.lamps);
    out.word(&p.pass);
    out.count(p.strokes.len() as u64);
    let step = f64::from(p.camera.distance as f32) / STEPS;
    for stroke in &p.strokes {
        out.count(stroke.len() as u64);
        let mut before = p.place.map(|x| f64::from(x as f32));
        for point in stroke {
            for (x, at) in point.iter().zip(&mut before) {
                let steps = ((x - *at) / step).round() as i64;
                out.signed(steps);
                *at += steps as f64 * step;
            }
        }
    }
}
