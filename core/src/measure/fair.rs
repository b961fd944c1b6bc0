//! What the measures of flow compare faces with, worked out once for all of them: the fair reference of a face, its steepest wave
//! about it, and its stripes beside those of the reference.

use super::Subject;
use super::fair_stripes::{Stripe, stripes};
use crate::flow::{Ripple, ripple};
use crate::geometry::{FAIR_DEGREE, FairReference, Surface};
use crate::joins::Role;
use crate::model::FaceId;
use crate::nurbs;
use std::rc::Rc;

/// A face that differs from its fair reference.
#[derive(Debug, Clone)]
pub struct Compared {
    /// The face.
    pub face: FaceId,
    /// Its reference.
    pub fair: FairReference,
    /// The steepest wave about it.
    pub wave: Option<Ripple>,
}

/// Every primary patch that one patch of low degree can follow and does not reproduce, in the order of the faces.
///
/// A patch of one span and of no higher degree than the reference is its own, and is not looked at; nor are analytic faces,
/// which have no waves, and faces that bend too far for one patch.
pub fn faces(subject: &Subject<'_>) -> Rc<Vec<Compared>> {
    subject.memo.keep("compared", 0, || {
        let faces = subject.sheets.model.faces().filter(|(id, _)| !subject.graph.is_copy(*id));
        faces.filter_map(|(id, face)| compared(subject, id, &face.surface)).collect()
    })
}

/// The stripes of the usual rig on those that lie near enough to their reference for a comparison.
pub fn fair_stripes(subject: &Subject<'_>) -> Rc<Vec<Stripe>> {
    subject.memo.keep("fair stripes", 0, || stripes(subject, &faces(subject)))
}

/// The fair reference of a face: the single patch of degree 5 nearest to it; None where it has none. Kept, as a fit takes time.
pub fn fair_reference(subject: &Subject<'_>, id: FaceId) -> Rc<Option<FairReference>> {
    subject.memo.keep("fair references", id.index(), || {
        let (surface, domain) = (&subject.sheets.face(id)?.surface, subject.sheets.domain(id)?);
        FairReference::new(surface, domain, (FAIR_DEGREE, FAIR_DEGREE)).ok()
    })
}

/// Distance from the reference below which a face counts as the same, mm: half the least height of a wave from crest to trough.
/// Larger: faint waves go unseen; smaller: sound faces are searched in vain.
const SAME: f64 = 1e-3;

fn compared(subject: &Subject<'_>, id: FaceId, surface: &Surface) -> Option<Compared> {
    let Surface::Nurbs(patch) = surface else { return None };
    let primary = subject.graph.roles.get(id.index()) == Some(&Role::Primary);
    let domain = subject.sheets.domain(id).filter(|_| primary && can_differ(patch))?;
    let fair = (*fair_reference(subject, id)).clone()?;
    let wave = if fair.deviation().max < SAME { return None } else { ripple(surface, domain, &fair) };
    Some(Compared { face: id, fair, wave })
}

/// True for a patch that its reference cannot reproduce.
fn can_differ(patch: &nurbs::Surface) -> bool {
    let simple = |k: &nurbs::KnotVector| k.span_count() == 1 && k.degree() <= FAIR_DEGREE;
    !(simple(patch.knots_u()) && simple(patch.knots_v()) && patch.weights().is_none())
}
