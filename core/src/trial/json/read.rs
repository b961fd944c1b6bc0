//! Edits of JSON.

use super::TrialJsonError;
use crate::joins::Order;
use crate::layout::{BoxSide, MirrorPlane};
use crate::math::Vec3;
use crate::model::FaceId;
use crate::nurbs::{Direction, MAX_DEGREE};
use crate::trial::net::SIDES;
use crate::trial::{
    Conform, Crown, Drag, EdgeRefit, Edit, Extend, Lock, Merge, Profile, Refillet, Refit, Resweep, RidgeSign, Sections, Setback, Size, Twin,
};
use serde_json::Value;

/// Lengths and moves that are read, mm: a kilometre. Larger: nothing; smaller: ships are refused.
const FAR: f64 = 1e6;

/// Least tolerance, mm. Smaller: fits that no f64 can hold run on to their limits.
const FINE: f64 = 1e-12;

/// Rows and columns of a net; spans asked for.
const ROWS: usize = 100_000;
const SPANS: usize = 64;

/// A value, with the way to it.
#[derive(Debug)]
pub(super) struct At<'a> {
    value: &'a Value,
    path: String,
    faces: usize,
}

type Read<T> = Result<T, TrialJsonError>;

impl<'a> At<'a> {
    pub fn new(value: &'a Value, faces: usize) -> Self {
        Self { value, path: String::new(), faces }
    }

    fn wanted<T>(&self, wanted: impl Into<String>) -> Read<T> {
        Err(TrialJsonError { field: self.path.clone(), wanted: wanted.into() })
    }

    fn under(&self, value: &'a Value, name: impl core::fmt::Display) -> Self {
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

    fn several<const N: usize, T>(&self, one: impl Fn(&Self) -> Read<T>) -> Read<[T; N]> {
        let all = self.list(N)?.iter().map(one).collect::<Read<Vec<T>>>()?;
        all.try_into().or_else(|_| self.wanted(format!("a list of {N}")))
    }

    pub fn text(&self, most: usize) -> Read<&'a str> {
        match self.value {
            Value::String(s) if s.chars().count() <= most => Ok(s),
            _ => self.wanted(format!("a text of at most {most} characters")),
        }
    }

    pub fn flag(&self) -> Read<bool> {
        self.value.as_bool().map_or_else(|| self.wanted("true or false"), Ok)
    }

    fn number(&self, low: f64, high: f64) -> Read<f64> {
        match self.value.as_f64() {
            Some(x) if x >= low && x <= high => Ok(x),
            _ => self.wanted(format!("a number from {low} to {high}")),
        }
    }

    fn count(&self, low: usize, high: usize) -> Read<usize> {
        match self.value.as_u64().and_then(|x| usize::try_from(x).ok()) {
            Some(x) if x >= low && x <= high => Ok(x),
            _ => self.wanted(format!("a whole number from {low} to {high}")),
        }
    }

    fn pair(&self, low: usize, high: usize) -> Read<(usize, usize)> {
        let [a, b] = self.several(|x| x.count(low, high))?;
        Ok((a, b))
    }

    fn named<T: Copy>(&self, names: &[(&str, T)]) -> Read<T> {
        let found = self.value.as_str().and_then(|s| names.iter().find(|n| n.0 == s));
        match found {
            Some(n) => Ok(n.1),
            None => self.wanted(format!("one of {}", names.iter().map(|n| n.0).collect::<Vec<_>>().join(", "))),
        }
    }

    fn face(&self) -> Read<FaceId> {
        match self.value.as_u64().and_then(|x| usize::try_from(x).ok()).filter(|&x| x < self.faces) {
            Some(x) => Ok(FaceId::new(x)),
            None => self.wanted(format!("a face of the model, which has {}", self.faces)),
        }
    }

    fn pair_of_faces(&self) -> Read<[FaceId; 2]> {
        self.several(Self::face)
    }

    fn vector(&self) -> Read<Vec3> {
        Ok(Vec3::from_array(self.several(|x| x.number(-FAR, FAR))?))
    }

    fn order(&self) -> Read<Order> {
        self.named(&[("g0", Order::G0), ("g1", Order::G1), ("g2", Order::G2), ("g3", Order::G3)])
    }

    fn direction(&self) -> Read<Direction> {
        self.named(&[("u", Direction::U), ("v", Direction::V)])
    }

    fn side(&self) -> Read<BoxSide> {
        let [a, b, c, d] = SIDES;
        self.named(&[("u_low", a), ("u_high", b), ("v_low", c), ("v_high", d)])
    }

    fn plane(&self) -> Read<MirrorPlane> {
        let plane = MirrorPlane::new(self.field("normal")?.vector()?, self.field("offset")?.number(-FAR, FAR)?);
        plane.map_or_else(|| self.wanted("a plane with a normal"), Ok)
    }

    fn lock(&self) -> Read<Lock> {
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

    fn locks(&self) -> Read<[Lock; 4]> {
        self.several(Self::lock)
    }

    fn unless_null<T>(&self, read: impl Fn(&Self) -> Read<T>) -> Read<Option<T>> {
        if self.value.is_null() { Ok(None) } else { read(self).map(Some) }
    }

    fn tolerance(&self) -> Read<f64> {
        self.number(FINE, FAR)
    }

    fn search(&self) -> Read<f64> {
        self.number(0.0, FAR)
    }

    fn size(&self) -> Read<Size> {
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

    fn setback(&self) -> Read<Setback> {
        if self.value.is_object() {
            return Ok(Setback::Radius(self.field("radius")?.tolerance()?));
        }
        self.named(&[("mean", Setback::Mean), ("first", Setback::First), ("second", Setback::Second)])
    }

    fn twin(&self) -> Read<Twin> {
        Ok(Twin { face: self.field("face")?.face()?, plane: self.field("plane")?.plane()? })
    }
}

/// Least angle of a ridge, degrees.
const ANGLES: (f64, f64) = (1e-6, 79.0);

pub(super) fn edit(at: &At<'_>) -> Read<Edit> {
    let kind = at.field("edit")?;
    // In every edit, so that a search that matters to one is not called something else in the next.
    let field = |name: &str| at.field(name);
    let face = || field("face")?.face();
    let side = || field("side")?.side();
    let search = || field("search")?.search();
    let tolerance = || field("tolerance")?.tolerance();
    Ok(match kind.value.as_str() {
        Some("drag") => Edit::Drag(Drag {
            face: face()?,
            point: field("point")?.pair(0, ROWS)?,
            by: field("by")?.vector()?,
            reach: field("reach")?.pair(0, ROWS)?,
            locks: field("locks")?.locks()?,
            twin: field("twin")?.unless_null(At::twin)?,
        }),
        Some("refit") => {
            Edit::Refit(Refit { face: face()?, size: field("size")?.size()?, keep: field("keep")?.several(|x| x.unless_null(At::order))? })
        }
        Some("conform") => Edit::Conform(Conform {
            face: face()?,
            side: side()?,
            to: field("to")?.face()?,
            order: field("order")?.order()?,
            keep: field("keep")?.order()?,
            search: search()?,
            tolerance: tolerance()?,
        }),
        Some("crown") => Edit::Crown(Crown {
            face: face()?,
            along: field("along")?.direction()?,
            by: field("by")?.vector()?.to_array(),
            up: field("up")?.unless_null(At::vector)?,
            locks: field("locks")?.locks()?,
        }),
        Some("ridge_sign") => Edit::RidgeSign(RidgeSign {
            face: face()?,
            side: side()?,
            beside: field("beside")?.face()?,
            least: field("least")?.number(ANGLES.0, ANGLES.1)?,
            search: search()?,
        }),
        Some("merge") => Edit::Merge(Merge { faces: field("faces")?.pair_of_faces()?, tolerance: tolerance()?, search: search()? }),
        Some("edge_refit") => Edit::EdgeRefit(EdgeRefit {
            face: face()?,
            side: side()?,
            degree: field("degree")?.count(1, MAX_DEGREE)?,
            spans: field("spans")?.count(1, SPANS)?,
        }),
        Some("extend") => Edit::Extend(Extend { face: face()?, side: side()?, length: field("length")?.tolerance()? }),
        Some("resweep") => Edit::Resweep(Resweep {
            face: face()?,
            rails: field("rails")?.direction()?,
            sections: field("sections")?.named(&[("first", Sections::First), ("last", Sections::Last), ("both", Sections::Both)])?,
            tolerance: tolerance()?,
        }),
        Some("refillet") => Edit::Refillet(Refillet {
            face: face()?,
            along: field("along")?.direction()?,
            beside: field("beside")?.pair_of_faces()?,
            profile: field("profile")?.named(&[("round", Profile::Round), ("curvature", Profile::Curvature)])?,
            setback: field("setback")?.setback()?,
            tolerance: tolerance()?,
            search: search()?,
        }),
        _ => return kind.wanted("the name of an edit"),
    })
}
