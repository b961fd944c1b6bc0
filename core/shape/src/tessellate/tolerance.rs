//! How far triangles may stray from the surface.

use crate::math::Point3;
use crate::model::{Loop, Model};

/// Limits of a tessellation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Distance aimed at between a triangle and its surface, mm, > 0; facets squeezed in beside a border, which must not
    /// be parted, may exceed it. A mesh tells its largest distance.
    pub chord: f64,
    /// Largest turn of the surface normal along a side of a grid cell, radians; a diagonal may have √2 of it.
    pub angle: f64,
    /// Cap on the triangles of one face. Steps are widened to stay below it and the mesh says that it is capped.
    pub max_triangles: usize,
}

/// Share of the model's diagonal allowed as chord distance. Larger: outlines look faceted when one part of the
/// model fills the screen. Smaller: triangles grow as its inverse, for a picture that is exact inside faces anyway.
const CHORD_SHARE: f64 = 1e-4;

/// Turn of the normal allowed across a cell, radians (11.5°). Larger: the pixel's own Newton correction starts too far
/// off on tight fillets. Smaller: triangles grow as the inverse square on every fillet.
const ANGLE: f64 = 0.2;

/// Triangles of one face. Larger: one bad face can fill a laptop's memory. Smaller: fine sculpted faces look faceted.
const MAX_TRIANGLES: usize = 200_000;

impl Tolerance {
    /// The usual limits for a model of the given diagonal, mm. A diagonal that is not positive and finite counts as 1.
    pub fn for_size(diagonal: f64) -> Self {
        let diagonal = if diagonal.is_finite() && diagonal > 0.0 { diagonal } else { 1.0 };
        Self { chord: CHORD_SHARE * diagonal, angle: ANGLE, max_triangles: MAX_TRIANGLES }
    }

    /// The usual limits for a model, from the diagonal of the box around its edges and its untrimmed patches.
    pub fn for_model(model: &Model) -> Self {
        Self::for_size(diagonal(model))
    }
}

/// Diagonal of a box around points taken on every edge and untrimmed patch, mm; 0 for an empty model.
fn diagonal(model: &Model) -> f64 {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    let mut take = |p: Point3| {
        if p.is_finite() {
            for (axis, x) in p.to_array().into_iter().enumerate() {
                low[axis] = low[axis].min(x);
                high[axis] = high[axis].max(x);
            }
        }
    };
    const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
    for edge in &model.edges {
        SHARES.iter().for_each(|&s| take(edge.point(s)));
    }
    for face in &model.faces {
        let (u, v) = face.surface.domain();
        let untrimmed = !face.loops.iter().any(|l| matches!(l, Loop::Edges(_)));
        if untrimmed && u.is_bounded() && v.is_bounded() {
            for a in SHARES {
                SHARES.iter().for_each(|&b| take(face.surface.point(u.at(a), v.at(b))));
            }
        }
    }
    let squares: f64 = low.iter().zip(&high).map(|(l, h)| (h - l).max(0.0)).map(|x| x * x).sum();
    if squares.is_finite() { squares.sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Curve, Line};
    use crate::math::Vec3;
    use crate::model::{Edge, Source, VertexId};

    #[test]
    fn follows_the_size_of_the_model_and_survives_an_empty_one() {
        assert!(Tolerance::for_model(&Model::default()).chord > 0.0);
        for size in [0.01, 3.0, 7e5] {
            let line = Line { origin: Point3::new(5.0, -3.0, 2.0), direction: Vec3::new(2.0, -1.0, 2.0) / 3.0 };
            let (start, end) = (VertexId::new(0), VertexId::new(1));
            let edge = Edge { curve: Curve::Line(line), t0: 0.0, t1: size, start, end, source: Source::default() };
            let model = Model { edges: vec![edge], ..Model::default() };
            let got = Tolerance::for_model(&model).chord;
            assert!((got - 1e-4 * size).abs() < 1e-9 * size, "{got} for {size}");
        }
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Tolerance::for_size(bad).chord == 1e-4);
        }
    }
}
