//! The plain sweep between two rails, as the flow that patches between them are held against.

use crate::geometry::{Curve, Pairing, RailSweep, Stretch, Surface, SweepError, closest_on_curve};
use crate::math::Point3;

/// How far the ends of a section may lie off the rails, mm, as files leave them. Larger: sections of other patches are taken;
/// smaller: patches with gaps at their corners have no sweep. Common practice, no source.
pub const ENDS: f64 = 0.05;

/// A sweep between rails.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// As a spline, u along the rails and v along the section.
    pub surface: Surface,
    /// The exact sweep: at every station, at equal shares of the rails' lengths, the section moved, turned and scaled so that its ends
    /// lie on both rails; of two sections, one blended linearly into the other (see [`RailSweep`]).
    pub exact: RailSweep,
}

/// Makes the sweep of `first`, and of `last` at the rails' other end, within `tolerance` > 0, mm; a tenth of it, or [`ENDS`] where
/// that is more, is what section ends may miss the rails by. Stretches may run either way: the rails are run from the first section
/// on, and sections from the first rail to the second. Rails that reach past a section are cut there; past a single one inside them
/// the longer part counts.
///
/// # Errors
/// When they make no sweep.
pub fn sweep_between(rails: [Stretch; 2], first: Stretch, last: Option<Stretch>, tolerance: f64) -> Result<Sweep, SweepError> {
    let ends = ENDS.max(0.1 * tolerance);
    let rails = rails.map(unwrapped);
    let cut = |rail: Stretch| begun_at(rail, &first, ends);
    let [a, b] = rails.map(cut);
    let [a, b] = match &last {
        Some(last) => [a, b].map(|rail| ended_at(rail, last, ends)),
        None => [a, b],
    };
    let first = led_from(first, start(&a));
    let last = last.map(|l| led_from(l, end(&a)));
    let exact = RailSweep::new([a, b], &unwrapped(first), last.map(unwrapped).as_ref(), Pairing::Length, ends)?;
    let surface = Surface::Nurbs(exact.to_nurbs(tolerance)?);
    Ok(Sweep { surface, exact })
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

/// The parameter of a rail nearest to one of a section's ends.
fn meets(rail: &Stretch, section: &Stretch) -> (f64, f64) {
    let foot = |p: Point3| closest_on_curve(&rail.curve, rail.from, rail.to, p, None);
    let [a, b] = [foot(start(section)), foot(end(section))];
    if b.distance < a.distance { (b.t, b.distance) } else { (a.t, a.distance) }
}

/// A rail run from the end that lies nearer to one of a section's ends; where the section meets it inside, the longer part from there.
fn begun_at(rail: Stretch, section: &Stretch, within: f64) -> Stretch {
    let off = |p: Point3| p.distance(start(section)).min(p.distance(end(section)));
    let rail = if off(end(&rail)) < off(start(&rail)) { turned(rail) } else { rail };
    let (t, distance) = meets(&rail, section);
    if off(start(&rail)) <= within || distance > within {
        return rail;
    }
    let reach = |s: &Stretch| (s.to - s.from).abs();
    let (on, back) = (Stretch { from: t, ..rail.clone() }, Stretch { from: t, to: rail.from, ..rail });
    if reach(&back) > reach(&on) { back } else { on }
}

/// A rail that ends where the last section meets it.
fn ended_at(rail: Stretch, section: &Stretch, within: f64) -> Stretch {
    let off = |p: Point3| p.distance(start(section)).min(p.distance(end(section)));
    let (t, distance) = meets(&rail, section);
    if off(end(&rail)) <= within || distance > within { rail } else { Stretch { to: t, ..rail } }
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
