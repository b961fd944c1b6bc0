//! Findings of one cause as one finding.

use super::Subject;
use crate::finding::Finding;
use crate::joins::JoinEnd;
use crate::math::{Arrange, grouped, sets};
use crate::model::FaceId;

/// Findings of one measure on joins, those that follow each other round one loop of a face put together: a face that
/// stops short all round, or stands proud of all its neighbours, is one fault, however many faces it meets. Each finding
/// goes to the face that has most of them in a row, so that a sheet of many faulty patches does not become one finding.
/// The worst one speaks for all; lengths add up. Two joins follow each other where they end within `reach` (mm) of each
/// other.
pub fn together(subject: &Subject<'_>, found: Vec<Finding>, reach: f64) -> Vec<Finding> {
    let links = links(subject, &found, reach);
    let mut group_of: Vec<Option<usize>> = vec![None; found.len()];
    let mut count = 0;
    loop {
        let rows = links.iter().flat_map(|pairs| rows(pairs, &group_of));
        // Of rows of the same length the first: by face, then by loop.
        let longest = rows.fold(Vec::new(), |best, row| if row.len() > best.len() { row } else { best });
        if longest.is_empty() {
            break;
        }
        for i in longest {
            if let Some(g) = group_of.get_mut(i) {
                *g = Some(count);
            }
        }
        count += 1;
    }
    let groups = grouped(found.into_iter().enumerate().map(|(i, f)| (group_of.get(i).copied().flatten().unwrap_or(count + i), f)));
    groups.into_iter().filter_map(|(_, group)| merged(group)).collect()
}

/// Findings of one face each, with an area, those whose faces meet as one: the most severe one, of those the one whose value is `worse`,
/// speaks for all, faces and areas add up.
pub fn faces_together(subject: &Subject<'_>, found: Vec<(Finding, f64)>, worse: fn(f64, f64) -> bool) -> Vec<(Finding, f64)> {
    let mut of_face: Vec<Option<usize>> = vec![None; subject.sheets.model.faces.len()];
    for (i, (f, _)) in found.iter().enumerate() {
        f.place.face.and_then(|face| of_face.get_mut(face.index())).into_iter().for_each(|of| *of = Some(i));
    }
    let mut groups: Vec<usize> = (0..found.len()).collect();
    for join in subject.graph.joins.iter().filter(|j| j.class.meets()) {
        if let [a, b] = join.faces.as_slice()
            && let (Some(&Some(i)), Some(&Some(j))) = (of_face.get(a.index()), of_face.get(b.index()))
        {
            sets::unite(&mut groups, i, j);
        }
    }
    let merged = |group: Vec<usize>| {
        let all: Vec<&(Finding, f64)> = group.iter().filter_map(|&i| found.get(i)).collect();
        let worst = all
            .iter()
            .map(|x| &x.0)
            .reduce(|a, b| if b.severity < a.severity || (b.severity == a.severity && worse(b.value, a.value)) { b } else { a })?;
        let faces: Vec<FaceId> = all.iter().flat_map(|x| x.0.faces.iter().copied()).collect();
        Some((worst.clone().faces(&faces), all.iter().map(|x| x.1).sum()))
    };
    sets::groups(&mut groups).into_iter().filter_map(merged).collect()
}

/// Pairs of findings that follow each other, by face and loop.
fn links(subject: &Subject<'_>, found: &[Finding], reach: f64) -> Vec<Vec<(usize, usize)>> {
    let mut round: Vec<((FaceId, usize), (usize, JoinEnd))> = Vec::new();
    for (i, f) in found.iter().enumerate() {
        for end in f.join.map_or(Vec::new(), |j| subject.graph.ends(&subject.sheets, j)) {
            round.push(((end.face, end.loop_index), (i, end)));
        }
    }
    let pairs = |ends: &[(usize, JoinEnd)]| {
        let mut all = Vec::new();
        for (n, (i, a)) in ends.iter().enumerate() {
            for (j, b) in ends.iter().skip(n + 1) {
                if i != j && a.points.iter().any(|p| b.points.iter().any(|q| p.distance(*q) <= reach)) {
                    all.push((*i.min(j), *i.max(j)));
                }
            }
        }
        all
    };
    grouped(round).iter().map(|(_, ends)| pairs(ends)).collect()
}

/// Findings in a row among those that have no group yet, two at least.
fn rows(pairs: &[(usize, usize)], group_of: &[Option<usize>]) -> Vec<Vec<usize>> {
    let free = |i: &usize| group_of.get(*i).is_some_and(Option::is_none);
    let pairs: Vec<(usize, usize)> = pairs.iter().copied().filter(|(a, b)| free(a) && free(b)).collect();
    let mut members: Vec<usize> = pairs.iter().flat_map(|p| [p.0, p.1]).collect();
    members.arrange();
    members.dedup();
    let mut sets: Vec<usize> = (0..members.len()).collect();
    for (a, b) in pairs {
        if let (Ok(a), Ok(b)) = (members.binary_search(&a), members.binary_search(&b)) {
            sets::unite(&mut sets, a, b);
        }
    }
    sets::groups(&mut sets).into_iter().map(|g| g.into_iter().filter_map(|i| members.get(i)).copied().collect()).collect()
}

/// The worst of the group with the faces, joins and lengths of all; None of none.
pub fn merged(group: Vec<Finding>) -> Option<Finding> {
    let extent = group.iter().map(|f| f.extent).sum();
    let mut faces: Vec<FaceId> = group.iter().flat_map(|f| f.faces.iter().copied()).collect();
    faces.arrange();
    faces.dedup();
    let mut joins: Vec<usize> = group.iter().filter_map(|f| f.join).collect();
    joins.arrange();
    let worst = group.into_iter().reduce(|a, b| if (b.severity, -b.value) < (a.severity, -a.value) { b } else { a })?;
    joins.retain(|j| Some(*j) != worst.join);
    Some(Finding { extent, faces, also: joins, ..worst })
}
