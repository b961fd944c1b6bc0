//! The plain sweep of a section between two rails.

use super::rail::{Pairing, Rail, Stretch};
use super::sweep_section::{SweepSection, common};
use crate::math::{Arrange, Point3, Vec3};
use crate::nurbs::fit::FitError;
use core::fmt;

/// A section carried along two rails: at every station it is moved, turned and scaled, alike in all directions, so that
/// its ends lie on both rails (NB §10.4, swept surfaces, eq. 10.27, with scaling).
///
/// The moving frame has its origin on the first rail; its first axis x leads to the paired point of the second rail, its
/// second, t, is the mean of the two rails' unit tangents less its part along x, its third is x × t. So it needs no integration
/// along the rails, turns with them, and is at rest for straight ones: parallel straight rails give an extrusion,
/// concentric arcs a surface of revolution, straight rails from one point a cone. With two end sections their places in
/// the frame, per unit of the distance between the rails, are blended linearly by the station's share.
#[derive(Debug, Clone)]
pub struct RailSweep {
    rails: [Rail; 2],
    section: SweepSection,
}

/// Why rails and sections make no sweep. Shares are those of the pairing, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum SweepError {
    /// A stretch has no length, or gives positions that are not finite numbers.
    Stretch,
    /// The rails meet or cross; the share where.
    Crossing(f64),
    /// A rail stands still, or the rails' mean direction runs along the line between them or vanishes; the share where.
    NoFrame(f64),
    /// A rail has a corner, where the sweep would be torn; the share where.
    Corner(f64),
    /// Two stretches that should follow each other lie so far apart, mm.
    Apart(f64),
    /// A section has no spline form, as offsets of curves have none.
    Section,
    /// The ends of a section lie off the rails; by so much, mm.
    SectionEnds(f64),
    /// No spline of bearable size comes nearer than this, mm.
    TooRough(f64),
    /// A fit of the spline form failed.
    Fit(FitError),
}

impl fmt::Display for SweepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stretch => write!(f, "a rail or section has no length, or positions that are not finite numbers"),
            Self::Crossing(s) => write!(f, "the rails meet {s:.4} of the way along"),
            Self::NoFrame(s) => write!(f, "the rails give no direction of travel {s:.4} of the way along"),
            Self::Corner(s) => write!(f, "a rail has a corner {s:.4} of the way along"),
            Self::Apart(d) => write!(f, "two edges that should follow each other lie {d:.3} mm apart"),
            Self::Section => write!(f, "a section has no spline form"),
            Self::SectionEnds(d) => write!(f, "an end of a section lies {d} mm off its rail"),
            Self::TooRough(left) => write!(f, "no spline of bearable size comes nearer than {left} mm"),
            Self::Fit(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for SweepError {}

impl From<FitError> for SweepError {
    fn from(e: FitError) -> Self {
        Self::Fit(e)
    }
}

/// Places between two breaks at which the rails are looked at. Smaller: a crossing between them goes unseen; larger: slower.
const LOOKS: usize = 64;

/// Rails nearer than this share of their largest distance have met. Larger: fine points are refused; smaller: the frame
/// there is rounding noise.
const MET: f64 = 1e-7;

/// Sine of the angle between travel and the line across below which there is no frame. Larger: slanting rails are refused;
/// smaller: the frame swings wildly.
const ALONG: f64 = 1e-4;

/// A rail's direction may jump by this angle, radians, at a joint. Larger: torn sweeps; smaller: joints rounded in a file
/// are corners.
const CORNER: f64 = 1e-5;

impl RailSweep {
    /// The sweep of `first` (at the rails' start, leading from the first rail to the second) and, if given, `last` at their
    /// end. Section ends may miss the rails by `tolerance`, mm; rational sections blended with others are replaced by
    /// polynomial ones within a tenth of it.
    ///
    /// # Errors
    /// See [`SweepError`].
    pub fn new(rails: [Stretch; 2], first: &Stretch, last: Option<&Stretch>, pairing: Pairing, tolerance: f64) -> Result<Self, SweepError> {
        for s in rails.iter().chain([first]).chain(last) {
            let ends = [s.curve.point(s.from), s.curve.point(s.curve.domain().clamp(s.to))];
            if !(s.from.is_finite() && s.to.is_finite()) || s.from == s.to || ends.iter().any(|p| !p.is_finite()) {
                return Err(SweepError::Stretch);
            }
        }
        let rails = rails.map(|s| Rail::new(s, pairing));
        check(&rails)?;
        let place = |s: &Stretch, share: f64| -> Result<(crate::nurbs::Curve<3>, Placement), SweepError> {
            Ok((s.curve.to_nurbs(s.from, s.to).ok_or(SweepError::Section)?, placement(&rails, share)?))
        };
        let start = place(first, 0.0)?;
        let end = last.map(|s| place(s, 1.0)).transpose()?;
        for (curve, at) in [Some(&start), end.as_ref()].into_iter().flatten() {
            let ends = [(0.0, at.origin), (1.0, at.origin + at.x * at.width)];
            let off = ends.map(|(t, rail)| Point3::from_vec(curve.derivs(t, 0)[0].into()).distance(rail));
            let off = off[0].max(off[1]);
            let close = off <= tolerance;
            if !close {
                return Err(SweepError::SectionEnds(off));
            }
        }
        let section = match end {
            None => SweepSection::single(start.1.local_curve(&start.0)),
            Some(end) => {
                let (a, b) = (start.1.local_curve(&start.0), end.1.local_curve(&end.0));
                // Local places are per unit of the rails' distance.
                let width = start.1.width.max(end.1.width);
                common(a, b, 0.1 * tolerance / width).map_err(|e| match e {
                    SweepError::TooRough(left) => SweepError::TooRough(left * width),
                    e => e,
                })?
            }
        };
        Ok(Self { rails, section })
    }

    /// The point at share `s` of the rails and parameter `r` of the section, both 0 to 1, mm. Exact but for rounding.
    ///
    /// # Errors
    /// Where the rails give no frame, which [`RailSweep::new`] has looked for.
    pub fn point(&self, s: f64, r: f64) -> Result<Point3, SweepError> {
        Ok(placement(&self.rails, s)?.world(self.section.point(s, r)))
    }

    pub(super) fn section(&self) -> &SweepSection {
        &self.section
    }

    pub(super) fn rails(&self) -> &[Rail; 2] {
        &self.rails
    }
}

/// The moving frame at a station.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placement {
    origin: Point3,
    x: Vec3,
    t: Vec3,
    n: Vec3,
    width: f64,
}

impl Placement {
    pub(super) fn world(&self, local: Vec3) -> Point3 {
        self.origin + (self.x * local.x + self.t * local.y + self.n * local.z) * self.width
    }

    fn local(&self, p: Point3) -> Vec3 {
        let v = (p - self.origin) / self.width;
        Vec3::new(v.dot(self.x), v.dot(self.t), v.dot(self.n))
    }

    fn local_curve(&self, curve: &crate::nurbs::Curve<3>) -> crate::nurbs::Curve<3> {
        curve.map(|p| self.local(Point3::from_vec(p.into())).to_array())
    }
}

pub(super) fn placement(rails: &[Rail; 2], share: f64) -> Result<Placement, SweepError> {
    let [a, b] = [rails[0].at(share), rails[1].at(share)];
    let across = b.point - a.point;
    let width = across.length();
    let x = across.try_normalize().ok_or(SweepError::Crossing(share))?;
    let unit = |v: Vec3| v.try_normalize().ok_or(SweepError::NoFrame(share));
    // Half the sum of unit vectors: short where the rails run against each other.
    let travel = (unit(a.tangent)? + unit(b.tangent)?) * 0.5;
    let t = travel - x * travel.dot(x);
    let steady = t.length() > ALONG;
    if !steady {
        return Err(SweepError::NoFrame(share));
    }
    let t = t.normalize();
    Ok(Placement { origin: a.point, x, t, n: x.cross(t), width })
}

/// Looks along the rails for corners, meetings and places without a frame.
fn check(rails: &[Rail; 2]) -> Result<(), SweepError> {
    for rail in rails {
        let (angle, share) = rail.sharpest();
        if angle > CORNER {
            return Err(SweepError::Corner(share));
        }
    }
    let mut stops: Vec<f64> = rails.iter().flat_map(|r| r.knots()).map(|k| k.0).chain([0.0, 1.0]).collect();
    stops.arrange_by(f64::total_cmp);
    let mut shares = Vec::new();
    for w in stops.windows(2) {
        shares.extend((0..LOOKS).map(|i| w[0] + (w[1] - w[0]) * i as f64 / LOOKS as f64));
    }
    shares.push(1.0);
    let width = |s: f64| rails[0].at(s).point.distance(rails[1].at(s).point);
    let widths: Vec<f64> = shares.iter().map(|&s| width(s)).collect();
    let widest = widths.iter().copied().fold(0.0, f64::max);
    if !widest.is_finite() {
        return Err(SweepError::Stretch);
    }
    for (i, (&s, &w)) in shares.iter().zip(&widths).enumerate() {
        let beside = |k: Option<usize>| k.and_then(|k| Some((*shares.get(k)?, *widths.get(k)?))).unwrap_or((s, w));
        let (before, after) = (beside(i.checked_sub(1)), beside(i.checked_add(1)));
        if w <= before.1 && w <= after.1 {
            let (least, at) = narrowest(&width, before.0, after.0, (w, s));
            if least <= MET * widest {
                return Err(SweepError::Crossing(at));
            }
        }
        placement(rails, s)?;
    }
    Ok(())
}

/// The smallest width between two shares, by thirds: width and share.
fn narrowest(width: &dyn Fn(f64) -> f64, mut low: f64, mut high: f64, found: (f64, f64)) -> (f64, f64) {
    for _ in 0..80 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if width(a) < width(b) { high = b } else { low = a }
    }
    let at = 0.5 * (low + high);
    let w = width(at);
    if w < found.0 { (w, at) } else { found }
}
