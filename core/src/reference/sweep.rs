//! The plain sweep between two edges of a model, as the flow a patch between them is held against.

use crate::geometry::{Curve, Pairing, RailSweep, Stretch, Surface, SweepError};
use crate::math::Point3;
use crate::model::{EdgeId, Model};

/// Which edges make it.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepWish {
    /// The two rails.
    pub rails: [EdgeId; 2],
    /// The section at one end of the rails.
    pub first: EdgeId,
    /// The section at their other end, where the sweep is to end in another one.
    pub last: Option<EdgeId>,
    /// How far the spline may lie off the exact sweep, mm, > 0; a tenth of it is what section ends may miss the rails by, or
    /// [`ENDS`] where that is more.
    pub tolerance: f64,
}

/// How far the ends of a section may lie off the rails, mm, as files leave them. Larger: sections of other patches are taken;
/// smaller: patches with gaps at their corners have no sweep. Common practice, no source.
pub const ENDS: f64 = 0.05;

/// A sweep between edges.
#[derive(Debug, Clone)]
pub struct EdgeSweep {
    /// As a spline, u along the rails and v along the section.
    pub surface: Surface,
    /// The exact sweep: at every station, at equal shares of the rails' lengths, the section moved, turned and scaled so that its ends
    /// lie on both rails; of two sections, one blended linearly into the other (see [`RailSweep`]).
    pub exact: RailSweep,
}

/// Makes the sweep. Edges may run either way: the rails are run from the first section on, and sections from the first rail to the
/// second.
///
/// # Errors
/// When an edge is not in the model ([`SweepError::Stretch`]), or the edges make no sweep.
pub fn edge_sweep(model: &Model, wish: &SweepWish) -> Result<EdgeSweep, SweepError> {
    let stretch = |id: EdgeId| {
        let e = model.edge(id).ok_or(SweepError::Stretch)?;
        Ok::<Stretch, SweepError>(Stretch { curve: e.curve.clone(), from: e.t0, to: e.t1 })
    };
    let (a, b, first) = (stretch(wish.rails[0])?, stretch(wish.rails[1])?, stretch(wish.first)?);
    let last = wish.last.map(stretch).transpose()?;
    let [a, b] = [begun_at(a, &first), begun_at(b, &first)];
    let starts = [start(&a), start(&b)];
    let first = led_from(first, starts[0]);
    let last = last.map(|l| led_from(l, end(&a)));
    let rails = [unwrapped(a), unwrapped(b)];
    let ends = ENDS.max(0.1 * wish.tolerance);
    let exact = RailSweep::new(rails, &unwrapped(first), last.map(unwrapped).as_ref(), Pairing::Length, ends)?;
    let surface = Surface::Nurbs(exact.to_nurbs(wish.tolerance)?);
    Ok(EdgeSweep { surface, exact })
}

fn start(s: &Stretch) -> Point3 {
    s.curve.point(s.from)
}

fn end(s: &Stretch) -> Point3 {
    s.curve.point(s.to)
}

fn turned(s: Stretch) -> Stretch {
    Stretch { from: s.to, to: s.from, ..s }
}

/// A rail run from the end that lies nearer to one of a section's ends.
fn begun_at(rail: Stretch, section: &Stretch) -> Stretch {
    let off = |p: Point3| p.distance(start(section)).min(p.distance(end(section)));
    if off(end(&rail)) < off(start(&rail)) { turned(rail) } else { rail }
}

/// A section run from the end that lies nearer to a point.
fn led_from(section: Stretch, from: Point3) -> Stretch {
    if end(&section).distance(from) < start(&section).distance(from) { turned(section) } else { section }
}

/// A spline's stretch held to its domain, which files overstep by their last digit.
fn unwrapped(s: Stretch) -> Stretch {
    match &s.curve {
        Curve::Nurbs(c) => Stretch { from: c.domain().clamp(s.from), to: c.domain().clamp(s.to), ..s },
        _ => s,
    }
}
