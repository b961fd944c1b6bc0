//! Checks triangles against the surface and adds points where they stray.

use super::Tolerance;
use super::cdt::{Cdt, Triangle};
use super::chord::{distance_to_facet, distance_to_segment};
use super::vertices::{PlaneMap, Vertices};
use crate::geometry::Surface;
use crate::math::{Interval, Point2, Point3, distinct, real};

/// Rounds of checking and adding. Larger: rare cusps cost time without end in sight. Smaller: bends that the sampling
/// missed stay faceted.
const ROUNDS: usize = 12;

/// How far a triangle may exceed the chord limit before a point is added: the border's own steps are already as long
/// as the limit allows, and meet the grid's at an angle. Larger: facets show beside borders. Smaller: strips along
/// borders are refined for nothing.
const CHORD_SLACK: f64 = 1.25;

/// How far the normals at two ends of a side may exceed the angle limit: √2 for the diagonal of a cell, and a little
/// for the border as above.
const ANGLE_SLACK: f64 = 1.6;

/// A point is added only when it stands further from the border than this share of the side it halves. Larger: places
/// next to the border stay coarse. Smaller: needles along the border.
const CLEARANCE: f64 = 0.02;

/// What is left after refinement.
pub(super) struct Refined {
    /// Triangles inside the border.
    pub triangles: Vec<Triangle>,
    /// Largest distance seen between a triangle (or inner side) and the surface, mm.
    pub deviation: f64,
    /// True when points were wanted beyond the cap.
    pub capped: bool,
}

/// Checks all triangles, adds points at the middle of sides that stray, and checks the new triangles again.
pub(super) fn refine(
    surface: &Surface,
    bounds: (Interval, Interval),
    map: &PlaneMap,
    tolerance: &Tolerance,
    cdt: &mut Cdt,
    vertices: &mut Vertices,
) -> Refined {
    let mut triangles = cdt.inside();
    let mut deviation = 0.0f64;
    let mut capped = false;
    if matches!(surface, Surface::Plane(_)) {
        return Refined { triangles, deviation, capped };
    }
    // A new point changes only triangles that have it as a corner, so old ones need no second look.
    let mut first_new = 0u32;
    for round in 0..ROUNDS {
        let mut wanted: Vec<(u32, u32)> = Vec::new();
        let mut centres: Vec<Point2> = Vec::new();
        let last = round + 1 == ROUNDS || triangles.len() >= tolerance.max_triangles;
        for t in triangles.iter().filter(|t| t.corners.iter().any(|&c| c >= first_new)) {
            let check = check(surface, tolerance, vertices, t);
            let accepted = !last
                && match check.remedy {
                    Some(Remedy::Halve(a, b)) => {
                        let free = has_clearance(cdt, vertices, a, b);
                        if free {
                            wanted.push((a.min(b), a.max(b)));
                        }
                        free
                    }
                    Some(Remedy::Centre(uv)) => {
                        let reach = CLEARANCE * longest_inner(vertices, t).map_or(0.0, |(_, _, l)| l);
                        let free = !cdt.outline().is_near(map.plane(uv), reach);
                        if free {
                            centres.push(uv);
                        }
                        free
                    }
                    None => false,
                };
            if !accepted {
                deviation = deviation.max(check.deviation);
                capped |= check.remedy.is_some() && triangles.len() >= tolerance.max_triangles;
            }
        }
        if wanted.is_empty() && centres.is_empty() {
            break;
        }
        first_new = vertices.uv.len() as u32;
        let halves = distinct(wanted).into_iter().map(|(a, b)| Point2::from_vec((vertices.uv(a).to_vec() + vertices.uv(b).to_vec()) * 0.5));
        for uv in halves.collect::<Vec<_>>().into_iter().chain(centres) {
            let plane = map.plane(uv);
            if cdt.insert(vertices.uv.len() as u32, plane) {
                vertices.push(surface, bounds, uv, plane);
            }
        }
        triangles = cdt.inside();
    }
    Refined { triangles, deviation, capped }
}

/// Where to add a point.
enum Remedy {
    /// In the middle of the side between two vertices.
    Halve(u32, u32),
    /// Inside.
    Centre(Point2),
}

struct Check {
    deviation: f64,
    remedy: Option<Remedy>,
}

/// Measures one triangle at its centre and at its inner sides' middles.
fn check(surface: &Surface, tolerance: &Tolerance, vertices: &Vertices, t: &Triangle) -> Check {
    let mut deviation = 0.0f64;
    let mut worst: Option<(u32, u32, f64)> = None;
    for (a, b) in inner_sides(t) {
        let (p, q) = (vertices.on(a), vertices.on(b));
        let middle = (vertices.uv(a).to_vec() + vertices.uv(b).to_vec()) * 0.5;
        let off = sag(surface, Point2::from_vec(middle), p, q);
        deviation = deviation.max(off);
        let turn = real::angle_between(vertices.normal(a), vertices.normal(b));
        let turned = turn > ANGLE_SLACK * tolerance.angle && p.distance(q) > 2.0 * tolerance.chord;
        if off > CHORD_SLACK * tolerance.chord || turned {
            let length = (vertices.plane(a) - vertices.plane(b)).length();
            if worst.is_none_or(|w| length > w.2) {
                worst = Some((a, b, length));
            }
        }
    }
    let [a, b, c] = t.corners;
    let centre = (vertices.uv(a).to_vec() + vertices.uv(b).to_vec() + vertices.uv(c).to_vec()) / 3.0;
    let off = distance_to_facet(surface.point(centre.x, centre.y), [vertices.on(a), vertices.on(b), vertices.on(c)]);
    deviation = deviation.max(off);
    let remedy = match worst {
        Some((a, b, _)) => Some(Remedy::Halve(a, b)),
        None if off > CHORD_SLACK * tolerance.chord => Some(Remedy::Centre(Point2::from_vec(centre))),
        None => None,
    };
    Check { deviation, remedy }
}

fn inner_sides(t: &Triangle) -> impl Iterator<Item = (u32, u32)> {
    let [a, b, c] = t.corners;
    [(a, b), (b, c), (c, a)].into_iter().zip(t.border).filter(|(_, border)| !border).map(|(side, _)| side)
}

fn longest_inner(vertices: &Vertices, t: &Triangle) -> Option<(u32, u32, f64)> {
    inner_sides(t).map(|(a, b)| (a, b, (vertices.plane(a) - vertices.plane(b)).length())).max_by(|x, y| x.2.total_cmp(&y.2))
}

fn has_clearance(cdt: &Cdt, vertices: &Vertices, a: u32, b: u32) -> bool {
    let (p, q) = (vertices.plane(a), vertices.plane(b));
    !cdt.outline().is_near((p + q) * 0.5, CLEARANCE * (p - q).length())
}

/// Distance along the normal from a chord to the surface point at the middle of its parameters, mm. Across the normal
/// the two may stand further apart where parameters are swept unevenly; that is no distance between mesh and surface.
fn sag(surface: &Surface, middle: Point2, p: Point3, q: Point3) -> f64 {
    let d = surface.derivs(middle.u, middle.v, 1);
    let cross = d.su.cross(d.sv);
    if cross.length() > 1e-8 * d.su.length() * d.sv.length()
        && let Some(n) = cross.try_normalize()
    {
        return (d.s - p.lerp(q, 0.5)).dot(n).abs();
    }
    distance_to_segment(d.s, p, q)
}
