//! A value of JSON with the way to it, and the kinds of entries that edits have.

use super::TrialJsonError;
use crate::joins::Order;
use crate::layout::{BoxSide, MirrorPlane};
use crate::math::Vec3;
use crate::model::FaceId;
use crate::nurbs::{Direction, MAX_DEGREE};
use crate::trial::net::SIDES;
use crate::trial::{Lock, Setback, Size, Twin};
use serde_json::Value;

/// Lengths and moves that are read, mm: a kilometre. Larger: nothing; smaller: ships are refused.
const FAR: f64 = 1e6;

/// Least tolerance, mm. Smaller: fits that no f64 can hold run on to their limits.
const FINE: f64 = 1e-12;

/// Rows and columns of a net; spans asked for.
pub(super) const ROWS: usize = 100_000;
pub(super) const SPANS: usize = 64;

/// A value, with the way to it.
#[derive(Debug)]
pub(super) struct At<'a> {
    value: &'a Value,
    path: String,
    faces: usize,
}

pub(super) type Read<T> = Result<T, TrialJsonError>;

impl<'a> At<'a> {
    pub fn new(value: &'a Value, faces: usize) -> Self {
        Self { value, path: String::new(), faces }
    }

    pub fn wanted<T>(&self, wanted: impl Into<String>) -> Read<T> {
        Err(TrialJsonError { field: self.path.clone(), wanted: wanted.into() })
    }

    pub fn under(&self, value: &'a Value, name: impl core::fmt::Display) -> Self {
        let path = if self.path.is_empty() { name.to_string() } else { format!("{}.{name}", self.path) };
        Self { value, path, faces: self.faces }
    }

    /// A field of an object; null where it is not there.
    pub fn field(&self, name: &str) -> Read<Self> {
        match self.value {
            Value::Object(all) => Ok(self.under(all.get(name).unwrap_or(&Value::Null), name)),
            _ => self.wanted("an object"),
        }
    }

    pub fn list(&self, most: usize) -> Read<Vec<Self>> {
        match self.value {
            Value::Array(all) if all.len() <= most => Ok(all.iter().enumerate().map(|(i, v)| self.under(v, i)).collect()),
            _ => self.wanted(format!("a list of at most {most}")),
        }
    }

    pub fn several<const N: usize, T>(&self, one: impl Fn(&Self) -> Read<T>) -> Read<[T; N]> {
        let all = self.list(N)?.iter().map(one).collect::<Read<Vec<T>>>()?;
        all.try_into().or_else(|_| self.wanted(format!("a list of {N}")))
    }

    pub fn text(&self, most: usize) -> Read<&'a str> {
        match self.value {
            Value::String(s) if s.chars().count() <= most => Ok(s),
            _ => self.wanted(format!("a text of at most {most} characters")),
        }
    }

    /// The text, where it is one.
    pub fn word(&self) -> Option<&'a str> {
        self.value.as_str()
    }

    pub fn flag(&self) -> Read<bool> {
        self.value.as_bool().map_or_else(|| self.wanted("true or false"), Ok)
    }

    pub fn number(&self, low: f64, high: f64) -> Read<f64> {
        match self.value.as_f64() {
            Some(x) if x >= low && x <= high => Ok(x),
            _ => self.wanted(format!("a number from {low} to {high}")),
        }
    }

    pub fn count(&self, low: usize, high: usize) -> Read<usize> {
        match self.value.as_u64().and_then(|x| usize::try_from(x).ok()) {
            Some(x) if x >= low && x <= high => Ok(x),
            _ => self.wanted(format!("a whole number from {low} to {high}")),
        }
    }

    pub fn pair(&self, low: usize, high: usize) -> Read<(usize, usize)> {
        let [a, b] = self.several(|x| x.count(low, high))?;
        Ok((a, b))
    }

    pub fn named<T: Copy>(&self, names: &[(&str, T)]) -> Read<T> {
        let found = self.value.as_str().and_then(|s| names.iter().find(|n| n.0 == s));
        match found {
            Some(n) => Ok(n.1),
            None => self.wanted(format!("one of {}", names.iter().map(|n| n.0).collect::<Vec<_>>().join(", "))),
        }
    }

    pub fn face(&self) -> Read<FaceId> {
        match self.value.as_u64().and_then(|x| usize::try_from(x).ok()).filter(|&x| x < self.faces) {
            Some(x) => Ok(FaceId::new(x)),
            None => self.wanted(format!("a face of the model, which has {}", self.faces)),
        }
    }

    pub fn pair_of_faces(&self) -> Read<[FaceId; 2]> {
        self.several(Self::face)
    }

    pub fn vector(&self) -> Read<Vec3> {
        Ok(Vec3::from_array(self.several(|x| x.number(-FAR, FAR))?))
    }

    pub fn order(&self) -> Read<Order> {
        self.named(&[("g0", Order::G0), ("g1", Order::G1), ("g2", Order::G2), ("g3", Order::G3)])
    }

    pub fn direction(&self) -> Read<Direction> {
        self.named(&[("u", Direction::U), ("v", Direction::V)])
    }

    pub fn side(&self) -> Read<BoxSide> {
        let [a, b, c, d] = SIDES;
        self.named(&[("u_low", a), ("u_high", b), ("v_low", c), ("v_high", d)])
    }

    pub fn plane(&self) -> Read<MirrorPlane> {
        let plane = MirrorPlane::new(self.field("normal")?.vector()?, self.field("offset")?.number(-FAR, FAR)?);
        plane.map_or_else(|| self.wanted("a plane with a normal"), Ok)
    }

    pub fn lock(&self) -> Read<Lock> {
        if self.value.as_str() == Some("free") {
            return Ok(Lock::Free);
        }
        if !self.value.is_object() {
            return self.wanted("free, or an object with held or centre");
        }
        let centre = self.field("centre")?;
        if centre.value.is_null() {
            Ok(Lock::Held(self.field("held")?.order()?))
        } else {
            Ok(Lock::Centre(centre.order()?, self.field("plane")?.plane()?))
        }
    }

    pub fn locks(&self) -> Read<[Lock; 4]> {
        self.several(Self::lock)
    }

    pub fn unless_null<T>(&self, read: impl Fn(&Self) -> Read<T>) -> Read<Option<T>> {
        if self.value.is_null() { Ok(None) } else { read(self).map(Some) }
    }

    pub fn tolerance(&self) -> Read<f64> {
        self.number(FINE, FAR)
    }

    pub fn search(&self) -> Read<f64> {
        self.number(0.0, FAR)
    }

    pub fn size(&self) -> Read<Size> {
        let tolerance = self.field("tolerance")?;
        if !tolerance.value.is_null() {
            return Ok(Size::Smallest { tolerance: tolerance.tolerance()? });
        }
        Ok(Size::Chosen {
            degree: self.field("degree")?.pair(1, MAX_DEGREE)?,
            spans: self.field("spans")?.pair(1, SPANS)?,
            fairness: self.field("fairness")?.number(0.0, FAR)?,
        })
    }

    pub fn setback(&self) -> Read<Setback> {
        if self.value.is_object() {
            return Ok(Setback::Radius(self.field("radius")?.tolerance()?));
        }
        self.named(&[("mean", Setback::Mean), ("first", Setback::First), ("second", Setback::Second)])
    }

    pub fn twin(&self) -> Read<Twin> {
        Ok(Twin { face: self.field("face")?.face()?, plane: self.field("plane")?.plane()? })
    }
}
