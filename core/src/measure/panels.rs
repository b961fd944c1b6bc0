//! Panels: primary faces that run on into each other.

use super::Subject;
use crate::joins::{Class, Order, Role};
use crate::math::sets;
use crate::model::FaceId;

/// Faces of each panel, rising: primaries linked by joins that are asked for curvature continuity.
pub fn panels(subject: &Subject<'_>) -> Vec<Vec<FaceId>> {
    let roles = &subject.graph.roles;
    let primary = |f: FaceId| roles.get(f.index()) == Some(&Role::Primary) && !subject.graph.is_copy(f);
    let mut of: Vec<usize> = (0..roles.len()).collect();
    for j in subject.graph.joins.iter().filter(|j| j.required >= Order::G2 && j.class != Class::Crease) {
        if let [a, b] = j.faces.as_slice()
            && primary(*a)
            && primary(*b)
        {
            sets::unite(&mut of, a.index(), b.index());
        }
    }
    let all = sets::groups(&mut of).into_iter().map(|g| g.into_iter().map(FaceId::new).filter(|f| primary(*f)).collect::<Vec<_>>());
    all.filter(|g| !g.is_empty()).collect()
}
