//! Chains of crossings: from pairs that share a triangle to lines from end to end.

use std::collections::BTreeMap;

/// Chains of numbers, each pair of neighbours given once in any order. Open chains first, from their lower end; a closed
/// one begins with its lowest number and repeats it at the end. Every number has at most two neighbours; further ones
/// are left out.
pub(crate) fn chains(pairs: &[(u32, u32)]) -> Vec<Vec<u32>> {
    let mut beside: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for &(a, b) in pairs.iter().filter(|(a, b)| a != b) {
        let full = |n: u32, beside: &BTreeMap<u32, Vec<u32>>| beside.get(&n).is_some_and(|l| l.len() >= 2);
        if !full(a, &beside) && !full(b, &beside) {
            beside.entry(a).or_default().push(b);
            beside.entry(b).or_default().push(a);
        }
    }
    let ends: Vec<u32> = beside.iter().filter(|(_, l)| l.len() == 1).map(|(n, _)| *n).collect();
    let rest: Vec<u32> = beside.keys().copied().collect();
    let mut all = Vec::new();
    for start in ends.into_iter().chain(rest) {
        let mut chain = vec![start];
        let mut here = start;
        while let Some(next) = beside.get_mut(&here).and_then(Vec::pop) {
            if let Some(back) = beside.get_mut(&next) {
                back.retain(|&n| n != here);
            }
            chain.push(next);
            here = next;
        }
        if chain.len() > 1 {
            all.push(chain);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_and_closed_chains() {
        let pairs = [(7, 3), (1, 2), (5, 6), (3, 9), (2, 4), (4, 1), (6, 8), (9, 0)];
        assert_eq!(chains(&pairs), vec![vec![0, 9, 3, 7], vec![5, 6, 8], vec![1, 4, 2, 1]]);
        assert_eq!(chains(&[]), Vec::<Vec<u32>>::new());
        assert_eq!(chains(&[(3, 3)]), Vec::<Vec<u32>>::new());
    }
}
