//! Whether the order of a facet's corners agrees with the normal written beside it.

use crate::exchange::mesh::Found;
use crate::math::{Point3, Vec3};

/// Counts the triangles whose corners run the other way round than their stated normal says.
#[derive(Debug, Default)]
pub(super) struct Facing {
    against: usize,
}

impl Facing {
    /// Looks at one triangle. A zero normal states nothing.
    pub(super) fn look(&mut self, normal: [f64; 3], [a, b, c]: [[f64; 3]; 3]) {
        let point = |[x, y, z]: [f64; 3]| Point3::new(x, y, z);
        let turned = (point(b) - point(a)).cross(point(c) - point(a));
        if Vec3::from_array(normal).dot(turned) < 0.0 {
            self.against += 1;
        }
    }

    /// Says what was seen, if anything.
    pub(super) fn tell(&self, found: &mut Found) {
        if self.against > 0 {
            let text = format!("{} of the triangles runs against the normal written with it; the order of corners is taken", self.against);
            found.remark(text);
        }
    }
}
