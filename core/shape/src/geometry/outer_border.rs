//! The border a surface has by itself, taken where no loop of the file bounds the face from outside.

use super::SurfaceSearch;
use super::domain::{DomainLoop, DomainSide, polygon_area};
use super::loop_cut::{Arc, Rectangle};
use super::loop_nest::{Outline, samples};
use super::loop_seams::extremes;
use super::loop_untie::Numbered;
use super::pole::PoleLine;
use super::{DomainFault, Surface, SurfaceKind};
use crate::math::{Interval, Point2, Vec2};

/// The whole surface as one loop; periodic directions start at `u0` and `v0`.
pub(super) fn whole(surface: &Surface, search: &SurfaceSearch, u0: f64, v0: f64) -> Result<DomainLoop, DomainFault> {
    let (u, v) = surface.domain();
    let (pu, pv) = surface.periods();
    let (cu, cv) = search.closures();
    let over = |domain: Interval, period: Option<f64>, at: f64, closure: Option<f64>| match period {
        Some(p) => Some((Interval::new(at, at + p), true)),
        None if domain.is_bounded() => Some((domain, closure.is_some())),
        None => None,
    };
    let (u, closed_u) = over(u, pu, u0, cu).ok_or(DomainFault::Unbounded)?;
    let (v, closed_v) = match pole_span(surface, search) {
        Some(span) => (span, false),
        None => over(v, pv, v0, cv).ok_or(DomainFault::Unbounded)?,
    };
    let rectangle = Rectangle::new(u, v, search.poles(), (closed_u, closed_v), (true, true));
    Ok(DomainLoop { sides: rectangle.whole(surface)? })
}

/// v between the two poles of a torus that meets itself: the part beyond them is another surface.
pub(super) fn pole_span(surface: &Surface, search: &SurfaceSearch) -> Option<Interval> {
    if surface.kind() != SurfaceKind::Torus {
        return None;
    }
    let at: Vec<f64> = search.poles().iter().filter_map(|p| if let PoleLine::FreeU(v) = p.line { Some(v) } else { None }).collect();
    match at[..] {
        [a, b] => Some(Interval::new(a.min(b), a.max(b))),
        _ => None,
    }
}

/// On a surface without a border loops that run clockwise bound the rest of it: its outline, cut clear of them.
pub(super) fn around_holes(surface: &Surface, search: &SurfaceSearch, closed: &[Numbered]) -> Result<Option<Vec<DomainSide>>, DomainFault> {
    if !endless(surface, search) {
        return Ok(None);
    }
    let area = |sides: &Vec<DomainSide>| polygon_area(&sides.iter().flat_map(DomainSide::polyline).collect::<Vec<_>>());
    let largest = closed.iter().map(|(_, s)| area(s)).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    if largest.is_none_or(|a| a >= 0.0) {
        return Ok(None);
    }
    let arcs: Vec<Arc> = closed.iter().map(|(_, s)| Arc { sides: s.clone(), closed: true }).collect();
    let (u, v) = extremes(&arcs);
    let clear = |over: Interval, period: Option<f64>| period.map_or(0.0, |p| over.high + 0.5 * (p - over.length()).max(0.0) - p);
    let (pu, pv) = surface.periods();
    Ok(Some(whole(surface, search, clear(u, pu), clear(v, pv))?.sides))
}

/// True for spheres, tori and what is swept to be like them: u runs round, v too or from pole to pole. A patch's
/// own sides count as a border even where they meet.
fn endless(surface: &Surface, search: &SurfaceSearch) -> bool {
    if surface.kind() == SurfaceKind::Nurbs || surface.periods().0.is_none() {
        return false;
    }
    let (_, v) = surface.domain();
    let pole_at = |x: f64| search.poles().iter().any(|p| matches!(p.line, PoleLine::FreeU(at) if at == x));
    surface.periods().1.is_some() || search.closures().1.is_some() || (pole_at(v.low) && pole_at(v.high))
}

/// Two or more loops on a patch that all run clockwise and lie beside one another are holes without a loop around
/// them: the patch's own border. (One alone is an outer loop written the wrong way round.)
pub(super) fn missing_outer(
    surface: &Surface,
    search: &SurfaceSearch,
    closed: &[Numbered],
) -> Result<Option<Vec<DomainSide>>, DomainFault> {
    if surface.limits().is_none() || closed.len() < 2 {
        return Ok(None);
    }
    let polygons: Vec<Vec<Point2>> = closed.iter().map(|(_, s)| s.iter().flat_map(DomainSide::polyline).collect()).collect();
    if polygons.iter().any(|p| polygon_area(p) >= 0.0) {
        return Ok(None);
    }
    let outlines: Vec<Outline> = polygons.iter().map(|p| Outline::new(p.clone())).collect();
    let beside = |(i, p): (usize, &Vec<Point2>)| {
        let own = samples(p);
        outlines.iter().enumerate().all(|(j, o)| i == j || !o.holds_most(&own, Vec2::ZERO))
    };
    if !polygons.iter().enumerate().all(beside) {
        return Ok(None);
    }
    Ok(whole(surface, search, 0.0, 0.0).ok().map(|l| l.sides))
}
