//! Numbers and words as few bytes: counts of seven bits a byte (LEB128), words told once, rigs told once.

use super::{LinkError, Rig};

/// Most bytes of a word that is told once and meant again: each such meaning is a copy when it is read.
const MOST_WORD: usize = 60;

/// Ten-thousandths are what the page's own fields have at most.
const PARTS: f64 = 1e4;

/// What is written so far.
#[derive(Default)]
pub(super) struct Out {
    bytes: Vec<u8>,
    words: Vec<String>,
    rigs: Vec<Rig>,
    wrong: Option<LinkError>,
}

impl Out {
    pub(super) fn byte(&mut self, byte: u8) {
        self.bytes.push(byte);
    }

    pub(super) fn raw(&mut self, bytes: &[u8]) {
        self.bytes.extend_from_slice(bytes);
    }

    pub(super) fn count(&mut self, count: u64) {
        let mut left = count;
        while left >= 128 {
            self.byte(left as u8 | 128);
            left >>= 7;
        }
        self.byte(left as u8);
    }

    pub(super) fn signed(&mut self, x: i64) {
        self.count(((x << 1) ^ (x >> 63)) as u64);
    }

    /// Exactly: in ten-thousandths where it is a number of those, else with all its bits.
    pub(super) fn number(&mut self, x: f64) {
        let parts = (x * PARTS).round();
        if parts.abs() < 1e15 && parts / PARTS == x {
            self.byte(0);
            self.signed(parts as i64);
        } else {
            self.byte(1);
            self.double(x);
        }
    }

    pub(super) fn single(&mut self, x: f64) {
        self.raw(&(x as f32).to_le_bytes());
    }

    pub(super) fn double(&mut self, x: f64) {
        self.raw(&x.to_le_bytes());
    }

    pub(super) fn text(&mut self, text: &str) {
        self.list(text.as_bytes());
    }

    pub(super) fn list(&mut self, bytes: &[u8]) {
        self.count(bytes.len() as u64);
        self.raw(bytes);
    }

    /// A word that comes again.
    pub(super) fn word(&mut self, word: &str) {
        if word.len() > MOST_WORD {
            self.wrong(LinkError::Words("the names"));
        }
        match self.words.iter().position(|w| w == word) {
            Some(place) => self.count(place as u64 + 1),
            None => {
                self.count(0);
                self.text(word);
                self.words.push(word.into());
            }
        }
    }

    pub(super) fn rig(&mut self, rig: &Rig) {
        match self.rigs.iter().position(|r| r == rig) {
            Some(place) => self.count(place as u64 + 1),
            None => {
                self.count(0);
                self.word(&rig.family);
                for x in [rig.azimuth, rig.elevation, rig.turn, rig.spacing, rig.step, rig.count, rig.width, rig.reach] {
                    self.number(x);
                }
                self.rigs.push(rig.clone());
            }
        }
    }

    pub(super) fn wrong(&mut self, error: LinkError) {
        self.wrong.get_or_insert(error);
    }

    pub(super) fn finish(self) -> Result<Vec<u8>, LinkError> {
        self.wrong.map_or(Ok(self.bytes), Err)
    }
}

/// True where a text can be a word that comes again.
pub(super) fn is_word(text: &str) -> bool {
    text.len() <= MOST_WORD
}

/// What is left to read. Every method takes the part of the link that errors name.
pub(super) struct In<'a> {
    left: &'a [u8],
    words: Vec<&'a str>,
    rigs: Vec<Rig>,
}

impl<'a> In<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        In { left: bytes, words: Vec::new(), rigs: Vec::new() }
    }

    fn raw<const N: usize>(&mut self, part: &'static str) -> Result<[u8; N], LinkError> {
        let (first, left) = self.left.split_first_chunk().ok_or(LinkError::Ends(part))?;
        self.left = left;
        Ok(*first)
    }

    pub(super) fn byte(&mut self, part: &'static str) -> Result<u8, LinkError> {
        let [byte] = self.raw(part)?;
        Ok(byte)
    }

    pub(super) fn hash(&mut self) -> Result<[u8; 16], LinkError> {
        self.raw("the hash")
    }

    pub(super) fn count(&mut self, part: &'static str) -> Result<u64, LinkError> {
        let mut count = 0;
        for place in 0..10 {
            let byte = self.byte(part)?;
            if place == 9 && byte > 1 {
                break;
            }
            count |= u64::from(byte & 127) << (7 * place);
            if byte < 128 {
                return Ok(count);
            }
        }
        Err(LinkError::Number(part))
    }

    /// How many things follow, of which each has one byte at least.
    pub(super) fn length(&mut self, part: &'static str) -> Result<usize, LinkError> {
        let count = self.count(part)?;
        usize::try_from(count).ok().filter(|n| *n <= self.left.len()).ok_or(LinkError::Ends(part))
    }

    pub(super) fn small(&mut self, part: &'static str) -> Result<u32, LinkError> {
        u32::try_from(self.count(part)?).map_err(|_| LinkError::Number(part))
    }

    pub(super) fn signed(&mut self, part: &'static str) -> Result<i64, LinkError> {
        let x = self.count(part)?;
        Ok((x >> 1) as i64 ^ -((x & 1) as i64))
    }

    pub(super) fn number(&mut self, part: &'static str) -> Result<f64, LinkError> {
        match self.byte(part)? {
            0 => Ok(self.signed(part)? as f64 / PARTS),
            1 => self.double(part),
            _ => Err(LinkError::Number(part)),
        }
    }

    pub(super) fn single(&mut self, part: &'static str) -> Result<f64, LinkError> {
        finite(f64::from(f32::from_le_bytes(self.raw(part)?)), part)
    }

    pub(super) fn double(&mut self, part: &'static str) -> Result<f64, LinkError> {
        finite(f64::from_le_bytes(self.raw(part)?), part)
    }

    pub(super) fn list(&mut self, part: &'static str) -> Result<&'a [u8], LinkError> {
        let length = self.length(part)?;
        let (list, left) = self.left.split_at_checked(length).ok_or(LinkError::Ends(part))?;
        self.left = left;
        Ok(list)
    }

    fn str(&mut self, part: &'static str) -> Result<&'a str, LinkError> {
        str::from_utf8(self.list(part)?).map_err(|_| LinkError::Words(part))
    }

    pub(super) fn text(&mut self, part: &'static str) -> Result<String, LinkError> {
        Ok(self.str(part)?.into())
    }

    pub(super) fn word(&mut self, part: &'static str) -> Result<String, LinkError> {
        let place = self.count(part)?;
        if place > 0 {
            return told(&self.words, place).map(|w| (*w).into()).ok_or(LinkError::Number(part));
        }
        let word = self.str(part)?;
        if !is_word(word) {
            return Err(LinkError::Words(part));
        }
        self.words.push(word);
        Ok(word.into())
    }

    pub(super) fn rig(&mut self, part: &'static str) -> Result<Rig, LinkError> {
        let place = self.count(part)?;
        if place > 0 {
            return told(&self.rigs, place).cloned().ok_or(LinkError::Number(part));
        }
        let rig = Rig {
            family: self.word(part)?,
            azimuth: self.number(part)?,
            elevation: self.number(part)?,
            turn: self.number(part)?,
            spacing: self.number(part)?,
            step: self.number(part)?,
            count: self.number(part)?,
            width: self.number(part)?,
            reach: self.number(part)?,
        };
        self.rigs.push(rig.clone());
        Ok(rig)
    }

    pub(super) fn finish(&self) -> Result<(), LinkError> {
        if self.left.is_empty() { Ok(()) } else { Err(LinkError::More) }
    }
}

/// What was told at a place from 1.
fn told<T>(all: &[T], place: u64) -> Option<&T> {
    all.get(usize::try_from(place - 1).ok()?)
}

fn finite(x: f64, part: &'static str) -> Result<f64, LinkError> {
    if x.is_finite() { Ok(x) } else { Err(LinkError::Number(part)) }
}
