//! `layout.duplicate`: faces that lie on other faces.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::layout::{Cover, Overlap};

/// Pairs of faces that cover the same region. The value is the side of a square as large as what both cover, mm. Of a
/// face that is there more than twice, each copy is held against the first.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let copies = &subject.graph.twin_of;
    let copy = |o: &Overlap, i: usize| o.faces.get(i).and_then(|f| copies.get(f.index())).copied().flatten();
    let one = |o: &Overlap| {
        let known = match o.cover {
            // A copy says about other faces what its original says.
            Cover::Twin => copy(o, 1) != o.faces.first().copied(),
            Cover::Within | Cover::Part => copy(o, 0).is_some() || copy(o, 1).is_some(),
        };
        let value = o.area.sqrt();
        let grade = judge.grade(MeasureId::LayoutDuplicate, &o.faces, value).filter(|_| !known)?;
        let place = Place { point: o.point, face: Some(o.inner), uv: Some(o.uv), along: None };
        Some(Finding::new(MeasureId::LayoutDuplicate, value, grade, place).faces(&o.faces).extent(value).remedy(remedy(o)))
    };
    subject.graph.overlaps.iter().filter_map(one).collect()
}

fn remedy(o: &Overlap) -> &'static str {
    match (o.cover, o.opposed) {
        (Cover::Twin, false) => "Delete one of the two faces: the same region is there twice. The joins of the later one are laid aside.",
        (Cover::Twin, true) => {
            "Delete one of the two faces: the same region is there twice, with opposite normals. The joins of the later one are laid aside."
        }
        (Cover::Within, false) => "Delete the smaller face, or trim the larger one round it: it lies wholly on the larger one.",
        (Cover::Within, true) => {
            "The smaller face lies wholly on the back of the larger one: a wall without thickness, or two bodies in contact. Delete it, or give the wall its thickness."
        }
        (Cover::Part, false) => "Trim both faces to one common edge: they lap over each other.",
        (Cover::Part, true) => {
            "The two faces lie back to back in part: a wall without thickness, or two bodies in contact. Trim them apart, or give the wall its thickness."
        }
    }
}
