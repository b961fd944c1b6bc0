//! Sorting, compiled once. The standard library's sort is compiled anew for every type and every comparison, some two
//! kilobytes of the packed module each; here indices are sorted, and what they stand for is then swapped into place.

use core::cmp::Ordering;
use std::collections::BTreeMap;

/// The indices below `count` in their order; those that compare equal stay in the order they had (a stable sort).
/// `compare` must be a total order, as for [`slice::sort_by`]; without one the order is any.
pub fn order(count: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&i, &j| compare(i, j));
    order
}

/// The swaps, one after the other, that put at each place what stood at the place named in `order`: round every cycle once.
fn swaps(mut order: Vec<usize>) -> Vec<(usize, usize)> {
    let mut swaps = Vec::new();
    for start in 0..order.len() {
        let mut to = start;
        while let Some(from) = order.get_mut(to).map(|from| core::mem::replace(from, to)).filter(|&from| from != start) {
            swaps.push((to, from));
            to = from;
        }
    }
    swaps
}

/// Stable sorting in place: the twins of [`slice::sort`], [`slice::sort_by`] and [`slice::sort_by_key`], slower by a
/// fraction and far smaller. Every sort of the core uses them.
pub trait Arrange<T> {
    /// Sorts by what `compare` says, which must be a total order.
    fn arrange_by(&mut self, compare: impl FnMut(&T, &T) -> Ordering);

    /// Sorts by rising keys; a key is made anew for every comparison.
    fn arrange_by_key<K: Ord>(&mut self, mut key: impl FnMut(&T) -> K) {
        self.arrange_by(|a, b| key(a).cmp(&key(b)));
    }

    /// Sorts by the type's own order.
    fn arrange(&mut self)
    where
        T: Ord,
    {
        self.arrange_by(T::cmp);
    }
}

impl<T> Arrange<T> for [T] {
    fn arrange_by(&mut self, mut compare: impl FnMut(&T, &T) -> Ordering) {
        if self.len() < 2 {
            return;
        }
        let sorted = order(self.len(), &mut |i, j| match (self.get(i), self.get(j)) {
            (Some(a), Some(b)) => compare(a, b),
            _ => Ordering::Equal,
        });
        for (a, b) in swaps(sorted) {
            self.swap(a, b);
        }
    }
}

/// The items in rising order, each once.
pub fn distinct<T: Ord>(items: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = items.into_iter().collect();
    all.arrange();
    all.dedup();
    all
}

/// The items of each key in the order they come in, by rising keys.
pub fn grouped<K: Ord, V>(items: impl IntoIterator<Item = (K, V)>) -> Vec<(K, Vec<V>)> {
    let mut all: Vec<(K, V)> = items.into_iter().collect();
    all.arrange_by(|a, b| a.0.cmp(&b.0));
    let mut groups: Vec<(K, Vec<V>)> = Vec::new();
    for (key, item) in all {
        match groups.last_mut() {
            Some((last, group)) if *last == key => group.push(item),
            _ => groups.push((key, vec![item])),
        }
    }
    groups
}

/// Drops the entries that are not to be kept: the twin of [`BTreeMap::retain`], which brings with it all that taking single
/// entries out of a tree needs.
pub fn retain<K: Ord, V>(map: &mut BTreeMap<K, V>, mut keep: impl FnMut(&K, &V) -> bool) {
    for (key, value) in core::mem::take(map) {
        if keep(&key, &value) {
            map.insert(key, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::cmp::Reverse;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    proptest! {
        /// Few keys among many items: ties are the rule, and the second number tells whether they kept their order.
        #[test]
        fn sorts_as_the_standard_library_does(keys in prop::collection::vec(0u8..12, 0..200)) {
            let items: Vec<(u8, usize)> = keys.into_iter().zip(0..).collect();
            let (mut expected, mut got) = (items.clone(), items.clone());
            expected.sort_by_key(|item| item.0);
            got.arrange_by_key(|item| item.0);
            prop_assert_eq!(&got, &expected);
            expected.sort_by_key(|item| Reverse(item.0));
            got.arrange_by(|a, b| b.0.cmp(&a.0));
            prop_assert_eq!(&got, &expected);
            got.arrange();
            prop_assert_eq!(got, { expected.sort(); expected });
        }

        /// The obviously right twins: an ordered set, and an ordered map of lists.
        #[test]
        fn lists_give_what_ordered_sets_and_maps_give(items in prop::collection::vec((0u8..9, 0u8..9), 0..40)) {
            prop_assert_eq!(distinct(items.clone()), items.iter().copied().collect::<BTreeSet<_>>().into_iter().collect::<Vec<_>>());
            let mut lists: BTreeMap<u8, Vec<u8>> = BTreeMap::new();
            items.iter().for_each(|&(key, item)| lists.entry(key).or_default().push(item));
            prop_assert_eq!(grouped(items), lists.clone().into_iter().collect::<Vec<_>>());
            let (mut kept, keep) = (lists.clone(), |key: &u8, list: &[u8]| *key > 2 && list.len() > 1);
            retain(&mut kept, |key, list| keep(key, list));
            lists.retain(|key, list| keep(key, list));
            prop_assert_eq!(kept, lists);
        }

        /// Cycles of every length, rotations among them, take one swap less than they have members.
        #[test]
        fn no_item_is_moved_more_than_it_must(mut items in Just((0..60).collect::<Vec<usize>>()).prop_shuffle(), by in 0usize..60) {
            for _ in 0..2 {
                prop_assert!(swaps(items.clone()).len() < items.len());
                items.arrange();
                items.rotate_left(by);
            }
        }
    }
}
