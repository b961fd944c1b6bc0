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

/// What is left to read. The first thing that is wrong is kept with the part it is in, and from then on nothing is left: all that is read is
/// empty. Results after each number would be most of the reader.
pub(super) struct In<'a> {
    left: &'a [u8],
    words: Vec<&'a str>,
    rigs: Vec<Rig>,
    wrong: Option<LinkError>,
}

impl<'a> In<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        In { left: bytes, words: Vec::new(), rigs: Vec::new(), wrong: None }
    }

    pub(super) fn wrong(&mut self, error: LinkError) {
        self.wrong.get_or_insert(error);
        self.left = &[];
    }

    fn raw<const N: usize>(&mut self, part: &'static str) -> [u8; N] {
        let Some((first, left)) = self.left.split_first_chunk() else {
            self.wrong(LinkError::Ends(part));
            return [0; N];
        };
        self.left = left;
        *first
    }

    pub(super) fn byte(&mut self, part: &'static str) -> u8 {
        let [byte] = self.raw(part);
        byte
    }

    pub(super) fn hash(&mut self) -> [u8; 16] {
        self.raw("the hash")
    }

    pub(super) fn count(&mut self, part: &'static str) -> u64 {
        let mut count = 0;
        for place in 0..10 {
            let byte = self.byte(part);
            if place == 9 && byte > 1 {
                break;
            }
            count |= u64::from(byte & 127) << (7 * place);
            if byte < 128 {
                return count;
            }
        }
        self.wrong(LinkError::Number(part));
        0
    }

    /// How many things follow, of which each has one byte at least.
    fn length(&mut self, part: &'static str) -> usize {
        let count = self.count(part);
        let length = usize::try_from(count).ok().filter(|n| *n <= self.left.len());
        length.unwrap_or_else(|| {
            self.wrong(LinkError::Ends(part));
            0
        })
    }

    /// A list of what `one` reads.
    pub(super) fn many<T>(&mut self, part: &'static str, mut one: impl FnMut(&mut In<'a>) -> T) -> Vec<T> {
        let mut all = Vec::new();
        for _ in 0..self.length(part) {
            if self.wrong.is_some() {
                break;
            }
            all.push(one(self));
        }
        all
    }

    pub(super) fn small(&mut self, part: &'static str) -> u32 {
        let count = self.count(part);
        u32::try_from(count).unwrap_or_else(|_| {
            self.wrong(LinkError::Number(part));
            0
        })
    }

    pub(super) fn signed(&mut self, part: &'static str) -> i64 {
        let x = self.count(part);
        (x >> 1) as i64 ^ -((x & 1) as i64)
    }

    pub(super) fn number(&mut self, part: &'static str) -> f64 {
        match self.byte(part) {
            0 => self.signed(part) as f64 / PARTS,
            1 => self.double(part),
            _ => {
                self.wrong(LinkError::Number(part));
                0.0
            }
        }
    }

    pub(super) fn single(&mut self, part: &'static str) -> f64 {
        let x = f32::from_le_bytes(self.raw(part));
        self.finite(x.into(), part)
    }

    pub(super) fn double(&mut self, part: &'static str) -> f64 {
        let x = f64::from_le_bytes(self.raw(part));
        self.finite(x, part)
    }

    fn finite(&mut self, x: f64, part: &'static str) -> f64 {
        if !x.is_finite() {
            self.wrong(LinkError::Number(part));
            return 0.0;
        }
        x
    }

    pub(super) fn list(&mut self, part: &'static str) -> &'a [u8] {
        let length = self.length(part);
        let (list, left) = self.left.split_at_checked(length).unwrap_or_default();
        self.left = left;
        list
    }

    fn str(&mut self, part: &'static str) -> &'a str {
        str::from_utf8(self.list(part)).unwrap_or_else(|_| {
            self.wrong(LinkError::Words(part));
            ""
        })
    }

    pub(super) fn text(&mut self, part: &'static str) -> String {
        self.str(part).into()
    }

    pub(super) fn word(&mut self, part: &'static str) -> String {
        let place = self.count(part);
        if place > 0 {
            let word = told(&self.words, place).copied();
            if word.is_none() {
                self.wrong(LinkError::Number(part));
            }
            return word.unwrap_or_default().into();
        }
        let word = self.str(part);
        if !is_word(word) {
            self.wrong(LinkError::Words(part));
        }
        self.words.push(word);
        word.into()
    }

    pub(super) fn rig(&mut self, part: &'static str) -> Rig {
        let place = self.count(part);
        if place > 0 {
            let rig = told(&self.rigs, place).cloned();
            if rig.is_none() {
                self.wrong(LinkError::Number(part));
            }
            return rig.unwrap_or_default();
        }
        let family = self.word(part);
        let [azimuth, elevation, turn, spacing, step, count, width, reach] = [(); 8].map(|()| self.number(part));
        let rig = Rig { family, azimuth, elevation, turn, spacing, step, count, width, reach };
        self.rigs.push(rig.clone());
        rig
    }

    pub(super) fn finish(self) -> Result<(), LinkError> {
        match self.wrong {
            Some(error) => Err(error),
            None if self.left.is_empty() => Ok(()),
            None => Err(LinkError::More),
        }
    }
}

/// What was told at a place from 1.
fn told<T>(all: &[T], place: u64) -> Option<&T> {
    all.get(usize::try_from(place - 1).ok()?)
}
