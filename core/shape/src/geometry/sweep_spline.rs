//! A sweep between rails as a spline surface within a tolerance.

use super::follow::{DEGREE, Following, Paths};
use super::sweep::{RailSweep, SweepError, placement};
use crate::math::{Arrange, Point3};
use crate::nurbs::Surface;

/// Most spans along the rails. Larger: memory for rails no spline follows; smaller: long winding rails have no form.
const MOST_SPANS: usize = 512;

impl RailSweep {
    /// The sweep as a spline over [0, 1] × [0, 1], u along the rails (degree 5) and v along the section (its own degree, knots
    /// and weights): at equal (u, v) within `tolerance` > 0, mm, of [`RailSweep::point`], looked at three times between
    /// any two samples. The moving frame acts on the section's control points as on its points, so only their paths are
    /// fitted, and their deviation bounds the surface's. Knots are where the rails have theirs, and where spans were halved.
    ///
    /// # Errors
    /// [`SweepError::TooRough`] when no spline of bearable size comes so near.
    pub fn to_nurbs(&self, tolerance: f64) -> Result<Surface, SweepError> {
        let (spans, multiplicity) = self.spans();
        let following = Following { spans, multiplicity: &multiplicity, most: MOST_SPANS, tolerance };
        self.surface(following.paths(&|s| self.control(s))?)
    }

    /// Span ends from the rails' knots, and the multiplicity that keeps what the frame keeps there: one order less than
    /// the rail, whose tangent it uses.
    fn spans(&self) -> (Vec<f64>, Vec<(f64, usize)>) {
        let mut knots: Vec<(f64, usize)> = self.rails().iter().flat_map(|r| r.knots()).collect();
        knots.arrange_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        // Both rails' knots at one place, to rounding: the less smooth counts, which comes first.
        knots.dedup_by(|b, a| {
            let same = b.0 - a.0 < 1e-9;
            if same {
                a.1 = a.1.min(b.1);
            }
            same
        });
        knots.retain(|k| k.0 > 1e-9 && k.0 < 1.0 - 1e-9);
        let multiplicity = knots.iter().map(|&(s, order)| (s, DEGREE + 1 - order.clamp(1, DEGREE))).collect();
        let spans = [0.0].into_iter().chain(knots.iter().map(|k| k.0)).chain([1.0]).collect();
        (spans, multiplicity)
    }

    /// Control points of the section at a station, mm.
    fn control(&self, share: f64) -> Result<Vec<Point3>, SweepError> {
        let at = placement(self.rails(), share)?;
        Ok(self.section().control(share).into_iter().map(|local| at.world(local)).collect())
    }

    fn surface(&self, Paths { knots, paths }: Paths) -> Result<Surface, SweepError> {
        let mut points = Vec::with_capacity(knots.point_count() * paths.len());
        for i in 0..knots.point_count() {
            points.extend(paths.iter().filter_map(|p| p.points().get(i)).map(|p| Point3::from_vec((*p).into())));
        }
        let section = self.section();
        let weights = section.weights.as_ref().map(|w| w.iter().copied().cycle().take(points.len()).collect());
        Surface::new(knots, section.knots.clone(), points, weights).map_err(|e| SweepError::Fit(e.into()))
    }
}
