//! One entity with its values, and typed access to them.

use super::text::decode;
use super::value::Value;
use crate::exchange::report::{Fault, Reason};
use crate::model::Source;

/// One entity: a single record, or several when it is of several types at once.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::exchange) struct Instance<'a> {
    pub at: Source,
    pub records: Vec<Record<'a>>,
}

/// A type name with its values.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::exchange) struct Record<'a> {
    pub name: &'a str,
    pub values: Vec<Value<'a>>,
}

impl<'a> Instance<'a> {
    /// True when it is of one type, with the values of its supertypes written in front.
    pub(in crate::exchange) fn is_simple(&self) -> bool {
        self.records.len() == 1
    }

    /// The type name; of several the last that is no bare supertype, which tells most.
    pub(in crate::exchange) fn kind(&self) -> &'a str {
        const BARE: [&str; 6] =
            ["REPRESENTATION_ITEM", "GEOMETRIC_REPRESENTATION_ITEM", "CURVE", "SURFACE", "BOUNDED_CURVE", "BOUNDED_SURFACE"];
        let telling = self.records.iter().rev().find(|r| !BARE.contains(&r.name));
        telling.or(self.records.last()).map_or("", |r| r.name)
    }

    /// True when one of its types is `name`.
    pub(in crate::exchange) fn is(&self, name: &str) -> bool {
        self.records.iter().any(|r| r.name == name)
    }

    /// The values of the record called `name`.
    pub(in crate::exchange) fn record(&self, name: &'static str) -> Option<Fields<'_, 'a>> {
        let record = self.records.iter().find(|r| r.name == name)?;
        Some(Fields { values: &record.values, at: self.at, kind: record.name })
    }

    /// The values of its first record: all of them when it is simple.
    pub(in crate::exchange) fn fields(&self) -> Fields<'_, 'a> {
        let values = self.records.first().map_or(&[][..], |r| &r.values);
        Fields { values, at: self.at, kind: self.kind() }
    }

    /// A fault of this entity.
    pub(in crate::exchange) fn fault(&self, reason: Reason) -> Fault {
        Fault::new(self.at, self.kind(), reason)
    }

    /// Every entity it refers to, in order.
    pub(in crate::exchange) fn references(&self) -> Vec<u64> {
        fn gather(values: &[Value<'_>], out: &mut Vec<u64>) {
            for value in values {
                match value {
                    Value::Reference(id) => out.push(*id),
                    Value::List(inner) | Value::Typed(_, inner) => gather(inner, out),
                    _ => {}
                }
            }
        }
        let mut out = Vec::new();
        self.records.iter().for_each(|r| gather(&r.values, &mut out));
        out
    }
}

/// Typed access to the values of a record, index from 0. Each access says what it expected.
#[derive(Debug, Clone, Copy)]
pub(in crate::exchange) struct Fields<'i, 'a> {
    values: &'i [Value<'a>],
    at: Source,
    kind: &'a str,
}

impl<'i, 'a> Fields<'i, 'a> {
    /// The values from index `n` on, as a record of their own.
    pub(in crate::exchange) fn after(self, n: usize) -> Self {
        Self { values: self.values.get(n..).unwrap_or_default(), ..self }
    }

    pub(in crate::exchange) fn len(self) -> usize {
        self.values.len()
    }

    pub(in crate::exchange) fn at(self) -> Source {
        self.at
    }

    pub(in crate::exchange) fn fault(self, reason: Reason) -> Fault {
        Fault::new(self.at, self.kind, reason)
    }

    fn get<T>(self, index: usize, expected: &'static str, read: impl Fn(&'i Value<'a>) -> Option<T>) -> Result<T, Fault> {
        let found = self.values.get(index).and_then(read);
        found.ok_or_else(|| self.fault(Reason::Argument { index, expected }))
    }

    pub(in crate::exchange) fn real(self, index: usize) -> Result<f64, Fault> {
        self.get(index, "a number", number)
    }

    /// A size or count ≥ 0.
    pub(in crate::exchange) fn count(self, index: usize) -> Result<usize, Fault> {
        self.get(index, "a whole number, not negative", whole)
    }

    pub(in crate::exchange) fn id(self, index: usize) -> Result<u64, Fault> {
        self.get(index, "a reference to an entity", reference)
    }

    /// A reference that may be left out.
    pub(in crate::exchange) fn optional_id(self, index: usize) -> Option<u64> {
        self.values.get(index).and_then(reference)
    }

    pub(in crate::exchange) fn flag(self, index: usize) -> Result<bool, Fault> {
        self.get(index, ".T. or .F.", |v| match v {
            Value::Enumeration("T" | "TRUE") => Some(true),
            Value::Enumeration("F" | "FALSE") => Some(false),
            _ => None,
        })
    }

    pub(in crate::exchange) fn enumeration(self, index: usize) -> Result<&'a str, Fault> {
        self.get(index, "a name between dots", |v| match v {
            Value::Enumeration(e) => Some(*e),
            _ => None,
        })
    }

    /// Decoded text; empty when there is none.
    pub(in crate::exchange) fn text(self, index: usize) -> String {
        match self.values.get(index) {
            Some(Value::Text(raw)) => decode(raw),
            _ => String::new(),
        }
    }

    pub(in crate::exchange) fn list(self, index: usize) -> Result<&'i [Value<'a>], Fault> {
        self.get(index, "a list", |v| match v {
            Value::List(items) => Some(items.as_slice()),
            _ => None,
        })
    }

    pub(in crate::exchange) fn ids(self, index: usize) -> Result<Vec<u64>, Fault> {
        self.all(index, "a list of references", reference)
    }

    pub(in crate::exchange) fn reals(self, index: usize) -> Result<Vec<f64>, Fault> {
        self.all(index, "a list of numbers", number)
    }

    pub(in crate::exchange) fn counts(self, index: usize) -> Result<Vec<usize>, Fault> {
        self.all(index, "a list of whole numbers", whole)
    }

    fn all<T>(self, index: usize, expected: &'static str, read: fn(&Value<'a>) -> Option<T>) -> Result<Vec<T>, Fault> {
        let items: Option<Vec<T>> = self.list(index)?.iter().map(read).collect();
        items.ok_or_else(|| self.fault(Reason::Argument { index, expected }))
    }

    /// A list of equally long lists, one after the other, with the length of one.
    pub(in crate::exchange) fn grid<T>(
        self,
        index: usize,
        expected: &'static str,
        read: fn(&Value<'a>) -> Option<T>,
    ) -> Result<(Vec<T>, usize), Fault> {
        let wrong = || self.fault(Reason::Argument { index, expected });
        let mut found = Vec::new();
        let mut width = None;
        for row in self.list(index)? {
            let Value::List(row) = row else { return Err(wrong()) };
            if *width.get_or_insert(row.len()) != row.len() {
                return Err(wrong());
            }
            for value in row {
                found.push(read(value).ok_or_else(wrong)?);
            }
        }
        Ok((found, width.unwrap_or(0)))
    }
}

/// A number, also where its type is said with it.
pub(in crate::exchange) fn number(value: &Value<'_>) -> Option<f64> {
    match value {
        Value::Real(x) => Some(*x),
        Value::Integer(n) => Some(*n as f64),
        Value::Typed(_, inner) => match inner.as_slice() {
            [Value::Real(x)] => Some(*x),
            [Value::Integer(n)] => Some(*n as f64),
            _ => None,
        },
        _ => None,
    }
}

pub(in crate::exchange) fn reference(value: &Value<'_>) -> Option<u64> {
    match value {
        Value::Reference(id) => Some(*id),
        _ => None,
    }
}

fn whole(value: &Value<'_>) -> Option<usize> {
    match value {
        Value::Integer(n) => usize::try_from(*n).ok(),
        _ => None,
    }
}
