//! Pieces laid end to end.

use super::Point3;

/// Lists of places laid end to end: from the first list on both ways, always the one whose end lies nearest to an end of the whole,
/// turned round where need be.
pub fn end_to_end<T>(lists: Vec<Vec<T>>, point: impl Fn(&T) -> Point3) -> Vec<T> {
    let mut left: Vec<Vec<T>> = lists.into_iter().filter(|l| !l.is_empty()).collect();
    if left.is_empty() {
        return Vec::new();
    }
    let mut whole = left.remove(0);
    while !left.is_empty() {
        // Distance, list, whether at the whole's start, whether the list's last place is the one that touches.
        let mut best: Option<(f64, usize, bool, bool)> = None;
        for (i, list) in left.iter().enumerate() {
            for (at_start, by_last) in [(false, false), (false, true), (true, true), (true, false)] {
                let of_whole = if at_start { whole.first() } else { whole.last() };
                let of_list = if by_last { list.last() } else { list.first() };
                let Some(distance) = of_whole.zip(of_list).map(|(a, b)| point(a).distance(point(b))) else { continue };
                if best.is_none_or(|b| distance < b.0) {
                    best = Some((distance, i, at_start, by_last));
                }
            }
        }
        let Some((_, i, at_start, by_last)) = best else { break };
        let mut next = left.remove(i);
        // Its touching place comes last before the whole, first after it.
        if by_last != at_start {
            next.reverse();
        }
        if at_start {
            next.append(&mut whole);
            whole = next;
        } else {
            whole.append(&mut next);
        }
    }
    whole
}
