//! A whole Part 21 file, indexed: entities are read when asked for.

use super::header::Header;
use super::index::{Entry, Index};
use super::instance::{Instance, Record};
use super::lexer::{Lexer, Token, Unexpected};
use super::scan::{Elsewhere, Scanned, scan};
use super::value::{Room, values};
use crate::exchange::Limits;
use crate::exchange::report::{Fault, ReadError, Reason, Remark};
use crate::model::Source;
use std::collections::BTreeMap;

/// An indexed file.
#[derive(Debug)]
pub(in crate::exchange) struct Part21<'a> {
    bytes: &'a [u8],
    room: Room,
    index: Index,
    elsewhere: BTreeMap<u64, Elsewhere>,
    /// What the header says.
    pub header: Header,
    /// Oddities of the text.
    pub remarks: Vec<Remark>,
    /// Remarks beyond the limit, counted only.
    pub remarks_dropped: usize,
}

impl<'a> Part21<'a> {
    /// Finds all entities.
    ///
    /// # Errors
    /// When the bytes are no Part 21 file, are cut off, hold no entity, or hold more than the limits allow.
    pub(in crate::exchange) fn open(bytes: &'a [u8], limits: &Limits) -> Result<Self, ReadError> {
        let room = Room { values: limits.values, depth: limits.depth };
        let Scanned { header, index, elsewhere, remarks, remarks_dropped } = scan(bytes, limits, room)?;
        Ok(Self { bytes, room, index, elsewhere, header, remarks, remarks_dropped })
    }

    /// Number of entities.
    pub(in crate::exchange) fn len(&self) -> usize {
        self.index.len()
    }

    /// Where an entity stands; line 0 when it is not in the file.
    pub(in crate::exchange) fn source(&self, id: u64) -> Source {
        Source { entity: id, line: self.entry(id).map_or(0, |e| e.line) }
    }

    /// The entity of that number, or the one of this file that the number refers to.
    fn entry(&self, id: u64) -> Option<Entry> {
        match (self.index.get(id), self.elsewhere.get(&id)) {
            (Some(entry), _) => Some(entry),
            (None, Some(Elsewhere::Here(other))) => self.index.get(*other),
            _ => None,
        }
    }

    /// Why an entity without an entry is not to be had.
    fn absent(&self, at: Source) -> Fault {
        match self.elsewhere.get(&at.entity) {
            Some(Elsewhere::Other(address, line)) => Fault::new(Source { line: *line, ..at }, "", Reason::Elsewhere(address.clone())),
            _ => Fault::new(at, "", Reason::Missing),
        }
    }

    /// Reads one entity.
    ///
    /// # Errors
    /// When it is missing or its text is damaged; the line is that of the damage.
    pub(in crate::exchange) fn get(&self, id: u64) -> Result<Instance<'a>, Fault> {
        let at = self.source(id);
        let Some(entry) = self.entry(id) else { return Err(self.absent(at)) };
        let mut lexer = Lexer::new(self.bytes, entry.body);
        let mut room = self.room;
        records(&mut lexer, &mut room).map(|records| Instance { at, records }).map_err(|e| {
            let damaged = self.bytes.get(entry.body..e.offset).unwrap_or_default();
            let lines = u32::try_from(memchr::memchr_iter(b'\n', damaged).count()).unwrap_or(u32::MAX);
            let line = entry.line.saturating_add(lines);
            Fault::new(Source { entity: id, line }, "", Reason::Syntax { expected: e.expected })
        })
    }

    /// Calls `see` with the id and each type name of every entity by rising id, without reading values.
    /// Splines of several types are left out: nothing is looked for among them.
    pub(in crate::exchange) fn sweep(&self, mut see: impl FnMut(u64, &'a str)) {
        for entry in self.index.iter() {
            let mut lexer = Lexer::new(self.bytes, entry.body);
            match lexer.next() {
                Ok(Token::Word(name)) => see(entry.id, name),
                Ok(Token::Open) => sweep_complex(&mut lexer, |name| see(entry.id, name)),
                _ => {}
            }
        }
    }
}

/// The records of an entity, from behind its equals sign up to the semicolon.
fn records<'a>(lexer: &mut Lexer<'a>, room: &mut Room) -> Result<Vec<Record<'a>>, Unexpected> {
    let fail = |lexer: &Lexer<'_>, expected| Err(Unexpected { offset: lexer.offset(), expected });
    let mut found = Vec::new();
    match lexer.next()? {
        Token::Word(name) => found.push(record(lexer, name, room)?),
        Token::Open => loop {
            match lexer.next()? {
                Token::Word(name) => found.push(record(lexer, name, room)?),
                Token::Close => break,
                _ => return fail(lexer, "a type name or a closing bracket"),
            }
        },
        _ => return fail(lexer, "a type name"),
    }
    match lexer.next()? {
        Token::Semicolon => Ok(found),
        _ => fail(lexer, "';'"),
    }
}

fn record<'a>(lexer: &mut Lexer<'a>, name: &'a str, room: &mut Room) -> Result<Record<'a>, Unexpected> {
    match lexer.next()? {
        Token::Open => Ok(Record { name, values: values(lexer, room)? }),
        _ => Err(Unexpected { offset: lexer.offset(), expected: "an opening bracket" }),
    }
}

fn sweep_complex<'a>(lexer: &mut Lexer<'a>, mut see: impl FnMut(&'a str)) {
    let mut depth = 0usize;
    while let Ok(token) = lexer.next() {
        match token {
            Token::Word(name) if depth == 0 => {
                if name.starts_with("BOUNDED_") || name.starts_with("B_SPLINE_") {
                    return;
                }
                see(name);
            }
            Token::Open => depth += 1,
            Token::Close if depth == 0 => return,
            Token::Close => depth -= 1,
            Token::Semicolon | Token::End => return,
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::report::ReadErrorKind;

    const HEAD: &str =
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 }'));\nENDSEC;\nDATA;\n";
    const TAIL: &str = "ENDSEC;\nEND-ISO-10303-21;\n";

    fn open(text: &str) -> Result<Part21<'_>, ReadError> {
        Part21::open(text.as_bytes(), &Limits::default())
    }

    #[test]
    fn reads_simple_and_complex_entities_with_lines() {
        let text = format!("{HEAD}#1=A('x;y',(1.,2),\n$);\n/* #9=N(); */\n#3=(B(#1)C()D(.T.));\n{TAIL}");
        let file = open(&text).unwrap();
        assert_eq!((file.header.schema.as_str(), file.len(), file.remarks.len()), ("AUTOMOTIVE_DESIGN", 2, 0));
        let a = file.get(1).unwrap();
        assert_eq!((a.at.line, a.kind(), a.fields().text(0), a.fields().reals(1).unwrap()), (7, "A", "x;y".into(), vec![1.0, 2.0]));
        let c = file.get(3).unwrap();
        assert_eq!((c.at.line, c.is_simple(), c.is("C"), c.references()), (10, false, true, vec![1]));
        assert!(c.record("D").unwrap().flag(0).unwrap());
        let mut names = Vec::new();
        file.sweep(|id, name| names.push((id, name)));
        assert_eq!(names, vec![(1, "A"), (3, "B"), (3, "C"), (3, "D")]);
        assert_eq!(file.get(9).unwrap_err().reason, Reason::Missing);
    }

    #[test]
    fn says_where_a_file_ends_too_early() {
        let cut = |text: &str| {
            let e = open(text).unwrap_err();
            (e.kind, e.line, e.entity)
        };
        assert_eq!(cut(""), (ReadErrorKind::Format, Some(1), None));
        assert_eq!(cut("\u{89}PNG"), (ReadErrorKind::Format, Some(1), None));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n#2=B(1,")), (ReadErrorKind::File, Some(8), Some(2)));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n")), (ReadErrorKind::File, Some(7), Some(1)));
        assert_eq!(cut(&format!("{HEAD}{TAIL}")), (ReadErrorKind::File, Some(9), None));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n/* no end")), (ReadErrorKind::File, Some(8), None));
        // The quote left open in #1 swallows #2 and pairs with one in #3; what is told is the place of the damage.
        assert_eq!(cut(&format!("{HEAD}#1=A('x);\n#2=B(1);\n#3=C('y',2);\n#4=D();\n{TAIL}")), (ReadErrorKind::File, Some(7), Some(1)));
        assert_eq!(cut("ISO-10303-21;\nHEAD"), (ReadErrorKind::File, Some(2), None));
    }

    #[test]
    fn reads_around_damage_and_names_its_line() {
        let text = format!("{HEAD}#1=A(1,\n,2);\nnonsense;\n#2=B();\n#2=C();\n{TAIL}");
        let file = open(&text).unwrap();
        let fault = file.get(1).unwrap_err();
        assert_eq!((fault.at.line, fault.reason), (8, Reason::Syntax { expected: "a value" }));
        assert_eq!(file.get(2).unwrap().kind(), "B");
        assert_eq!(file.remarks.iter().map(|r| r.line).collect::<Vec<_>>(), vec![Some(9), Some(11)]);
    }

    #[test]
    fn refuses_more_than_the_limits() {
        let text = format!("{HEAD}#1=A((((1))));\n#2=B(1,2,3,4);\n{TAIL}");
        let limits = Limits { entities: 1, ..Limits::default() };
        assert_eq!(Part21::open(text.as_bytes(), &limits).unwrap_err().kind, ReadErrorKind::Limit);
        let limits = Limits { values: 3, depth: 2, ..Limits::default() };
        let file = Part21::open(text.as_bytes(), &limits).unwrap();
        assert!(matches!(file.get(1).unwrap_err().reason, Reason::Syntax { .. }));
        assert!(matches!(file.get(2).unwrap_err().reason, Reason::Syntax { .. }));
    }

    #[test]
    fn third_edition_sections_are_understood_and_what_stands_elsewhere_is_named() {
        let text = "ISO-10303-21;\nHEADER;\nFILE_NAME('n','t',('a'),('o'),'tool 2','modeller 7 \\X\\E9','');\nENDSEC;\n\
                    ANCHOR;\n<top>=#3{role:'x;'};\n<width>=2.5;\nnothing;\nENDSEC;\n\
                    REFERENCE;\n/* ; */ #10=<bolt.stp#m'6;a>;\n@4=<sizes.stp#w>;\n#11=<#top>;\n#12=<#nowhere>;\nENDSEC;\n\
                    DATA('one',('S'));\n#3=A(#10,@4,#PI);\nENDSEC;\nDATA;\n#5=!MINE(1);\nENDSEC;\n\
                    END-ISO-10303-21;\nSIGNATURE\nMIIB'+/=\nENDSEC;\n";
        let file = open(text).unwrap();
        assert_eq!((file.header.system.as_str(), file.header.preprocessor.as_str(), file.len()), ("modeller 7 é", "tool 2", 2));
        let said: Vec<_> = file.remarks.iter().map(|r| (r.entity, r.line, r.text.as_str())).collect();
        assert_eq!(
            said,
            [
                (None, Some(8), "an anchor cannot be understood; left out"),
                (Some(10), Some(11), "it stands in another file, bolt.stp#m'6;a, which is not read"),
                (None, Some(12), "it stands in another file, sizes.stp#w, which is not read"),
                (Some(12), Some(14), "it stands in another file, #nowhere, which is not read"),
                (None, Some(23), "the file is signed; the signature is not checked"),
            ]
        );
        assert_eq!((file.get(11).unwrap().kind(), file.source(11).line, file.get(5).unwrap().kind()), ("A", 17, "!MINE"));
        let fault = file.get(10).unwrap_err();
        assert_eq!((fault.at.line, fault.reason.clone()), (11, Reason::Elsewhere("bolt.stp#m'6;a".into())));
        assert!(fault.to_string().contains("another file"), "{fault}");
        assert!(file.get(3).unwrap().fields().real(1).is_err() && file.get(3).unwrap().fields().id(2).is_err());
    }

    #[test]
    fn remarks_are_kept_up_to_the_limit_and_counted_beyond() {
        let text = format!("{HEAD}#1=A();\n{}{TAIL}", "x;\n".repeat(1000));
        let limits = Limits { remarks: 7, ..Limits::default() };
        let file = Part21::open(text.as_bytes(), &limits).unwrap();
        assert_eq!((file.remarks.len(), file.remarks_dropped), (7, 993));
    }
}
