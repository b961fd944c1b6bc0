//! A tree of boxes that a ray can be tested against quickly.

use glam::Vec3;

/// Boxes a leaf may hold. Larger makes picks slower, smaller makes the tree bigger than the mesh.
const LEAF: usize = 4;

/// A box in single precision; picks only use it to find candidates, so boxes are grown a little.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aabb {
    /// Least corner.
    pub min: Vec3,
    /// Greatest corner.
    pub max: Vec3,
}

/// Tree over numbered boxes.
#[derive(Clone, Debug, Default)]
pub struct Bvh {
    nodes: Vec<Node>,
    order: Vec<u32>,
}

#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Aabb,
    /// First item of a leaf, or the second child of an inner node (the first child follows it).
    link: u32,
    /// Items of a leaf; 0 marks an inner node.
    count: u32,
}

impl Aabb {
    /// Holds nothing.
    pub const EMPTY: Aabb = Aabb { min: Vec3::INFINITY, max: Vec3::NEG_INFINITY };

    /// The smallest box around points.
    pub fn around(points: &[Vec3]) -> Aabb {
        points.iter().fold(Aabb::EMPTY, |b, p| Aabb { min: b.min.min(*p), max: b.max.max(*p) })
    }

    fn join(self, other: Aabb) -> Aabb {
        Aabb { min: self.min.min(other.min), max: self.max.max(other.max) }
    }

    /// True when the line `base + t·direction` meets the box for a `t` below `limit`.
    fn meets(&self, base: Vec3, inverse: Vec3, limit: f32) -> bool {
        let a = (self.min - base) * inverse;
        let b = (self.max - base) * inverse;
        // A zero direction component makes 0·∞ when the base lies on the box's face; min and
        // max then take the other number, which keeps the box as a candidate.
        let near = a.x.min(b.x).max(a.y.min(b.y)).max(a.z.min(b.z));
        let far = a.x.max(b.x).min(a.y.max(b.y)).min(a.z.max(b.z));
        near <= far && near < limit
    }
}

impl Bvh {
    /// Builds the tree; boxes that are not numbers are never found.
    pub fn build(boxes: &[Aabb]) -> Bvh {
        let count = u32::try_from(boxes.len()).unwrap_or(0);
        let mut bvh = Bvh { nodes: Vec::new(), order: (0..count).collect() };
        if count > 0 {
            let mut order = std::mem::take(&mut bvh.order);
            bvh.split(boxes, &mut order, 0);
            bvh.order = order;
        }
        bvh
    }

    /// Calls `hit` with the number of every box the line meets nearer than the least value `hit`
    /// has returned so far (start: infinity). `t` may be negative: the line has no start.
    pub fn visit(&self, base: Vec3, direction: Vec3, mut hit: impl FnMut(u32) -> f32) {
        let inverse = direction.recip();
        let mut limit = f32::INFINITY;
        let mut stack = vec![0usize];
        while let Some(at) = stack.pop() {
            let Some(node) = self.nodes.get(at) else {
                continue;
            };
            if !node.bounds.meets(base, inverse, limit) {
                continue;
            }
            let link = node.link as usize;
            if node.count == 0 {
                stack.push(link);
                stack.push(at + 1);
                continue;
            }
            for item in self.order.iter().skip(link).take(node.count as usize) {
                limit = limit.min(hit(*item));
            }
        }
    }

    fn split(&mut self, boxes: &[Aabb], order: &mut [u32], first: u32) {
        let get = |i: u32| boxes.get(i as usize).copied().unwrap_or(Aabb::EMPTY);
        let bounds = order.iter().fold(Aabb::EMPTY, |b, i| b.join(get(*i)));
        let at = self.nodes.len();
        if order.len() <= LEAF {
            self.nodes.push(Node { bounds: grown(bounds), link: first, count: order.len() as u32 });
            return;
        }
        self.nodes.push(Node { bounds: grown(bounds), link: 0, count: 0 });
        let centres = order.iter().fold(Aabb::EMPTY, |b, i| {
            let g = get(*i);
            let c = (g.min + g.max) / 2.0;
            b.join(Aabb { min: c, max: c })
        });
        let size = centres.max - centres.min;
        let axis = if size.x >= size.y && size.x >= size.z {
            0
        } else if size.y >= size.z {
            1
        } else {
            2
        };
        let key = |i: &u32| {
            let g = get(*i);
            g.min.to_array()[axis] + g.max.to_array()[axis]
        };
        let middle = order.len() / 2;
        order.select_nth_unstable_by(middle, |a, b| key(a).total_cmp(&key(b)));
        let (left, right) = order.split_at_mut(middle);
        let right_first = first + left.len() as u32;
        self.split(boxes, left, first);
        let right_at = self.nodes.len() as u32;
        self.split(boxes, right, right_first);
        if let Some(node) = self.nodes.get_mut(at) {
            node.link = right_at;
        }
    }
}

/// Slack against rounding of the slab test; without it flat boxes are missed edge-on.
fn grown(b: Aabb) -> Aabb {
    let slack = (b.max.abs().max(b.min.abs())) * 1e-6 + Vec3::splat(1e-6);
    Aabb { min: b.min - slack, max: b.max + slack }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A fixed sequence of numbers in 0..1, so that a failure can be repeated.
    fn numbers(mut state: u32) -> impl FnMut() -> f32 {
        move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / (1 << 24) as f32
        }
    }

    #[test]
    fn finds_what_testing_every_box_finds() {
        for count in [0, 1, 4, 5, 33, 700] {
            let mut next = numbers(count + 1);
            let mut point = || Vec3::new(next(), next(), next()) * 100.0 - 20.0;
            let boxes: Vec<Aabb> = (0..count)
                .map(|i| {
                    let p = point();
                    // Every third box is flat, as boxes around axis-parallel triangles are.
                    let size = if i % 3 == 0 { Vec3::new(3.0, 0.0, 2.0) } else { point().abs() * 0.05 };
                    Aabb { min: p, max: p + size }
                })
                .collect();
            let bvh = Bvh::build(&boxes);
            for k in 0..60 {
                let base = point();
                let direction = if k % 4 == 0 { Vec3::Y } else { (point() - base).normalize() };
                let mut found = Vec::new();
                bvh.visit(base, direction, |i| {
                    found.push(i);
                    f32::INFINITY
                });
                found.sort_unstable();
                for (i, b) in boxes.iter().enumerate() {
                    if b.meets(base, direction.recip(), f32::INFINITY) {
                        assert!(found.binary_search(&(i as u32)).is_ok(), "missed {i} of {count}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_near_hit_prunes_farther_boxes() {
        let boxes: Vec<Aabb> = (0..1000)
            .map(|i| {
                let x = i as f32 * 10.0;
                Aabb { min: Vec3::new(x, -1.0, -1.0), max: Vec3::new(x + 1.0, 1.0, 1.0) }
            })
            .collect();
        let bvh = Bvh::build(&boxes);
        let mut calls = 0;
        bvh.visit(Vec3::new(-5.0, 0.0, 0.0), Vec3::X, |i| {
            calls += 1;
            boxes[i as usize].min.x + 5.0
        });
        assert!(calls < 20, "{calls} boxes tested");
    }
}
