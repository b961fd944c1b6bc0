//! A view of a model with its judgements as a link: the part of an address after `#`, which no browser sends to a host.
//!
//! The text is `v1.` and letters of base64url (RFC 4648, section 5, without padding): two bytes of a check sum, then the body that
//! `write.rs` describes. A link of version 1 stays readable; what changes the body is version 2.

mod bytes;
mod read;
#[cfg(test)]
mod tests;
mod text;
mod write;

use core::fmt;

/// Most characters of a link. Browsers take more, but not what sends it on.
pub const MOST_TEXT: usize = 64_000;

/// What a link holds. Names of passes, zones, severities and the like are the page's own, which it checks.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Link {
    /// The model it is about.
    pub model: LinkModel,
    /// Where the camera stands, to the last bit.
    pub camera: Option<Stand>,
    /// The pass that is open.
    pub pass: String,
    /// Zone of the yardstick.
    pub zone: String,
    /// The lamps.
    pub lamps: Rig,
    /// Numbers of faces that are not shown, rising; the page hides none yet.
    pub hidden: Vec<u32>,
    /// What is said of findings.
    pub marks: Vec<LinkMark>,
    /// Findings and remarks of the reviewer's own.
    pub pins: Vec<LinkPin>,
    /// Other parts of the review that the ledger goes by, as JSON; empty where none was changed.
    pub rest: String,
}

/// The model of a link.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LinkModel {
    /// File name.
    pub name: String,
    /// The first 16 bytes of the SHA-256 of its bytes, in 32 lower-case hexadecimal digits.
    pub hash: String,
    /// Where it comes from.
    pub source: Source,
}

/// Where a link's model comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Source {
    /// Whoever opens the link has it.
    #[default]
    Own,
    /// It is the demonstration model.
    Demo,
    /// It is fetched from an address.
    Address(String),
    /// It is in the link: its bytes, packed with gzip.
    Packed(Vec<u8>),
}

/// Where a camera stands; mm and radians.
#[derive(Debug, Clone, Default, PartialEq)]
#[allow(missing_docs)] // as of cameras
pub struct Stand {
    pub target: [f64; 3],
    pub yaw: f64,
    pub pitch: f64,
    pub distance: f64,
    pub projection: String,
}

/// The lamp rig, as the page has it (www/lamp-rig.js): degrees and model sizes.
#[derive(Debug, Clone, Default, PartialEq)]
#[allow(missing_docs)] // as of the page's rig
pub struct Rig {
    pub family: String,
    pub azimuth: f64,
    pub elevation: f64,
    pub turn: f64,
    pub spacing: f64,
    pub step: f64,
    pub count: f64,
    pub width: f64,
    pub reach: f64,
}

/// What is said of one finding.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LinkMark {
    /// The finding's lasting name ([`finding_key`](super::said::finding_key)).
    pub key: String,
    /// What becomes of it.
    pub state: String,
    /// Another severity than was measured, empty where it stands.
    pub severity: String,
    /// Why.
    pub reason: String,
    /// A note.
    pub note: String,
}

/// A pin, with places and camera in single precision: they are of things of some pixels.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LinkPin {
    /// Its number.
    pub key: u32,
    /// Its heading.
    pub title: String,
    /// What it says.
    pub text: String,
    /// How much it matters.
    pub severity: String,
    /// What becomes of it.
    pub state: String,
    /// Where it stands, mm.
    pub place: [f64; 3],
    /// The face it stands on.
    pub face: Option<u32>,
    /// Where it is looked at from.
    pub camera: Stand,
    /// The lamps it is looked at under.
    pub lamps: Rig,
    /// The pass it was placed in.
    pub pass: String,
    /// Lines drawn over the picture, points in mm, to 1/8192 of the camera's distance.
    pub strokes: Vec<Vec<[f64; 3]>>,
}

/// Why a text is no link, or a review does not fit into one. What is named is the part of the link that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkError {
    /// It does not begin as links do.
    NoLink,
    /// A later version wrote it; the number it states.
    Later(String),
    /// It has more than [`MOST_TEXT`] characters.
    Long,
    /// The character at this place, from 1, stands in no link.
    Letter(usize),
    /// Its check sum does not hold.
    Changed,
    /// It ends within this part.
    Ends(&'static str),
    /// A number of this part is none, or out of range.
    Number(&'static str),
    /// Words of this part are no text, or too long.
    Words(&'static str),
    /// It goes on after its end.
    More,
}

impl fmt::Display for LinkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LinkError::NoLink => write!(f, "It is no link of Rakelight."),
            LinkError::Later(version) => {
                write!(f, "It was written by a later version of Rakelight (form {version}); this page reads form 1.")
            }
            LinkError::Long => write!(f, "It has more than {MOST_TEXT} characters."),
            LinkError::Letter(place) => write!(f, "Its character {place} stands in no link."),
            LinkError::Changed => write!(f, "It is not whole: it was cut or changed on its way."),
            LinkError::Ends(part) => write!(f, "It ends within {part}."),
            LinkError::Number(part) => write!(f, "A number of {part} is out of range."),
            LinkError::Words(part) => write!(f, "Words of {part} are no text, or too long."),
            LinkError::More => write!(f, "It goes on after its end."),
        }
    }
}

impl std::error::Error for LinkError {}
