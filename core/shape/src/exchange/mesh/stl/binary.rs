//! Binary STL: 80 bytes of header, a count, and for each triangle a normal, three corners and two bytes of attribute.

use super::facing::Facing;
use crate::exchange::format::STL_TAIL;
use crate::exchange::mesh::gather::Gather;
use crate::exchange::mesh::place::Place;
use crate::exchange::mesh::{Found, step};
use crate::exchange::{Limits, ReadError};
use crate::progress::Progress;

const HEADER: usize = 80;
const FACETS: usize = 84;
const FACET: usize = 50;

/// True when the count and the `length` of the file agree, but for padding.
pub(in crate::exchange) fn has_whole_size(bytes: &[u8], length: u64) -> bool {
    let Some(count) = count(bytes) else { return false };
    let whole = FACETS as u64 + FACET as u64 * u64::from(count);
    (whole..=whole + STL_TAIL).contains(&length)
}

/// True when what stands where facets would is what facets hold, though the count does not fit: a cut or damaged file.
pub(in crate::exchange) fn has_facets(bytes: &[u8]) -> bool {
    // More facets looked at: a cut file with one wild number is not known; fewer: chance is taken for a mesh.
    const LOOKED_AT: usize = 8;
    let Some(body) = bytes.get(FACETS..) else { return false };
    let mut facets = body.chunks_exact(FACET).map(numbers).take(LOOKED_AT).peekable();
    facets.peek().is_some()
        && facets.all(|[normal, corners @ ..]| {
            let length = normal.iter().map(|x| x * x).sum::<f64>();
            let usual = |x: f64| x == 0.0 || (1e-9..1e7).contains(&x.abs());
            (length == 0.0 || (0.98..1.02).contains(&length)) && corners.iter().flatten().all(|&x| usual(x)) && corners[0] != corners[1]
        })
}

pub(super) fn read(bytes: &[u8], limits: &Limits, progress: &mut dyn Progress) -> Result<Found, ReadError> {
    let Some(promised) = count(bytes) else {
        return Err(Place::Byte(bytes.len()).wrong(format!("the file ends inside its header of {FACETS} bytes: it is cut off")));
    };
    let body = bytes.get(FACETS..).unwrap_or_default();
    let there = body.len() / FACET;
    // As u64: a count of 32 bits need not fit an index.
    if u64::from(promised) > there as u64 {
        let place = Place::Byte(bytes.len());
        return Err(
            place.wrong(format!("the file ends inside triangle {} of {promised}: it is cut off or its count is damaged", there + 1))
        );
    }
    let count = promised as usize;
    let end = FACETS + FACET * count;
    let left = bytes.len() - end;
    if left as u64 > STL_TAIL {
        return Err(Place::Byte(end).wrong(format!("{left} bytes follow the last of {count} triangles: the count or the file is damaged")));
    }
    Gather::allow(3 * count, limits)?;
    let mut gather = Gather::with_room(3 * count, count);
    let mut facing = Facing::default();
    for (index, facet) in body.chunks_exact(FACET).take(count).enumerate() {
        step(progress, index, count)?;
        let [normal, corners @ ..] = numbers(facet);
        facing.look(normal, corners);
        let corners = corners.map(|corner| gather.point(corner));
        gather.triangle(corners);
    }
    let (mesh, remarks) = gather.finish(header_text(bytes));
    let mut found = Found { meshes: vec![mesh], remarks, entities: count };
    facing.tell(&mut found);
    Ok(found)
}

fn count(bytes: &[u8]) -> Option<u32> {
    bytes.get(HEADER..FACETS)?.try_into().ok().map(u32::from_le_bytes)
}

/// Normal and corners of one facet.
fn numbers(facet: &[u8]) -> [[f64; 3]; 4] {
    let mut values = facet.chunks_exact(4).map(|b| b.try_into().map_or(0.0, |b| f64::from(f32::from_le_bytes(b))));
    core::array::from_fn(|_| core::array::from_fn(|_| values.next().unwrap_or(0.0)))
}

/// The header up to its first zero byte, where it is text.
fn header_text(bytes: &[u8]) -> String {
    let header = bytes.get(..HEADER).unwrap_or_default();
    let text = header.split(|&b| b == 0).next().unwrap_or_default();
    String::from_utf8_lossy(text).chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>().trim().into()
}
