//! A tree over boxes: which ones a point comes near, and which ones a line passes. Faces are found by it for their
//! layout, borders for their joins.

use crate::math::{Point3, Vec3};

/// An axis-parallel box with the number it stands for.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    /// Least corner.
    pub low: Vec3,
    /// Greatest corner.
    pub high: Vec3,
    /// What it stands for.
    pub id: usize,
}

/// A static tree, halved at the median of the longest side. Building costs n log² n, a question log n plus what it
/// finds.
#[derive(Debug, Clone, Default)]
pub struct Boxes {
    items: Vec<Item>,
    /// An implicit binary tree over ranges of `items`.
    nodes: Vec<Node>,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    low: Vec3,
    high: Vec3,
    first: usize,
    count: usize,
    /// Index of the second child; the first follows its parent. 0 for a leaf.
    right: usize,
}

/// Boxes in a leaf. Larger: more boxes looked at per question; smaller: more nodes.
const LEAF: usize = 4;

impl Boxes {
    /// Builds the tree. The order of answers depends only on the order given.
    pub fn new(mut items: Vec<Item>) -> Self {
        let mut nodes = Vec::new();
        let count = items.len();
        build(&mut items, 0, count, &mut nodes);
        Self { items, nodes }
    }

    /// Ids of the boxes within `radius` of `p`.
    pub fn near(&self, p: Point3, radius: f64) -> Vec<usize> {
        let mut found = Vec::new();
        self.each_near(p, radius, |id| found.push(id));
        found
    }

    /// Calls `found` with the ids of the boxes within `radius` of `p`, in the order of the tree.
    pub fn each_near(&self, p: Point3, radius: f64, found: impl FnMut(usize)) {
        let at = p.to_vec();
        self.each(|low, high| (low - at).max(at - high).max(Vec3::ZERO).length() <= radius, found);
    }

    /// Calls `look` with the ids of boxes that may hold something nearer to `p` than the root of `square`, nearest boxes first as far as
    /// the tree tells; it answers with the square of the least distance found so far, and farther boxes are passed over.
    pub fn nearest(&self, p: Point3, mut square: f64, mut look: impl FnMut(usize, f64) -> f64) {
        let at = p.to_vec();
        let off = |low: Vec3, high: Vec3| (low - at).max(at - high).max(Vec3::ZERO).length_squared();
        let mut open = vec![(0.0, 0usize)];
        while let Some((bound, i)) = open.pop() {
            let Some(node) = self.nodes.get(i) else { continue };
            if bound > square {
                continue;
            }
            if node.right > 0 {
                let of = |i: usize| (self.nodes.get(i).map_or(f64::INFINITY, |n| off(n.low, n.high)), i);
                let (a, b) = (of(i + 1), of(node.right));
                let (first, second) = if a.0 <= b.0 { (a, b) } else { (b, a) };
                open.extend([second, first].into_iter().filter(|n| n.0 <= square));
                continue;
            }
            for b in self.items.iter().skip(node.first).take(node.count) {
                if off(b.low, b.high) <= square {
                    square = square.min(look(b.id, square));
                }
            }
        }
    }

    /// Ids of the boxes that the line through `p` along `direction` passes.
    pub fn on_line(&self, p: Point3, direction: Vec3) -> Vec<usize> {
        let (from, along) = (p.to_vec().to_array(), direction.to_array());
        let mut found = Vec::new();
        let passed = |low: Vec3, high: Vec3| {
            let (low, high) = (low.to_array(), high.to_array());
            let (mut first, mut last) = (f64::NEG_INFINITY, f64::INFINITY);
            for ((&o, &d), (&l, &h)) in from.iter().zip(&along).zip(low.iter().zip(&high)) {
                if d == 0.0 {
                    if o < l || o > h {
                        return false;
                    }
                    continue;
                }
                let (a, b) = ((l - o) / d, (h - o) / d);
                (first, last) = (first.max(a.min(b)), last.min(a.max(b)));
            }
            first <= last
        };
        self.each(passed, |id| found.push(id));
        found
    }

    /// True when a box comes within `radius` of `p`.
    pub fn any_near(&self, p: Point3, radius: f64) -> bool {
        let at = p.to_vec();
        self.find(|low, high| (low - at).max(at - high).max(Vec3::ZERO).length() <= radius, |_| true)
    }

    fn each(&self, wanted: impl Fn(Vec3, Vec3) -> bool, mut found: impl FnMut(usize)) {
        self.find(wanted, |id| {
            found(id);
            false
        });
    }

    /// Until `found` says that it is enough; true when it did.
    fn find(&self, wanted: impl Fn(Vec3, Vec3) -> bool, mut found: impl FnMut(usize) -> bool) -> bool {
        let mut open = vec![0usize];
        while let Some(i) = open.pop() {
            let Some(node) = self.nodes.get(i) else { continue };
            if !wanted(node.low, node.high) {
                continue;
            }
            if node.right > 0 {
                open.push(node.right);
                open.push(i + 1);
                continue;
            }
            let leaf = self.items.iter().skip(node.first).take(node.count);
            if leaf.filter(|b| wanted(b.low, b.high)).any(|b| found(b.id)) {
                return true;
            }
        }
        false
    }
}

fn build(all: &mut [Item], first: usize, count: usize, nodes: &mut Vec<Node>) {
    let Some(part) = all.get_mut(first..first + count) else { return };
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for b in part.iter() {
        (low, high) = (low.min(b.low), high.max(b.high));
    }
    let here = nodes.len();
    nodes.push(Node { low, high, first, count, right: 0 });
    if count <= LEAF {
        return;
    }
    let size = (high - low).to_array();
    let axis = (0..3).fold(0, |best, i| if size[i] > size[best] { i } else { best });
    let key = |b: &Item| (b.low + b.high).to_array()[axis];
    let order = |x: &Item, y: &Item| key(x).total_cmp(&key(y)).then(x.id.cmp(&y.id));
    let half = count / 2;
    part.select_nth_unstable_by(half, order);
    // What is not halved again lies in order, whatever the choice of the middle one left behind.
    let (lower, upper) = part.split_at_mut(half);
    for side in [lower, upper] {
        if side.len() <= LEAF {
            side.sort_by(order);
        }
    }
    build(all, first, half, nodes);
    let right = nodes.len();
    if let Some(node) = nodes.get_mut(here) {
        node.right = right;
    }
    build(all, first + half, count - half, nodes);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sorted(mut ids: Vec<usize>) -> Vec<usize> {
        ids.sort_unstable();
        ids
    }

    proptest! {
        /// The obviously right twin: every box by itself; for lines, by small steps.
        #[test]
        fn finds_what_looking_at_all_finds(
            corners in proptest::collection::vec(proptest::array::uniform6(-10.0f64..10.0), 0..60),
            p in proptest::array::uniform3(-12.0f64..12.0), d in proptest::array::uniform3(-1.0f64..1.0), radius in 0.0f64..6.0,
        ) {
            let items: Vec<Item> = corners.iter().enumerate().map(|(id, c)| {
                let (a, b) = (Vec3::new(c[0], c[1], c[2]), Vec3::new(c[3], c[4], c[5]));
                Item { low: a.min(b), high: a.max(b), id }
            }).collect();
            let (p, d) = (Point3::new(p[0], p[1], p[2]), Vec3::new(d[0], d[1], d[2]));
            let off = |b: &Item, q: Vec3| (b.low - q).max(q - b.high).max(Vec3::ZERO).length();
            let near: Vec<usize> = items.iter().filter(|b| off(b, p.to_vec()) <= radius).map(|b| b.id).collect();
            // Steps along the line that meet a box: it must be found; a box found must come close to the line.
            let on = |b: &Item| (-4000..=4000).map(|i| off(b, p.to_vec() + d * (f64::from(i) * 0.01))).fold(f64::INFINITY, f64::min);
            let met: Vec<usize> = items.iter().filter(|b| on(b) == 0.0).map(|b| b.id).collect();
            let tree = Boxes::new(items.clone());
            prop_assert_eq!(tree.any_near(p, radius), !near.is_empty());
            let least = items.iter().map(|b| off(b, p.to_vec())).fold(f64::INFINITY, f64::min);
            let (mut got, mut looked) = (f64::INFINITY, 0);
            tree.nearest(p, f64::INFINITY, |id, square| {
                looked += 1;
                let own = off(&items[id], p.to_vec());
                got = got.min(own);
                square.min(own * own)
            });
            prop_assert_eq!(got, least);
            prop_assert!(looked <= items.len());
            prop_assert_eq!(sorted(tree.near(p, radius)), near);
            let passed = tree.on_line(p, d);
            prop_assert!(met.iter().all(|id| passed.contains(id)));
            prop_assert!(passed.iter().all(|&id| on(&items[id]) < 0.02 || d.length() < 0.7));
        }
    }
}
