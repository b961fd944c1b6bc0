//! Things put together in sets by pairs (a union–find over indices).

/// The representative of a set, the least of its members; paths are shortened on the way.
pub fn root(sets: &mut [usize], mut i: usize) -> usize {
    while let Some(&up) = sets.get(i).filter(|&&up| up != i) {
        let above = sets.get(up).copied().unwrap_or(up);
        if let Some(s) = sets.get_mut(i) {
            *s = above;
        }
        i = up;
    }
    i
}

/// Puts the sets of two members together.
pub fn unite(sets: &mut [usize], a: usize, b: usize) {
    let (x, y) = (root(sets, a), root(sets, b));
    if let Some(s) = sets.get_mut(x.max(y)) {
        *s = x.min(y);
    }
}

/// All sets, by their least members; members rise.
pub fn groups(sets: &mut [usize]) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = vec![Vec::new(); sets.len()];
    for i in 0..sets.len() {
        let r = root(sets, i);
        if let Some(list) = all.get_mut(r) {
            list.push(i);
        }
    }
    all.retain(|l| !l.is_empty());
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The obviously right twin: labels spread along pairs until nothing changes.
        #[test]
        fn sets_are_what_pairs_connect(n in 1usize..25, pairs in proptest::collection::vec((0usize..25, 0usize..25), 0..40)) {
            let pairs: Vec<(usize, usize)> = pairs.into_iter().map(|(a, b)| (a % n, b % n)).collect();
            let mut labels: Vec<usize> = (0..n).collect();
            for _ in 0..n {
                for &(a, b) in &pairs {
                    let least = labels[a].min(labels[b]);
                    (labels[a], labels[b]) = (least, least);
                }
            }
            let mut sets: Vec<usize> = (0..n).collect();
            pairs.iter().for_each(|&(a, b)| unite(&mut sets, a, b));
            prop_assert_eq!((0..n).map(|i| root(&mut sets, i)).collect::<Vec<_>>(), labels.clone());
            for group in groups(&mut sets) {
                prop_assert!(group.windows(2).all(|w| w[0] < w[1]) && group.iter().all(|&i| labels[i] == group[0]));
            }
        }
    }
}
