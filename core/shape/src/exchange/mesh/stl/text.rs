//! ASCII STL: `solid`, facets of a normal and a loop of three corners, `endsolid`; any case, any blanks.

use super::facing::Facing;
use crate::exchange::format::behind_mark;
use crate::exchange::mesh::gather::Gather;
use crate::exchange::mesh::words::Words;
use crate::exchange::mesh::{Found, step};
use crate::exchange::{Limits, ReadError};
use crate::progress::Progress;

pub(super) fn read(bytes: &[u8], limits: &Limits, progress: &mut dyn Progress) -> Result<Found, ReadError> {
    let text = behind_mark(bytes);
    let mut words = Words::new(text, 0, 1);
    let mut found = Found::default();
    let mut facing = Facing::default();
    let mut corners = 0;
    expect(&mut words, b"solid")?;
    loop {
        let name = words.rest_of_line(is_body);
        let mut gather = Gather::default();
        let mut ended = false;
        while let Some(word) = words.next() {
            if is(word, b"endsolid") {
                ended = true;
                break;
            }
            if !is(word, b"facet") {
                return Err(words.unexpected(Some(word), "\"facet\" or \"endsolid\""));
            }
            step(progress, found.entities, found.entities.saturating_add((text.len() - words.offset()) / LIKELY_FACET))?;
            facet(&mut words, &mut gather, &mut facing, corners, limits)?;
            found.entities += 1;
        }
        corners += gather.corners();
        let (mesh, remarks) = gather.finish(name);
        found.meshes.push(mesh);
        found.remarks.extend(remarks);
        if !ended {
            found.remark("the file ends without endsolid: it may be cut off".into());
            break;
        }
        // The name behind endsolid is for people; what matters is whether another solid follows.
        words.rest_of_line(|rest| rest.peek().is_some_and(|word| is(word, b"solid")));
        match words.next() {
            None => break,
            Some(word) if is(word, b"solid") => {}
            Some(word) => return Err(words.unexpected(Some(word), "\"solid\" or the end of the file")),
        }
    }
    facing.tell(&mut found);
    Ok(found)
}

/// Bytes of a facet as most writers space it, to guess how many are left. Only progress depends on it.
const LIKELY_FACET: usize = 250;

/// Behind the word `facet`, up to and with `endfacet`. `before`: corners of earlier solids.
fn facet(words: &mut Words<'_>, gather: &mut Gather, facing: &mut Facing, before: usize, limits: &Limits) -> Result<(), ReadError> {
    expect(words, b"normal")?;
    let normal = [words.number()?, words.number()?, words.number()?];
    expect(words, b"outer")?;
    expect(words, b"loop")?;
    // The first corner and the one before, of which each further one makes a triangle.
    let mut fan: [Option<(u32, [f64; 3])>; 2] = [None; 2];
    loop {
        let word = words.next();
        if word.is_some_and(|word| is(word, b"endloop")) {
            break;
        }
        if !word.is_some_and(|word| is(word, b"vertex")) {
            return Err(words.unexpected(word, "\"vertex\" or \"endloop\""));
        }
        let corner = [words.number()?, words.number()?, words.number()?];
        Gather::allow(before + gather.corners() + 1, limits)?;
        let index = gather.point(corner);
        match fan {
            [None, _] => fan[0] = Some((index, corner)),
            [Some(_), None] => fan[1] = Some((index, corner)),
            [Some((a, first)), Some((b, last))] => {
                facing.look(normal, [first, last, corner]);
                gather.triangle([a, b, index]);
                fan[1] = Some((index, corner));
            }
        }
    }
    expect(words, b"endfacet")
}

/// True where a facet or the end of the solid starts: some writers put no line end behind the name.
fn is_body(words: &Words<'_>) -> bool {
    let mut ahead = words.clone();
    let first = ahead.next();
    first.is_some_and(|word| is(word, b"facet")) && ahead.next().is_some_and(|word| is(word, b"normal"))
}

fn is(word: &[u8], expected: &[u8]) -> bool {
    word.eq_ignore_ascii_case(expected)
}

fn expect(words: &mut Words<'_>, expected: &[u8]) -> Result<(), ReadError> {
    let word = words.next();
    if word.is_some_and(|word| is(word, expected)) {
        return Ok(());
    }
    Err(words.unexpected(word, &format!("\"{}\"", String::from_utf8_lossy(expected))))
}
