//! The closest point of a surface anywhere, without a seed.

use super::Surface;
use super::closest::{Foot, closest_on_surface};
use super::pole::{Pole, PoleLine, closures, poles};
use super::search_spans::SpanTree;
use super::search_sweep::{Sweep, deepest};
use crate::math::{Interval, Point2, Point3};
use core::cell::OnceCell;

/// What repeated questions to one surface share: its poles, the lengths after which it closes on itself, and what
/// the search for the closest point needs, made when first asked.
#[derive(Debug, Clone)]
pub struct SurfaceSearch {
    poles: Vec<Pole>,
    closures: (Option<f64>, Option<f64>),
    spans: OnceCell<SpanTree>,
    lattice: OnceCell<Lattice>,
}

impl SurfaceSearch {
    /// Prepares the search.
    pub fn new(surface: &Surface) -> Self {
        Self { poles: poles(surface), closures: closures(surface), spans: OnceCell::new(), lattice: OnceCell::new() }
    }

    /// The surface's poles.
    pub fn poles(&self) -> &[Pole] {
        &self.poles
    }

    /// Lengths in u and v after which the surface closes on itself, see [`closures`].
    pub fn closures(&self) -> (Option<f64>, Option<f64>) {
        self.closures
    }

    /// Closures in directions that are not periodic: lengths over which (u, v) jumps at a seam.
    pub(super) fn seams(&self, surface: &Surface) -> (Option<f64>, Option<f64>) {
        let ((pu, pv), (cu, cv)) = (surface.periods(), self.closures);
        (if pu.is_some() { None } else { cu }, if pv.is_some() { None } else { cv })
    }

    /// The closest point; `surface` must be the one given to [`SurfaceSearch::new`].
    ///
    /// Planes, cylinders, cones, spheres and tori: the closed form. Spline patches: by branch and bound, so that no
    /// other point is nearer by more than a millionth of the distance and 1e-9 of the patch's size. Swept surfaces:
    /// one parameter follows in closed form and the other is searched by samples. Offsets of spline and ruled
    /// surfaces: from a lattice.
    pub fn closest(&self, surface: &Surface, p: Point3) -> Foot {
        match surface {
            Surface::Plane(_) | Surface::Cylinder(_) | Surface::Cone(_) | Surface::Sphere(_) | Surface::Torus(_) => {
                closest_on_surface(surface, p, Point2::new(0.0, 0.0))
            }
            Surface::Nurbs(s) => self.spans.get_or_init(|| SpanTree::new(s)).closest(surface, s, p),
            _ => match Sweep::of(surface) {
                Some(sweep) => sweep.closest(surface, p),
                None => self.lattice.get_or_init(|| Lattice::new(surface, &self.poles)).closest(surface, p),
            },
        }
    }
}

/// A lattice of points to start Newton's method from.
#[derive(Debug, Clone)]
struct Lattice {
    u: Vec<f64>,
    v: Vec<f64>,
    points: Vec<Point3>,
}

/// Lattice lines a span. Smaller: two feet within one span are not told apart; larger: slower.
const LINES: usize = 5;

/// Most lattice lines in one direction. Larger: slow to build; smaller: surfaces of many spans lose minima.
const MOST_LINES: usize = 65;

impl Lattice {
    fn new(surface: &Surface, poles: &[Pole]) -> Self {
        let ((du, dv), (spans_u, spans_v)) = (surface.domain(), surface.breaks());
        let (mut u, mut v) = (lines(du, spans_u), lines(dv, spans_v));
        // On a collapsed side all directions look alike and Newton cannot tell where to go: start beside it.
        for pole in poles {
            match pole.line {
                PoleLine::FreeU(at) => step_off(&mut v, at),
                PoleLine::FreeV(at) => step_off(&mut u, at),
            }
        }
        let mut points = Vec::with_capacity(u.len() * v.len());
        for &a in &u {
            points.extend(v.iter().map(|&b| surface.point(a, b)));
        }
        Self { u, v, points }
    }

    /// The best of the feet from all nodes no farther than their neighbours.
    fn closest(&self, surface: &Surface, p: Point3) -> Foot {
        let (nu, nv) = (self.u.len(), self.v.len());
        let square: Vec<f64> = self.points.iter().map(|q| (*q - p).length_squared()).collect();
        let at = |i: usize, j: usize| square.get(i * nv + j).copied().unwrap_or(f64::INFINITY);
        let mut minima: Vec<(f64, Point2)> = Vec::new();
        for (i, &u) in self.u.iter().enumerate() {
            for (j, &v) in self.v.iter().enumerate() {
                let here = at(i, j);
                let mut around =
                    (i.saturating_sub(1)..(i + 2).min(nu)).flat_map(|a| (j.saturating_sub(1)..(j + 2).min(nv)).map(move |b| (a, b)));
                if around.all(|(a, b)| at(a, b) >= here) {
                    minima.push((here, Point2::new(u, v)));
                }
            }
        }
        deepest(surface, p, minima)
    }
}

/// Lattice parameters over a range: the whole of a bounded one, the unit about zero of another.
fn lines(over: Interval, breaks: Vec<f64>) -> Vec<f64> {
    let over = if over.is_bounded() { over } else { Interval::new(over.low.max(-1.0), over.high.min(1.0)) };
    let mut stops = vec![over.low];
    stops.extend(breaks);
    stops.push(over.high);
    let mut all: Vec<f64> = Vec::new();
    for w in stops.windows(2) {
        all.extend((0..LINES).map(|i| Interval::new(w[0], w[1]).at(i as f64 / LINES as f64)));
    }
    all.push(over.high);
    if all.len() <= MOST_LINES {
        return all;
    }
    let last = all.len() - 1;
    (0..MOST_LINES).filter_map(|i| all.get(i * last / (MOST_LINES - 1)).copied()).collect()
}

/// Moves an end of the lattice a little off a collapsed side.
fn step_off(lattice: &mut [f64], at: f64) {
    const SHARE: f64 = 0.02;
    if let [first, second, ..] = lattice
        && *first == at
    {
        *first += SHARE * (*second - *first);
    }
    if let [.., second, last] = lattice
        && *last == at
    {
        *last -= SHARE * (*last - *second);
    }
}
