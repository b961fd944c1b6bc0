//! Random damage to a file, the same for the same seed: what disks, mail and hands do, and what an attacker would.

use crate::dice::Dice;

/// What is done to a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Some bytes have other values.
    Flips,
    /// The file ends early.
    Cut,
    /// Lines (or pieces, where there are none) are missing, doubled or swapped.
    Lines,
    /// References (or whole numbers) have changed places.
    SwappedReferences,
    /// A whole number is absurdly large, or negative.
    HugeCount,
    /// Lists nest thousands deep.
    DeepNesting,
    /// Something refers to itself or to what refers to it.
    Cycle,
}

/// Each kind.
pub const KINDS: [Kind; 7] =
    [Kind::Flips, Kind::Cut, Kind::Lines, Kind::SwappedReferences, Kind::HugeCount, Kind::DeepNesting, Kind::Cycle];

/// The file damaged in the way and at the places that `seed` settles. Seeds in a row take the kinds in turn.
pub fn damage(sound: &[u8], seed: u64) -> (Kind, Vec<u8>) {
    let kind = KINDS[(seed % KINDS.len() as u64) as usize];
    let mut dice = Dice::new(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ sound.len() as u64);
    let mut bytes = sound.to_vec();
    match kind {
        Kind::Flips => {
            for _ in 0..=dice.below(16) {
                let at = dice.below(bytes.len());
                bytes[at] = if dice.below(2) == 0 { bytes[at] ^ (1 << dice.below(8)) } else { dice.below(256) as u8 };
            }
        }
        Kind::Cut => bytes.truncate(dice.below(sound.len())),
        Kind::Lines => bytes = disturb_lines(sound, &mut dice),
        Kind::SwappedReferences => {
            for _ in 0..=dice.below(4) {
                bytes = swap_numbers(&bytes, &mut dice);
            }
        }
        Kind::HugeCount => bytes = enlarge(sound, &mut dice),
        Kind::DeepNesting => bytes = nest(sound, &mut dice),
        Kind::Cycle => bytes = tie(sound, &mut dice),
    }
    (kind, bytes)
}

fn disturb_lines(sound: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut lines: Vec<&[u8]> = sound.split_inclusive(|&b| b == b'\n').collect();
    for _ in 0..=dice.below(5) {
        let (a, b) = (dice.below(lines.len()), dice.below(lines.len()));
        match dice.below(3) {
            0 if lines.len() > 1 => {
                lines.remove(a);
            }
            1 => lines.insert(b, lines[a]),
            _ => lines.swap(a, b),
        }
    }
    lines.concat()
}

/// Where whole numbers stand: `#12` in Part 21, digits between separators elsewhere.
fn numbers(bytes: &[u8]) -> Vec<(usize, usize)> {
    let step = is_step(bytes);
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let run = bytes[at..].iter().take_while(|b| b.is_ascii_digit()).count();
        let before = at.checked_sub(1).map_or(b' ', |n| bytes[n]);
        let after = bytes.get(at + run).copied().unwrap_or(b' ');
        let part_of_more = |b: u8| b == b'.' || b.is_ascii_alphabetic();
        if run > 0 && (if step { before == b'#' } else { !part_of_more(before) && !part_of_more(after) }) {
            found.push((at, at + run));
        }
        at += run.max(1);
    }
    found
}

fn is_step(bytes: &[u8]) -> bool {
    bytes.starts_with(b"ISO-10303-21")
}

/// True for lines of 80 columns, where what is put in must be as wide as what it replaces.
fn is_iges(bytes: &[u8]) -> bool {
    bytes.get(72) == Some(&b'S')
}

fn replace(bytes: &[u8], (from, to): (usize, usize), by: &[u8]) -> Vec<u8> {
    let mut by = by.to_vec();
    if is_iges(bytes) {
        let width = to - from;
        by.truncate(width);
        while by.len() < width {
            by.insert(0, b' ');
        }
    }
    [&bytes[..from], &by, &bytes[to..]].concat()
}

fn swap_numbers(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let places = numbers(bytes);
    if places.len() < 2 {
        return binary_number(bytes, dice, |dice| dice.below(1000) as u32);
    }
    let (a, b) = (places[dice.below(places.len())], places[dice.below(places.len())]);
    let (first, second) = if a.0 < b.0 { (a, b) } else { (b, a) };
    if first == second {
        return bytes.to_vec();
    }
    let (one, other) = (bytes[first.0..first.1].to_vec(), bytes[second.0..second.1].to_vec());
    // The later one first, so that the earlier place stays where it is.
    replace(&replace(bytes, second, &one), first, &other)
}

fn enlarge(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let huge: [&[u8]; 7] = [b"2147483647", b"4294967295", b"4294967296", b"99999999999999999999999", b"-1", b"0", b"1000000"];
    let value = huge[dice.below(huge.len())];
    let all_numbers: Vec<(usize, usize)> = if is_step(bytes) {
        // Any number: knots' multiplicities and degrees as well as references.
        let digits = |&(at, b): &(usize, &u8)| b.is_ascii_digit() && !bytes[at.saturating_sub(1)].is_ascii_alphanumeric();
        bytes.iter().enumerate().filter(digits).map(|(at, _)| (at, at + 1)).collect()
    } else {
        numbers(bytes)
    };
    if all_numbers.is_empty() || dice.below(8) == 0 {
        return binary_number(bytes, dice, |dice| [u32::MAX, i32::MAX as u32, 1 << 24][dice.below(3)]);
    }
    let place = all_numbers[dice.below(all_numbers.len())];
    if is_iges(bytes) {
        return replace(bytes, place, &b"9".repeat(place.1 - place.0));
    }
    replace(bytes, place, value)
}

/// Four bytes anywhere as another number of 32 bits.
fn binary_number(bytes: &[u8], dice: &mut Dice, mut value: impl FnMut(&mut Dice) -> u32) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    if bytes.len() >= 4 {
        let at = if dice.below(2) == 0 && bytes.len() > 84 { 80 } else { dice.below(bytes.len() - 3) };
        bytes[at..at + 4].copy_from_slice(&value(dice).to_le_bytes());
    }
    bytes
}

fn nest(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let depth = [50, 1_000, 100_000][dice.below(3)];
    let opening: Vec<usize> = (0..bytes.len()).filter(|&at| matches!(bytes[at], b'(' | b',' | b' ')).collect();
    let at = if opening.is_empty() { dice.below(bytes.len()) } else { opening[dice.below(opening.len())] + 1 };
    let (open, close): (&[u8], &[u8]) = if is_step(bytes) { (b"(", b")") } else { (b"102,2,1,", b";") };
    let ended = dice.below(2) == 0;
    let closing = if ended { close.repeat(depth) } else { Vec::new() };
    [&bytes[..at], &open.repeat(depth), &closing, &bytes[at..]].concat()
}

/// Part 21: a reference becomes the number of its own entity, or of one that refers to it. Elsewhere: a whole number
/// becomes that of its own line or of another place.
fn tie(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let places = numbers(bytes);
    if places.is_empty() {
        return binary_number(bytes, dice, |dice| dice.below(10) as u32);
    }
    let place = places[dice.below(places.len())];
    let line_start = bytes[..place.0].iter().rposition(|&b| b == b'\n').map_or(0, |n| n + 1);
    let line_end = bytes[place.0..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |n| place.0 + n);
    let line = &bytes[line_start..line_end];
    let own: Vec<u8> = if is_step(bytes) {
        line.iter().skip(1).copied().take_while(u8::is_ascii_digit).collect()
    } else {
        // The directory entry that an IGES parameter line belongs to stands in columns 65 to 72.
        line.get(64..72).unwrap_or(line).trim_ascii().to_vec()
    };
    if own.is_empty() { swap_numbers(bytes, dice) } else { replace(bytes, place, &own) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::damaged::one_face;

    #[test]
    fn the_same_seed_damages_in_the_same_way_and_most_seeds_in_another() {
        let sound = one_face("#20=PLANE('',#21);").into_bytes();
        let mut seen = std::collections::BTreeSet::new();
        for seed in 0..70 {
            let (kind, bytes) = damage(&sound, seed);
            assert_eq!((kind, &bytes), (damage(&sound, seed).0, &damage(&sound, seed).1));
            assert_eq!(kind, KINDS[seed as usize % 7]);
            seen.insert(bytes);
        }
        assert!(seen.len() > 60, "{}", seen.len());
    }

    #[test]
    fn lines_of_eighty_columns_stay_so() {
        let record = |text: &str, end: &str| format!("{text:72}{end:8}\n");
        let sound =
            record("", "S      1") + &record("128,1,1,3,5,0,0,0,7,9,11;                                              3", "P      1");
        for seed in 0..200 {
            let (kind, bytes) = damage(sound.as_bytes(), seed);
            if matches!(kind, Kind::SwappedReferences | Kind::HugeCount | Kind::Cycle) {
                assert_eq!(bytes.len(), sound.len(), "{kind:?}");
            }
        }
    }
}
