//! `layout.trim`: how much of its patch a trimmed face still uses.

use super::{Judge, Subject, needed};
use crate::finding::{Finding, MeasureId, Place};
use crate::geometry::{Domain, Surface};
use crate::model::FaceId;

/// Faces that use less of their spline patch than the limit: the trimmed area over that of the whole patch.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (id, face) in subject.sheets.model.faces().filter(|(id, _)| !subject.graph.is_copy(*id)) {
        let (Some(share), Some(area)) = (trim_share(subject, id), subject.areas.get(id.index())) else { continue };
        let Some(grade) = judge.grade(MeasureId::LayoutTrim, &[id], share) else { continue };
        // Of a flat patch nothing is shaped by what was cut away.
        if needed(subject, id).is_some_and(|n| n.degree == (1, 1) && n.spans == (1, 1)) {
            continue;
        }
        let Some(uv) = subject.sheets.domain(id).map(|d| d.bounds()).map(|(u, v)| crate::math::Point2::new(u.at(0.5), v.at(0.5))) else {
            continue;
        };
        let place = Place { point: face.surface.point(uv.u, uv.v), face: Some(id), uv: Some(uv), along: None };
        let remedy = format!(
            "Only {:.0} % of the patch is left by its trims: build a patch that ends where the face does, so that its control points shape \
             what is seen.",
            100.0 * share
        );
        all.push(Finding::new(MeasureId::LayoutTrim, share, grade, place).extent(area.max(0.0).sqrt()).remedy(remedy));
    }
    all
}

/// Trimmed area of a face over the area of its whole spline patch, 0 to 1; None of other surfaces and of faces without area.
pub fn trim_share(subject: &Subject<'_>, id: FaceId) -> Option<f64> {
    *subject.memo.keep("trim share", id.index(), || {
        let (Surface::Nurbs(patch), Some(area)) = (&subject.sheets.face(id)?.surface, subject.areas.get(id.index())) else { return None };
        subject.sheets.domain(id)?;
        let surface = &subject.sheets.face(id)?.surface;
        let (u, v) = patch.domain();
        let whole = Domain::rectangle(surface, u, v).ok()?;
        let share = area / whole.area(surface);
        share.is_finite().then_some(share)
    })
}
