//! Remedies that give a patch another net.

use super::ground::Ground;
use super::{NoRemedy, Remedy};
use crate::finding::Finding;
use crate::measure::{HOLD, Subject};
use crate::nurbs::Direction;
use crate::trial::{Edit, Refit, Resweep, Sections, Size};

/// Least and greatest degree of a patch that is to be calm: that of a fair reference, and that up to which degrees are raised so that
/// sides can be kept. Common practice, no source.
const LEAST: usize = 5;
const MOST: usize = 9;

/// Share of bending that counts where spans are many.
const FAIRNESS: f64 = 1e-7;

pub(super) fn face_of(finding: &Finding) -> Result<crate::model::FaceId, NoRemedy> {
    let face = finding.place.face.or_else(|| finding.faces.first().copied());
    face.ok_or_else(|| NoRemedy::new("the finding lies on no face"))
}

/// Fewer spans: one, two, then half of them with bending counted, sides kept to the order they have.
pub(super) fn calmer(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    Ok(few_spans(&Ground::new(subject, face_of(finding)?)?))
}

/// The smallest net that holds the shape; then one that is calm.
pub(super) fn smaller(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let ground = Ground::new(subject, face_of(finding)?)?;
    let mut all = vec![smallest(&ground)];
    all.extend(few_spans(&ground));
    Ok(all)
}

pub(super) fn smallest(ground: &Ground) -> Remedy {
    let edit = Refit { face: ground.face, size: Size::Smallest { tolerance: HOLD }, keep: ground.keep() };
    Remedy::one(format!("Refit with what the shape needs within {HOLD} mm"), Edit::Refit(edit))
}

/// Nets of few spans: of degrees that have rows for what the sides keep, then of no more than the patch has.
pub(super) fn few_spans(ground: &Ground) -> Vec<Remedy> {
    let (ku, kv) = (ground.patch.knots_u(), ground.patch.knots_v());
    let own = (ku.span_count(), kv.span_count());
    let mut all: Vec<Remedy> = Vec::new();
    for (most, fairness) in [(1, 0.0), (2, 0.0), (4, FAIRNESS)] {
        let spans = (own.0.min(most), own.1.min(most));
        // A side is kept where its opposite could be too; n spans have degree + n rows.
        let room = |sides: [usize; 2], spans: usize| (2 * ground.held(sides[0]).max(ground.held(sides[1]))).saturating_sub(spans).min(MOST);
        let plain = (ku.degree().clamp(LEAST, MOST), kv.degree().clamp(LEAST, MOST));
        let kept = (plain.0.max(room([0, 1], spans.0)), plain.1.max(room([2, 3], spans.1)));
        for degree in [kept, plain] {
            let edit = Refit { face: ground.face, size: Size::Chosen { degree, spans, fairness }, keep: ground.keep() };
            let count = |n: usize| if n == 1 { "1 span".to_owned() } else { format!("{n} spans") };
            let name = format!("Refit with {} by {}, degrees {} and {}", count(spans.0), count(spans.1), degree.0, degree.1);
            if all.iter().all(|r| r.name != name) {
                all.push(Remedy::one(name, Edit::Refit(edit)));
            }
        }
    }
    all
}

/// A calm net, or the plain sweep between opposite sides.
pub(super) fn swept(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let ground = Ground::new(subject, face_of(finding)?)?;
    let mut all = few_spans(&ground);
    if ground.whole {
        for (rails, name) in [(Direction::U, "u"), (Direction::V, "v")] {
            let edit = Resweep { face: ground.face, rails, sections: Sections::Both, tolerance: HOLD };
            all.push(Remedy::one(format!("Sweep between the two sides along {name}"), Edit::Resweep(edit)));
        }
    }
    Ok(all)
}
