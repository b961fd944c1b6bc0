//! Telling faces apart by few colours.

use super::JoinGraph;

/// Classes there are: as many as colours that everybody can tell apart (Okabe & Ito, *Color Universal Design*, 2008).
const CLASSES: usize = 8;

/// A class, 0 to 7, for each of `count` faces such that faces with a join differ, in their order the first class that no neighbour
/// has (greedy colouring: Welsh & Powell, *The Computer Journal* 10(1), 1967). A face whose neighbours have all eight gets the one
/// that fewest of them have.
pub fn contrasting(graph: &JoinGraph, count: usize) -> Vec<u8> {
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); count];
    for join in &graph.joins {
        for (i, a) in join.faces.iter().enumerate() {
            for b in join.faces.iter().skip(i + 1).filter(|b| *b != a) {
                for (from, to) in [(a, b), (b, a)] {
                    if let Some(list) = near.get_mut(from.index()) {
                        list.push(to.index());
                    }
                }
            }
        }
    }
    let mut classes: Vec<Option<u8>> = vec![None; count];
    for (face, others) in near.iter().enumerate() {
        let mut taken = [0usize; CLASSES];
        for class in others.iter().filter_map(|o| classes.get(*o).copied().flatten()) {
            if let Some(n) = taken.get_mut(usize::from(class)) {
                *n += 1;
            }
        }
        let least = taken.iter().enumerate().min_by_key(|(i, n)| (**n, *i)).map_or(0, |(i, _)| i);
        if let Some(slot) = classes.get_mut(face) {
            *slot = u8::try_from(least).ok();
        }
    }
    classes.into_iter().map(Option::unwrap_or_default).collect()
}
