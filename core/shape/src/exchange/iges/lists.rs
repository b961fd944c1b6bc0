//! The lists of vertices and edges that solids share, each read once. IGES 5.3, 4.76 (502) and 4.77 (504).

use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::Fault;
use crate::math::Point3;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Lists by their number.
type Read<T> = BTreeMap<u32, Rc<Vec<T>>>;

/// The lists read so far. File units.
#[derive(Debug, Default)]
pub(super) struct Lists {
    vertices: Read<Point3>,
    edges: Read<Link>,
}

/// One edge of an edge list: its curve, and its ends as list and place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub curve: u32,
    pub start: (u32, usize),
    pub end: (u32, usize),
}

impl Reader<'_, '_> {
    pub(super) fn vertex_list(&mut self, number: u32) -> Result<Rc<Vec<Point3>>, Fault> {
        self.list(
            number,
            |lists| &mut lists.vertices,
            |reader, record| {
                if record.kind() != 502 {
                    return Err(record.geometry("a vertex list was expected"));
                }
                let motion = reader.own_motion(record)?;
                let count = record.count(0, 3)?;
                (0..count).map(|i| record.point(1 + 3 * i).map(|p| motion.point(p))).collect()
            },
        )
    }

    pub(super) fn edge_list(&mut self, number: u32) -> Result<Rc<Vec<Link>>, Fault> {
        self.list(
            number,
            |lists| &mut lists.edges,
            |_, record| {
                if record.kind() != 504 {
                    return Err(record.geometry("an edge list was expected"));
                }
                let count = record.count(0, 5)?;
                let link = |at: usize| Ok(Link { curve: record.pointer(at)?, start: entry(record, at + 1)?, end: entry(record, at + 3)? });
                (0..count).map(|i| link(1 + 5 * i)).collect()
            },
        )
    }

    /// List `number`, by `work` where it is asked for the first time.
    fn list<T>(
        &mut self,
        number: u32,
        known: fn(&mut Lists) -> &mut Read<T>,
        work: impl FnOnce(&mut Self, &Record) -> Result<Vec<T>, Fault>,
    ) -> Result<Rc<Vec<T>>, Fault> {
        if let Some(list) = known(&mut self.lists).get(&number) {
            return Ok(Rc::clone(list));
        }
        let list = Rc::new(self.within(number, work)?);
        known(&mut self.lists).insert(number, Rc::clone(&list));
        Ok(list)
    }
}

/// A list and a place in it, from 1.
pub(super) fn entry(record: &Record, at: usize) -> Result<(u32, usize), Fault> {
    let place = usize::try_from(record.integer_or(at + 1, 0)?);
    Ok((record.pointer(at)?, place.map_err(|_| record.geometry("a place in a list is negative"))?))
}
