//! `layout.orientation`: faces whose normal is against the rest of their skin.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::{Join, Skin};
use crate::math::sets;
use crate::model::FaceId;

/// One finding for each run of turned faces that hang together, with their number as its value; one for a closed skin
/// that is inside out; one for each join that no orientation of its skin suits.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for skin in &subject.graph.orientation.skins {
        if skin.inside_out {
            let remedy = "Turn the normals of all these faces: they agree with each other and point into what the skin encloses.";
            all.extend(turned(subject, judge, &skin.turned, remedy));
        } else {
            let remedy = "Turn the normal of these faces: it points the other way than those of the skin around them.";
            let groups = together(subject, skin);
            all.extend(groups.iter().filter_map(|g| turned(subject, judge, g, remedy)));
        }
        all.extend(skin.one_sided.iter().filter_map(|&i| one_sided(subject, judge, i)));
    }
    all
}

fn turned(subject: &Subject<'_>, judge: &Judge<'_>, faces: &[FaceId], remedy: &str) -> Option<Finding> {
    let value = faces.len() as f64;
    let grade = judge.grade(MeasureId::LayoutOrientation, faces, value)?;
    let area = |f: &FaceId| subject.areas.get(f.index()).copied().unwrap_or(0.0);
    let largest = faces.iter().copied().reduce(|a, b| if area(&b) > area(&a) { b } else { a })?;
    let place = super::middle(subject, largest)?;
    let extent = faces.iter().map(|&f| subject.sheets.perimeter(f)).sum();
    Some(Finding::new(MeasureId::LayoutOrientation, value, grade, place).faces(faces).extent(extent).remedy(remedy))
}

fn one_sided(subject: &Subject<'_>, judge: &Judge<'_>, index: usize) -> Option<Finding> {
    let join: &Join = subject.graph.joins.get(index)?;
    let grade = judge.grade(MeasureId::LayoutOrientation, &join.faces, 1.0)?;
    let place = Place { point: join.mid, face: join.faces.first().copied(), uv: None, along: Some(0.5 * join.length) };
    let remedy = "The skin has one side only: going round it, normals come back turned over at this join. Cut it, or look for a face joined upside down.";
    Some(Finding::new(MeasureId::LayoutOrientation, 1.0, grade, place).faces(&join.faces).join(index).extent(join.length).remedy(remedy))
}

/// The turned faces of a skin in groups that joins link.
fn together(subject: &Subject<'_>, skin: &Skin) -> Vec<Vec<FaceId>> {
    let mut group: Vec<usize> = (0..skin.turned.len()).collect();
    let index = |f: Option<&FaceId>| f.and_then(|f| skin.turned.binary_search(f).ok());
    for join in &subject.graph.joins {
        if let (Some(a), Some(b)) = (index(join.faces.first()), index(join.faces.last())) {
            sets::unite(&mut group, a, b);
        }
    }
    sets::groups(&mut group).into_iter().map(|g| g.into_iter().filter_map(|i| skin.turned.get(i)).copied().collect()).collect()
}
