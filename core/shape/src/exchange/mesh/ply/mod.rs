//! PLY: tables of numbers, of which `vertex`, `face` and `tristrips` make a mesh. Common practice, no source.
//!
//! Elements and properties may come in any order; those not needed are stepped over.

mod cursor;
mod header;
#[cfg(test)]
mod tests;

use super::gather::Gather;
use super::place::Place;
use super::{Found, step};
use crate::exchange::{Format, Import, Limits, ReadError};
use crate::progress::Progress;
use cursor::{Cursor, whole};
use header::{Element, Encoding, Header, Kind};

/// Reads a PLY file.
pub(in crate::exchange) fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let header = Header::read(bytes)?;
    let vertices = element(&header, "vertex")?;
    let faces = header.elements.iter().any(|e| is_polygons(e) && e.rows > 0);
    if vertices.rows > 0 && !faces {
        let message = format!("the file is a cloud of {} points without faces, which is not read", vertices.rows);
        return Err(Place::Line(vertices.line).wrong(message));
    }
    check_size(bytes, &header)?;
    Gather::allow(vertices.rows, limits)?;
    let mut cursor = Cursor::new(bytes, &header);
    let triangles = count_triangles(cursor.clone(), &header)?;
    Gather::allow_triangles(triangles, limits)?;
    let mut gather = Gather::with_room(vertices.rows, triangles);
    let total = header.elements.iter().map(|e| e.rows).fold(0, usize::saturating_add);
    let mut done = 0;
    for element in &header.elements {
        if element.properties.is_empty() {
            continue;
        }
        let place = columns(element)?;
        for _ in 0..element.rows {
            step(progress, done, total)?;
            done += 1;
            match place {
                Columns::Position(xyz) => {
                    let position = position(&mut cursor, element, xyz)?;
                    gather.point(position);
                }
                Columns::Corners(list) => polygon(&mut cursor, element, list, &mut gather)?,
                Columns::None => skip_row(&mut cursor, element)?,
            }
        }
    }
    let (mesh, remarks) = gather.finish(String::new());
    let mut found = Found { meshes: vec![mesh], remarks, entities: total };
    if !cursor.is_done() {
        found.remark(format!("the file goes on behind the last element, at byte {}; that is not read", cursor.offset()));
    }
    let schema = match header.encoding {
        Encoding::Text => "PLY, ASCII",
        Encoding::LittleEndian => "PLY, binary little endian",
        Encoding::BigEndian => "PLY, binary big endian",
    };
    found.import(Format::Ply, schema, name, limits)
}

fn element<'a>(header: &'a Header, name: &str) -> Result<&'a Element, ReadError> {
    let found = header.elements.iter().find(|e| e.name == name);
    found.ok_or_else(|| Place::Line(header.line.saturating_sub(1)).wrong(format!("the header declares no element \"{name}\"")))
}

fn is_polygons(element: &Element) -> bool {
    matches!(element.name.as_str(), "face" | "tristrips")
}

/// Which columns of an element make the mesh.
#[derive(Debug, Clone, Copy)]
enum Columns {
    Position([usize; 3]),
    Corners(usize),
    None,
}

fn columns(element: &Element) -> Result<Columns, ReadError> {
    let lacks = |what: &str| Place::Line(element.line).wrong(format!("the element \"{}\" has no property {what}", element.name));
    if element.name == "vertex" {
        let [x, y, z] = ["x", "y", "z"].map(|name| element.scalar(name).ok_or_else(|| lacks(name)));
        return Ok(Columns::Position([x?, y?, z?]));
    }
    if is_polygons(element) {
        return element.corners().map(Columns::Corners).ok_or_else(|| lacks("\"vertex_indices\", a list of whole numbers"));
    }
    Ok(Columns::None)
}

/// Holds the promised rows against the bytes that are there, before any memory is taken.
fn check_size(bytes: &[u8], header: &Header) -> Result<(), ReadError> {
    // The last number of a text needs no blank behind it.
    let mut left = bytes.len().saturating_sub(header.data).saturating_add(1);
    for element in &header.elements {
        let least = element.least_bytes(header.encoding).saturating_mul(element.rows);
        left = left.checked_sub(least).ok_or_else(|| {
            let message = format!("{} rows of \"{}\" are promised, more than the rest of the file can hold", element.rows, element.name);
            Place::Line(element.line).wrong(message)
        })?;
    }
    Ok(())
}

/// Most triangles that the polygons can give, so that their memory is taken once.
fn count_triangles(mut cursor: Cursor<'_>, header: &Header) -> Result<usize, ReadError> {
    let mut count = 0usize;
    for element in &header.elements {
        let corners = if is_polygons(element) { element.corners() } else { None };
        for _ in 0..if element.properties.is_empty() { 0 } else { element.rows } {
            for (index, property) in element.properties.iter().enumerate() {
                match property.kind {
                    Kind::Scalar(kind) => cursor.skip(kind, 1)?,
                    Kind::List { length, item } => {
                        let n = cursor.length(length)?;
                        cursor.skip(item, n)?;
                        if corners == Some(index) {
                            count = count.saturating_add(n.saturating_sub(2));
                        }
                    }
                }
            }
        }
    }
    Ok(count)
}

fn position(cursor: &mut Cursor<'_>, element: &Element, xyz: [usize; 3]) -> Result<[f64; 3], ReadError> {
    let mut position = [0.0; 3];
    for (index, property) in element.properties.iter().enumerate() {
        match property.kind {
            Kind::Scalar(kind) => {
                let value = cursor.number(kind)?;
                for (coordinate, column) in position.iter_mut().zip(xyz) {
                    if column == index {
                        *coordinate = value;
                    }
                }
            }
            Kind::List { length, item } => skip_list(cursor, length, item)?,
        }
    }
    Ok(position)
}

/// A polygon as a fan from its first corner; a strip as triangles that turn over one by one, −1 starting anew.
fn polygon(cursor: &mut Cursor<'_>, element: &Element, list: usize, gather: &mut Gather) -> Result<(), ReadError> {
    for (index, property) in element.properties.iter().enumerate() {
        match property.kind {
            Kind::Scalar(kind) => cursor.skip(kind, 1)?,
            Kind::List { length, item } if index == list => {
                let strip = element.name == "tristrips";
                let mut last: [Option<u32>; 2] = [None; 2];
                let mut turned = false;
                for _ in 0..cursor.length(length)? {
                    let value = cursor.number(item)?;
                    if strip && value == -1.0 {
                        last = [None; 2];
                        turned = false;
                        continue;
                    }
                    // What is no index names no corner; the mesh leaves its triangles out and counts them.
                    let corner = whole(value).unwrap_or(u32::MAX);
                    match last {
                        [None, _] => last[0] = Some(corner),
                        [Some(_), None] => last[1] = Some(corner),
                        [Some(a), Some(b)] => {
                            gather.triangle(if turned { [b, a, corner] } else { [a, b, corner] });
                            last = [Some(if strip { b } else { a }), Some(corner)];
                            turned = strip && !turned;
                        }
                    }
                }
            }
            Kind::List { length, item } => skip_list(cursor, length, item)?,
        }
    }
    Ok(())
}

fn skip_row(cursor: &mut Cursor<'_>, element: &Element) -> Result<(), ReadError> {
    for property in &element.properties {
        match property.kind {
            Kind::Scalar(kind) => cursor.skip(kind, 1)?,
            Kind::List { length, item } => skip_list(cursor, length, item)?,
        }
    }
    Ok(())
}

fn skip_list(cursor: &mut Cursor<'_>, length: header::Number, item: header::Number) -> Result<(), ReadError> {
    let n = cursor.length(length)?;
    cursor.skip(item, n)
}
