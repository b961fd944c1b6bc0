//! Fills a region of a surface with triangles.

use super::Tolerance;
use super::cdt::Cdt;
use super::grid::grid;
use super::refine::refine;
use super::region::Region;
use super::vertices::{PlaneMap, Vertices};
use crate::geometry::Surface;
use crate::math::Vec2;
use crate::math::outline::{Outline, Segment};
use core::fmt;
use std::collections::BTreeMap;

/// A filled region: triangles over its border points (numbered as there) and further points inside.
pub(super) struct Fill {
    /// All vertices; the first are the region's border points.
    pub vertices: Vertices,
    /// Triangles, counter-clockwise in (u, v).
    pub triangles: Vec<[u32; 3]>,
    /// True when the cap on triangles bit.
    pub capped: bool,
    /// True when the border crosses itself.
    pub crossed: bool,
    /// Largest distance seen between a triangle and the surface, mm.
    pub deviation: f64,
}

/// Why a region cannot be filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum FillError {
    /// The border has no extent in (u, v).
    Empty,
    /// The border encloses nothing.
    NoInside,
    /// A border point is not a finite number.
    NotFinite,
}

impl fmt::Display for FillError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Empty => "its border has no extent on the surface",
            Self::NoInside => "its border encloses nothing on the surface",
            Self::NotFinite => "its border has points that are not finite numbers",
        })
    }
}

impl std::error::Error for FillError {}

/// Share of the smallest neighbouring cell side that a grid point keeps from the border. Larger: a bare strip along
/// the border, of long triangles. Smaller: needles between the border and the grid.
const CLEARANCE: f64 = 0.35;

/// Fills a region.
///
/// # Errors
/// When its border is degenerate.
pub(super) fn fill(surface: &Surface, region: &Region, tolerance: &Tolerance) -> Result<Fill, FillError> {
    if region.points.iter().any(|p| !p.uv.is_finite() || !p.position.is_finite()) {
        return Err(FillError::NotFinite);
    }
    let bounds = region.bounds().ok_or(FillError::Empty)?;
    if bounds.0.length() <= 0.0 || bounds.1.length() <= 0.0 {
        return Err(FillError::Empty);
    }
    let grid = grid(surface, bounds.0, bounds.1, tolerance);
    let map = PlaneMap::new(bounds, grid.scale).ok_or(FillError::Empty)?;
    let mut vertices = Vertices::default();
    for p in &region.points {
        vertices.push(surface, bounds, p.uv, map.plane(p.uv));
    }
    let mut stands = Stands::default();
    let mut points: Vec<(u32, Vec2)> = Vec::new();
    let mut first_at: Vec<u32> = Vec::with_capacity(region.points.len());
    for (n, &p) in vertices.plane.iter().enumerate() {
        let n = n as u32;
        let first = stands.first_at(p, n);
        first_at.push(first);
        if first == n {
            points.push((n, p));
        }
    }
    let outline = Outline::new(segments(region, &first_at, &vertices));
    for node in &grid.nodes {
        let p = map.plane(node.uv);
        if outline.is_near(p, CLEARANCE * node.reach) || outline.winding(p) == 0 {
            continue;
        }
        let n = vertices.uv.len() as u32;
        if stands.first_at(p, n) == n {
            points.push((n, p));
            vertices.push(surface, bounds, node.uv, p);
        }
    }
    if points.len() < 3 {
        return Err(FillError::NoInside);
    }
    let mut cdt = Cdt::new(&points, outline).map_err(|_| FillError::NotFinite)?;
    let refined = refine(surface, bounds, &map, tolerance, &mut cdt, &mut vertices);
    if refined.triangles.is_empty() {
        return Err(FillError::NoInside);
    }
    Ok(Fill {
        vertices,
        triangles: refined.triangles.iter().map(|t| t.corners).collect(),
        capped: grid.capped || refined.capped,
        crossed: cdt.crossed(),
        deviation: refined.deviation,
    })
}

/// Which vertex came first at a place in the plane.
#[derive(Default)]
struct Stands {
    numbers: BTreeMap<(u64, u64), u32>,
}

impl Stands {
    fn first_at(&mut self, p: Vec2, number: u32) -> u32 {
        *self.numbers.entry((p.x.to_bits(), p.y.to_bits())).or_insert(number)
    }
}

/// The border's segments, each once, with how often it is run along less how often against.
fn segments(region: &Region, first_at: &[u32], vertices: &Vertices) -> Vec<Segment> {
    let mut nets: BTreeMap<(u32, u32), i32> = BTreeMap::new();
    for ring in &region.rings {
        let number = |n: &u32| first_at.get(*n as usize).copied();
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let (Some(a), Some(b)) = (number(from), number(to)) else { continue };
            if a != b {
                *nets.entry((a.min(b), a.max(b))).or_insert(0) += if a < b { 1 } else { -1 };
            }
        }
    }
    let make = |((a, b), net)| Segment { a: vertices.plane(a), b: vertices.plane(b), ends: [a, b], net };
    nets.into_iter().map(make).collect()
}
