//! Names, colours and levels. IGES 5.3, 4.60 (type 314), 4.71 (type 406), 2.2.4.4 (directory fields).

use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::Fault;
use crate::model::Colour;

/// How something looks, handed down from a solid or group to its faces.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Look {
    pub colour: Option<Colour>,
    pub layers: Vec<String>,
}

impl Reader<'_, '_> {
    /// Gathers the names of levels: properties of form 3, which lie on the level they name.
    pub(super) fn gather_levels(&mut self) {
        let named: Vec<(u32, i64)> = self.of_kind(406, 3).collect();
        for (number, level) in named {
            if let Ok(record) = self.get(number) {
                let count = record.len();
                // The number of values, a code, and the name; some leave out the code.
                let name = (1..count.min(4)).map(|i| record.text(i)).find(|t| !t.is_empty());
                if let Some(name) = name {
                    self.levels.entry(level).or_insert(name);
                }
            }
        }
    }

    fn of_kind(&self, kind: u32, form: i64) -> impl Iterator<Item = (u32, i64)> {
        self.sections.entries.iter().filter(move |e| e.kind == kind && e.form == form).map(|e| (e.number, e.level))
    }

    /// The look of an entity inside something that looks like `outer`: its own colour first, all levels.
    pub(super) fn look(&mut self, record: &Record, outer: &Look) -> Look {
        let colour = match record.entry.colour {
            0 => None,
            number if number > 0 => standard(number),
            number => self.colour(number).unwrap_or_else(|fault| {
                self.remark(record.at(), format!("its colour is left out: {fault}"));
                None
            }),
        };
        let mut layers = outer.layers.clone();
        for level in self.levels_of(record) {
            let name = self.levels.get(&level).cloned().unwrap_or_else(|| format!("level {level}"));
            if !layers.contains(&name) {
                layers.push(name);
            }
        }
        Look { colour: colour.or(outer.colour), layers }
    }

    fn levels_of(&mut self, record: &Record) -> Vec<i64> {
        match record.entry.level {
            0 => Vec::new(),
            level if level > 0 => vec![level],
            pointer => {
                let listed = self.list_of_levels(pointer);
                listed.unwrap_or_else(|fault| {
                    self.remark(record.at(), format!("its levels are left out: {fault}"));
                    Vec::new()
                })
            }
        }
    }

    /// A list of levels: a property of form 1.
    fn list_of_levels(&mut self, pointer: i64) -> Result<Vec<i64>, Fault> {
        let record = self.get(u32::try_from(pointer.unsigned_abs()).unwrap_or(0))?;
        let count = record.count(0, 1)?;
        (1..=count).map(|i| record.integer_or(i, 0)).filter(|l| !matches!(l, Ok(0))).collect()
    }

    /// A colour definition: shares of red, green and blue in percent.
    fn colour(&mut self, pointer: i64) -> Result<Option<Colour>, Fault> {
        let record = self.get(u32::try_from(pointer.unsigned_abs()).unwrap_or(0))?;
        if record.kind() != 314 {
            return Err(record.geometry("a colour definition was expected"));
        }
        let part = |i: usize| record.real_or(i, 0.0).map(|x| (x / 100.0).clamp(0.0, 1.0) as f32);
        Ok(Some(Colour { red: part(0)?, green: part(1)?, blue: part(2)? }))
    }

    /// The name of an entity whose own values number `own`: a property of form 15 among those listed behind them, or its
    /// label.
    pub(super) fn name(&mut self, record: &Record, own: usize) -> String {
        self.named(record, own).ok().flatten().unwrap_or_else(|| record.entry.label())
    }

    fn named(&mut self, record: &Record, own: usize) -> Result<Option<String>, Fault> {
        // Associations come first, then properties.
        let associations = record.count(own, 1)?;
        let at = own + 1 + associations;
        let properties = record.count(at, 1)?;
        for number in record.pointers(at + 1, properties)? {
            let entry = self.entry(number)?;
            if entry.kind == 406 && entry.form == 15 {
                let name = self.get(number)?.text(1);
                if !name.is_empty() {
                    return Ok(Some(name));
                }
            }
        }
        Ok(None)
    }
}

/// The standard's numbered colours. IGES 5.3, 2.2.4.4.13.
fn standard(number: i64) -> Option<Colour> {
    let (red, green, blue) = match number {
        1 => (0.0, 0.0, 0.0),
        2 => (1.0, 0.0, 0.0),
        3 => (0.0, 1.0, 0.0),
        4 => (0.0, 0.0, 1.0),
        5 => (1.0, 1.0, 0.0),
        6 => (1.0, 0.0, 1.0),
        7 => (0.0, 1.0, 1.0),
        8 => (1.0, 1.0, 1.0),
        _ => return None,
    };
    Some(Colour { red, green, blue })
}
