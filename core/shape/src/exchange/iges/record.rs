//! One entity: its directory entry and its values, with the errors that name it.

use super::directory::Entry;
use super::kinds;
use super::values::{Value, plain, real};
use crate::exchange::report::{Fault, Reason};
use crate::math::{Point3, Vec3};
use crate::model::Source;

/// An entity. Values are numbered from 0, behind the type number that leads them.
#[derive(Debug, Clone)]
pub(super) struct Record {
    pub entry: Entry,
    text: Vec<u8>,
    values: Vec<Value>,
}

impl Record {
    pub(super) fn new(entry: Entry, text: Vec<u8>, values: Vec<Value>) -> Self {
        Self { entry, text, values }
    }

    pub fn at(&self) -> Source {
        self.entry.source()
    }

    pub fn kind(&self) -> u32 {
        self.entry.kind
    }

    pub fn form(&self) -> i64 {
        self.entry.form
    }

    /// Number of values, those left out at the end not counted.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    pub fn fault(&self, reason: Reason) -> Fault {
        Fault::new(self.at(), &kinds::name(self.kind()), reason)
    }

    pub fn geometry(&self, what: &'static str) -> Fault {
        self.fault(Reason::Geometry(what))
    }

    fn argument(&self, index: usize, expected: &'static str) -> Fault {
        self.fault(Reason::Argument { index, expected })
    }

    fn slice(&self, index: usize) -> Option<&[u8]> {
        match self.values.get(index)? {
            Value::Plain(a, b) => self.text.get(*a as usize..*b as usize),
            _ => None,
        }
    }

    /// A number; left out it is 0, the standard's default.
    pub fn real(&self, index: usize) -> Result<f64, Fault> {
        match self.values.get(index) {
            Some(Value::Empty) => Ok(0.0),
            Some(_) => self.slice(index).and_then(real).ok_or_else(|| self.argument(index, "a number")),
            None => Err(self.argument(index, "a number")),
        }
    }

    /// A number; `default` where it is left out or the values end before it.
    pub fn real_or(&self, index: usize, default: f64) -> Result<f64, Fault> {
        match self.values.get(index) {
            None | Some(Value::Empty) => Ok(default),
            Some(_) => self.real(index),
        }
    }

    /// A whole number; `default` where it is left out or the values end before it.
    pub fn integer_or(&self, index: usize, default: i64) -> Result<i64, Fault> {
        let Some(text) = self.slice(index) else {
            return match self.values.get(index) {
                Some(Value::Text(..)) => Err(self.argument(index, "a whole number")),
                _ => Ok(default),
            };
        };
        let whole = super::sections::integer(text).or_else(|| {
            // Written as a real by some.
            real(text).filter(|x| x.abs() < 1e9 && x.floor() == *x).map(|x| x as i64)
        });
        whole.ok_or_else(|| self.argument(index, "a whole number"))
    }

    /// How many: not negative, and no more than there are values, each item taking `size` of them.
    pub fn count(&self, index: usize, size: usize) -> Result<usize, Fault> {
        let stated = self.integer_or(index, 0)?;
        let count = usize::try_from(stated).map_err(|_| self.argument(index, "a count"))?;
        let fits = count.checked_mul(size).is_some_and(|n| n <= self.values.len());
        if fits { Ok(count) } else { Err(self.argument(index, "a count of values that follow")) }
    }

    /// Another entity's number; an error when there is none.
    pub fn pointer(&self, index: usize) -> Result<u32, Fault> {
        self.optional_pointer(index)?.ok_or_else(|| self.argument(index, "an entity's number"))
    }

    /// Another entity's number; None for 0 or nothing.
    pub fn optional_pointer(&self, index: usize) -> Result<Option<u32>, Fault> {
        // A negative one is a number with another meaning of the same entity.
        match u32::try_from(self.integer_or(index, 0)?.unsigned_abs()) {
            Ok(0) => Ok(None),
            Ok(n) => Ok(Some(n)),
            Err(_) => Err(self.argument(index, "an entity's number")),
        }
    }

    /// `count` entities' numbers from `index` on.
    pub fn pointers(&self, index: usize, count: usize) -> Result<Vec<u32>, Fault> {
        (index..index.saturating_add(count)).map(|i| self.pointer(i)).collect()
    }

    /// `count` numbers from `index` on.
    pub fn reals(&self, index: usize, count: usize) -> Result<Vec<f64>, Fault> {
        let end = index.checked_add(count).filter(|&end| end <= self.values.len());
        let end = end.ok_or_else(|| self.argument(self.values.len(), "a number"))?;
        (index..end).map(|i| self.real(i)).collect()
    }

    /// Three coordinates from `index` on, file units.
    pub fn point(&self, index: usize) -> Result<Point3, Fault> {
        let p = Point3::new(self.real(index)?, self.real(index + 1)?, self.real(index + 2)?);
        if p.x.abs().max(p.y.abs()).max(p.z.abs()) > LARGEST {
            return Err(self.geometry("a coordinate is too large to be meant"));
        }
        Ok(p)
    }

    pub fn vector(&self, index: usize) -> Result<Vec3, Fault> {
        self.point(index).map(Point3::to_vec)
    }

    /// Text, empty for anything else.
    pub fn text(&self, index: usize) -> String {
        match self.values.get(index) {
            Some(Value::Text(a, b)) => plain(self.text.get(*a as usize..*b as usize).unwrap_or_default()),
            _ => String::new(),
        }
    }
}

/// Largest coordinate taken, file units. Larger: squares of lengths and products of them may overflow; smaller:
/// maps in geographic coordinates would be refused.
const LARGEST: f64 = 1e15;
