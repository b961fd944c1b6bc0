//! What is done well: panels whose joins all reach what is asked of them.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::joins::{Class, Order};
use crate::math::sets::{root, unite};
use crate::model::FaceId;

/// One finding a panel: faces linked by joins that are asked for curvature continuity, all of which have it.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let joins = &subject.graph.joins;
    if !judge.asks(MeasureId::JoinCurvature) {
        return Vec::new();
    }
    let mut panel: Vec<usize> = (0..subject.sheets.model.faces.len()).collect();
    let asked = |required: Order, class: Class| required >= Order::G2 && class != Class::Crease;
    for j in joins.iter().filter(|j| asked(j.required, j.class)) {
        if let [a, b] = j.faces.as_slice() {
            unite(&mut panel, a.index(), b.index());
        }
    }
    let roots: Vec<usize> = (0..panel.len()).map(|i| root(&mut panel, i)).collect();
    let mut all = Vec::new();
    for (lead, _) in roots.iter().enumerate().filter(|&(i, r)| i == *r) {
        let of_panel = |f: Option<&FaceId>| f.is_some_and(|f| roots.get(f.index()) == Some(&lead));
        let own: Vec<_> = joins.iter().enumerate().filter(|(_, j)| asked(j.required, j.class) && of_panel(j.faces.first())).collect();
        let smooth = own.iter().all(|(_, j)| j.class.order() >= Order::G2);
        let longest = own.iter().filter(|(_, j)| !j.mirrored).fold(None::<&(usize, &crate::joins::Join)>, |best, j| match best {
            Some(b) if b.1.length >= j.1.length => best,
            _ => Some(j),
        });
        let (true, Some(&(join, longest))) = (smooth, longest) else { continue };
        let faces: Vec<FaceId> = (0..roots.len()).filter(|&i| roots.get(i) == Some(&lead)).map(FaceId::new).collect();
        let Some(limit) = judge.limits(MeasureId::JoinCurvature, &faces).and_then(|l| l.polish) else { continue };
        let value = own.iter().filter_map(|(_, j)| j.summaries.curvature_share).map(|p| p.value).fold(0.0, f64::max);
        let remedy = format!("All {} joins of these {} faces keep tangency and curvature.", own.len(), faces.len());
        let remedy = if own.len() == 1 { "The faces of this join keep tangency and curvature.".into() } else { remedy };
        let found = Finding::new(MeasureId::JoinCurvature, value, (Severity::Good, limit), Place::at(longest.mid));
        all.push(found.faces(&faces).join(join).extent(own.iter().map(|(_, j)| j.length).sum()).remedy(remedy));
    }
    all
}
