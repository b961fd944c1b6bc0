//! What is shown of a face whose loops cannot be used.

use super::SurfaceSearch;
use super::assemble::natural;
use super::closest::near;
use super::loop_cut::Rectangle;
use super::{Domain, DomainFault, DomainLoop, Surface};
use crate::math::{Interval, Point2, Point3, real};

/// The surface's own border, or, where it has none (planes, cylinders, cones), the box in (u, v) around the feet of
/// `seen`, points of what could be read of the boundary. Non-finite points are passed over.
///
/// # Errors
/// The given fault, when the surface has no end and the points span no box.
pub(crate) fn untrimmed(surface: &Surface, search: &SurfaceSearch, seen: &[Point3], fault: DomainFault) -> Result<Domain, DomainFault> {
    if let Ok(whole) = natural(surface, search) {
        return Ok(Domain { untrimmed: Some(fault), ..whole });
    }
    let (periods, mut last) = (surface.periods(), None::<Point2>);
    let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
    let (mut u, mut v) = (none, none);
    for &p in seen.iter().filter(|p| p.is_finite()) {
        let foot = search.closest(surface, p).uv;
        let uv = last.map_or(foot, |l| Point2::new(near(foot.u, l.u, periods.0), near(foot.v, l.v, periods.1)));
        if uv.is_finite() {
            (u, v, last) = (u.including(uv.u), v.including(uv.v), Some(uv));
        }
    }
    let round = periods.0.is_some() && u.length() >= TURN_ROUND * real::TAU;
    if round {
        u = Interval::new(u.low, u.low + real::TAU);
    }
    let spans = |i: Interval| i.is_bounded() && i.length() > 0.0;
    if !spans(u) || !spans(v) {
        return Err(fault);
    }
    let rectangle = Rectangle::new(u, v, search.poles(), (round, false), (true, true));
    let sides = rectangle.whole(surface).map_err(|_| fault)?;
    Ok(Domain { loops: vec![DomainLoop { sides }], repairs: Vec::new(), untrimmed: Some(fault), periods })
}

/// Share of a turn from which a box round a cylinder or cone is taken to go all round. Larger: rings of a few points
/// leave a slit; smaller: wide sectors are shown as rings.
const TURN_ROUND: f64 = 0.85;
