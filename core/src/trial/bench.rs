//! Faces as the trials so far have left them.

use super::{Moved, TrialError};
use crate::geometry::{Domain, SideOrigin, Surface, spline_form};
use crate::math::Interval;
use crate::model::{FaceId, Model};
use crate::nurbs;

/// How near a spline comes to a surface of another kind that is to be changed, mm. Larger: the change begins with an error that
/// shows; smaller: cylinders become patches of many spans.
const FORM: f64 = 1e-6;

/// Part of a domain's range within which a border runs along the patch's own box. Larger: faces trimmed askew count as whole;
/// smaller: those that another writer has trimmed along their own border do not.
const NEAR: f64 = 1e-7;

/// A face in work.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Its patch, clamped.
    pub patch: nurbs::Surface,
    /// True where the face ends where the patch ends.
    pub whole: bool,
}

/// All faces: those of the model, over them those that trials have changed, None where one was merged into another.
#[derive(Debug)]
pub(super) struct Bench<'a> {
    pub model: &'a Model,
    /// One a face where they are known beforehand.
    domains: &'a [Option<Domain>],
    changed: Vec<(FaceId, Option<Sheet>)>,
}

/// What an edit makes of faces.
#[derive(Debug, Clone, Default)]
pub(super) struct Outcome {
    /// Faces with their new patches; whether the face ends where the patch ends is taken from before where it says None.
    pub set: Vec<(FaceId, Sheet)>,
    /// Faces that are part of another now.
    pub gone: Vec<FaceId>,
    /// What moved.
    pub moved: Moved,
}

/// The patch of a face that edits change, clamped, and whether the face ends where it ends: rows and columns of edits are those of this
/// patch, which may be a part of the face's own.
///
/// # Errors
/// As of any edit of the face.
pub fn sheet(model: &Model, face: FaceId) -> Result<(nurbs::Surface, bool), TrialError> {
    Bench::new(model).sheet(face).map(|s| (s.patch, s.whole))
}

impl<'a> Bench<'a> {
    pub fn new(model: &'a Model) -> Self {
        Self::with(model, &[])
    }

    /// `domains`: one a face where they are known, else none.
    pub fn with(model: &'a Model, domains: &'a [Option<Domain>]) -> Self {
        Self { model, domains, changed: Vec::new() }
    }

    /// A face as a patch that can be changed. One that is bounded along lines of constant parameters is cut to its box first.
    pub fn sheet(&self, id: FaceId) -> Result<Sheet, TrialError> {
        if let Some((_, now)) = self.changed.iter().find(|c| c.0 == id) {
            return now.clone().ok_or(TrialError::Gone(id));
        }
        let face = self.model.face(id).ok_or(TrialError::NoFace(id))?;
        let domain = self.domain(id)?;
        let (u, v) = domain.bounds();
        let whole = is_box(&domain, u, v);
        let pole = || domain.loops.iter().flat_map(|l| &l.sides).any(|s| s.origin == SideOrigin::Pole);
        if !whole && pole() {
            return Err(TrialError::Pole(id));
        }
        let (u, v) = match &face.surface {
            Surface::Nurbs(s) if !whole => s.domain(),
            Surface::Nurbs(s) => {
                let (du, dv) = s.domain();
                (held(u, du), held(v, dv))
            }
            _ => (u, v),
        };
        Ok(Sheet { patch: spline_form(&face.surface, u, v, FORM)?.clamped()?, whole })
    }

    /// As [`Bench::sheet`], of a face that ends where its patch ends.
    pub fn whole(&self, id: FaceId) -> Result<nurbs::Surface, TrialError> {
        let sheet = self.sheet(id)?;
        if sheet.whole { Ok(sheet.patch) } else { Err(TrialError::Trimmed(id)) }
    }

    /// The domain of a face of the model.
    pub fn domain(&self, id: FaceId) -> Result<Domain, TrialError> {
        let domain = self.domains.get(id.index()).cloned().unwrap_or_else(|| self.model.domain(id).ok());
        domain.filter(|d| d.untrimmed.is_none()).ok_or(TrialError::Border(id))
    }

    /// Takes an outcome over.
    pub fn take(&mut self, outcome: &Outcome) {
        let all = outcome.set.iter().map(|(id, s)| (*id, Some(s.clone()))).chain(outcome.gone.iter().map(|&id| (id, None)));
        for (id, now) in all {
            match self.changed.iter_mut().find(|c| c.0 == id) {
                Some(place) => place.1 = now,
                None => self.changed.push((id, now)),
            }
        }
    }

    /// Faces changed, in the order in which they were first.
    pub fn changed(&self) -> &[(FaceId, Option<Sheet>)] {
        &self.changed
    }
}

/// A box's end where it is the domain's to rounding, so that no sliver of a span is cut off.
fn held(over: Interval, domain: Interval) -> Interval {
    let slack = NEAR * domain.length();
    let to = |x: f64, end: f64| if (x - end).abs() <= slack { end } else { domain.clamp(x) };
    Interval::new(to(over.low, domain.low), to(over.high, domain.high))
}

/// True where the domain is one loop along the sides of its own box.
fn is_box(domain: &Domain, u: Interval, v: Interval) -> bool {
    let [one] = domain.loops.as_slice() else { return false };
    let on = |x: f64, over: Interval| (x - over.low).abs().min((x - over.high).abs()) <= NEAR * over.length();
    one.sides.iter().all(|side| {
        let line = side.polyline();
        // Along one side of the box as a whole, not from one to the next over a corner cut off.
        let of_u = line.iter().all(|p| on(p.u, u) && line.first().is_some_and(|q| (q.u - p.u).abs() <= NEAR * u.length()));
        let of_v = line.iter().all(|p| on(p.v, v) && line.first().is_some_and(|q| (q.v - p.v).abs() <= NEAR * v.length()));
        of_u || of_v
    })
}
