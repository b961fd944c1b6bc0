//! Bytes as the text of a link, with version and check sum.

use super::{Link, LinkError, MOST_TEXT};

const VERSION: &str = "v1.";
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

impl Link {
    /// The text after `#`.
    ///
    /// # Errors
    /// The hash is none, a name is too long, or the whole has more than [`MOST_TEXT`] characters.
    pub fn write(&self) -> Result<String, LinkError> {
        let body = self.to_bytes()?;
        let mut bytes = check_sum(&body).to_le_bytes().to_vec();
        bytes.extend(body);
        let text = format!("{VERSION}{}", letters(&bytes));
        if text.len() > MOST_TEXT { Err(LinkError::Long) } else { Ok(text) }
    }

    /// What a text says, with or without the `#` before it.
    ///
    /// # Errors
    /// It is no link, is not whole, or a later version wrote it.
    pub fn read(text: &str) -> Result<Link, LinkError> {
        let text = text.strip_prefix('#').unwrap_or(text);
        if text.len() > MOST_TEXT {
            return Err(LinkError::Long);
        }
        let Some(rest) = text.strip_prefix(VERSION) else {
            let version = text.strip_prefix('v').and_then(|t| t.split_once('.')).map(|(version, _)| version);
            let later = version.filter(|v| (1..6).contains(&v.len()) && v.bytes().all(|b| b.is_ascii_digit()));
            return Err(later.map_or(LinkError::NoLink, |v| LinkError::Later(v.into())));
        };
        let bytes = bytes_of(rest)?;
        let Some((sum, body)) = bytes.split_first_chunk() else { return Err(LinkError::Changed) };
        if u16::from_le_bytes(*sum) != check_sum(body) {
            return Err(LinkError::Changed);
        }
        Link::from_bytes(body)
    }
}

/// CRC-16/IBM-3740 (ISO/IEC 13239 without its last complement).
pub(super) fn check_sum(bytes: &[u8]) -> u16 {
    let mut sum = u16::MAX;
    for byte in bytes {
        sum ^= u16::from(*byte) << 8;
        for _ in 0..8 {
            sum = if sum & 0x8000 == 0 { sum << 1 } else { (sum << 1) ^ 0x1021 };
        }
    }
    sum
}

fn letters(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 4 / 3 + 4);
    for three in bytes.chunks(3) {
        let all = three.iter().fold(0, |all, byte| (all << 8) | u32::from(*byte)) << (8 * (3 - three.len()));
        for place in 0..=three.len() {
            text.push(char::from(LETTERS[(all >> (18 - 6 * place)) as usize & 63]));
        }
    }
    text
}

fn bytes_of(text: &str) -> Result<Vec<u8>, LinkError> {
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut held, mut bits) = (0u32, 0);
    for (place, letter) in text.bytes().enumerate() {
        let value = LETTERS.iter().position(|l| *l == letter).ok_or(LinkError::Letter(VERSION.len() + place + 1))?;
        held = (held << 6) | value as u32;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
        }
    }
    Ok(bytes)
}
