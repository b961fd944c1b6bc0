//! A face before it is sewn: a surface with its boundary as curves in space and in (u, v).

use super::patch::{built, mirror};
use crate::geometry::{Line2, Pcurve, Surface};
use crate::math::{Point2, Point3, Similarity, Vec2, Vec3};
use crate::nurbs;

/// One side of a boundary, in the direction in which the loop runs.
#[derive(Debug, Clone)]
pub(in crate::demo) struct Border {
    pub curve: nurbs::Curve<3>,
    pub ends: (f64, f64),
    pub trim: Pcurve,
    pub trim_ends: (f64, f64),
}

/// A surface and its loops, each with the face on its left in the (u, v) plane, the outer loop first.
#[derive(Debug, Clone)]
pub(in crate::demo) struct Sheet {
    pub name: String,
    pub layer: &'static str,
    pub surface: Surface,
    pub loops: Vec<Vec<Border>>,
    /// True when Su × Sv points to the outside of the cowl.
    pub outward: bool,
}

impl Border {
    /// The same side run the other way.
    pub fn reversed(&self) -> Border {
        Border { ends: (self.ends.1, self.ends.0), trim_ends: (self.trim_ends.1, self.trim_ends.0), ..self.clone() }
    }

    /// Position at share `s`.
    pub fn point(&self, s: f64) -> Point3 {
        let d = self.curve.derivs(self.ends.0 * (1.0 - s) + self.ends.1 * s, 0);
        Point3::new(d[0][0], d[0][1], d[0][2])
    }
}

/// The four sides of a patch over [0, 1]², loop by loop order: v = 0, u = 1, v = 1, u = 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    Start,
    Far,
    End,
    Near,
}

/// The piece of one side of a patch between two of its parameters, in the direction from `from` to `to`.
pub(super) fn side(surface: &nurbs::Surface, edge: Edge, from: f64, to: f64) -> Border {
    let (nu, nv) = surface.size();
    let pick: Vec<usize> = match edge {
        Edge::Start => (0..nu).map(|i| i * nv).collect(),
        Edge::End => (0..nu).map(|i| i * nv + nv - 1).collect(),
        Edge::Near => (0..nv).collect(),
        Edge::Far => (0..nv).map(|j| (nu - 1) * nv + j).collect(),
    };
    let (knots, origin, direction) = match edge {
        Edge::Start => (surface.knots_u(), Point2::new(0.0, 0.0), Vec2::X),
        Edge::End => (surface.knots_u(), Point2::new(0.0, 1.0), Vec2::X),
        Edge::Near => (surface.knots_v(), Point2::new(0.0, 0.0), Vec2::Y),
        Edge::Far => (surface.knots_v(), Point2::new(1.0, 0.0), Vec2::Y),
    };
    let points = pick.iter().map(|&k| surface.points()[k].to_array()).collect();
    let weights: Option<Vec<f64>> = surface.weights().map(|w| pick.iter().map(|&k| w[k]).collect());
    // A side whose weights are all equal is polynomial.
    let weights = weights.filter(|w| w.iter().any(|&x| x != w[0]));
    let curve = built(nurbs::Curve::new(knots.clone(), points, weights));
    Border { curve, ends: (from, to), trim: Pcurve::Line(Line2 { origin, direction }), trim_ends: (from, to) }
}

/// The outer loop of a whole patch, its sides broken at the given inner parameters.
pub(super) fn outline(surface: &nurbs::Surface, breaks: impl Fn(Edge) -> Vec<f64>) -> Vec<Border> {
    let mut all = Vec::new();
    for edge in [Edge::Start, Edge::Far, Edge::End, Edge::Near] {
        let mut at = vec![0.0];
        at.extend(breaks(edge));
        at.push(1.0);
        if matches!(edge, Edge::End | Edge::Near) {
            at.reverse();
        }
        all.extend(at.windows(2).map(|w| side(surface, edge, w[0], w[1])));
    }
    all
}

impl Sheet {
    /// An untrimmed patch whose sides have no inner corner.
    pub fn whole(name: String, layer: &'static str, surface: nurbs::Surface, outward: bool) -> Sheet {
        let loops = vec![outline(&surface, |_| Vec::new())];
        Sheet { name, layer, surface: Surface::Nurbs(surface), loops, outward }
    }

    /// Reflected in the centre plane; (u, v) stays, so Su × Sv changes side.
    pub fn mirrored(&self, name: String) -> Sheet {
        let by = Similarity { axes: [Vec3::X, -Vec3::Y, Vec3::Z], ..Similarity::IDENTITY };
        let (surface, outward) = match &self.surface {
            // A plane keeps a right-handed frame, so it is turned by itself.
            Surface::Plane(p) => {
                let f = crate::math::Frame {
                    origin: by.point(p.frame.origin),
                    x: by.direction(p.frame.x),
                    y: by.direction(p.frame.y),
                    z: -by.direction(p.frame.z),
                };
                (Surface::Plane(crate::geometry::Plane { frame: f }), !self.outward)
            }
            s => (s.transformed(&by).0, !self.outward),
        };
        let turn = |b: &Border| {
            let curve = b.curve.map(|[x, y, z]| mirror(Vec3::new(x, y, z)).to_array());
            Border { curve, ..b.clone() }
        };
        let loops = self.loops.iter().map(|l| l.iter().map(turn).collect()).collect();
        Sheet { name, layer: self.layer, surface, loops, outward }
    }
}
