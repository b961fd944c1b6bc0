//! A finding on a gap, from its worst station.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::gap::{BrinkKind, Exposed, Flange, Gap, GapSide, GapStation, TrimmedEdge, exposed, flanges, gaps, trimmed_edges};
use crate::math::Point3;
use crate::model::FaceId;
use std::rc::Rc;

/// Said wherever an edge that people can touch is judged.
pub const CAUTION: &str =
    "Limits for people's safety come from the regulations that apply and from the responsible engineer, not from a yardstick.";

impl Subject<'_> {
    /// The gaps between skins; no limit changes them.
    pub fn gaps(&self) -> Rc<Vec<Gap>> {
        self.memo.keep("gaps", 0, || gaps(&self.sheets, self.graph, self.areas))
    }

    /// Edges that a ball can touch.
    pub fn exposed(&self) -> Rc<Vec<Exposed>> {
        self.memo.keep("exposed edges", 0, || exposed(&self.sheets, self.graph, &self.gaps()))
    }

    /// Flanges and hems.
    pub fn flanges(&self) -> Rc<Vec<Flange>> {
        self.memo.keep("flanges", 0, || flanges(&self.sheets, self.graph))
    }

    /// Edges of trimmed faces.
    pub fn trimmed_edges(&self) -> Rc<Vec<TrimmedEdge>> {
        self.memo.keep("trimmed edges", 0, || trimmed_edges(&self.sheets, self.graph))
    }
}

/// For each gap the finding of its worst station. `values` are asked of a gap one a station, None where it does not apply; `remedy` is
/// told the worst station's number.
pub fn worst(
    subject: &Subject<'_>,
    judge: &Judge<'_>,
    measure: MeasureId,
    values: impl Fn(&Gap) -> Vec<Option<f64>>,
    remedy: impl Fn(&Gap, usize) -> String,
) -> Vec<Finding> {
    let Some(row) = judge.yardstick.row(measure) else { return Vec::new() };
    if !judge.asks(measure) {
        return Vec::new();
    }
    let one = |gap: &Gap| {
        let all = values(gap);
        let excess = |v: f64| if row.sense == crate::finding::Sense::AtMost { v } else { -v };
        let known = all.iter().enumerate().filter_map(|(i, v)| Some((i, (*v)?)));
        let (at, value) = known.reduce(|best, x| if excess(x.1) > excess(best.1) { x } else { best })?;
        let faces: Vec<FaceId> = gap.faces.iter().flatten().copied().collect();
        let grade = judge.grade(measure, &faces, value)?;
        let is_over = |i: usize| all.get(i).copied().flatten().is_some_and(|v| excess(v) > excess(grade.1));
        let (extent, drawn) = stretches(gap, is_over, |s| s.middle);
        let place = Place::at(gap.stations.get(at)?.middle);
        Some(Finding::new(measure, value, grade, place).faces(&faces).extent(extent).remedy(remedy(gap, at)).drawn(drawn))
    };
    subject.gaps().iter().filter_map(one).collect()
}

/// For each side of each gap the finding of its tightest edge.
pub fn tightest(subject: &Subject<'_>, judge: &Judge<'_>, measure: MeasureId, remedy: impl Fn(&GapSide) -> String) -> Vec<Finding> {
    let mut all = Vec::new();
    for gap in subject.gaps().iter() {
        for n in [0, 1] {
            let side = |s: &GapStation| s.sides.get(n).copied();
            let sides = gap.stations.iter().filter_map(side);
            let Some(least) = sides.reduce(|best, s| if s.radius < best.radius { s } else { best }) else { continue };
            let faces = gap.faces.get(n).map_or(&[][..], Vec::as_slice);
            let Some(grade) = judge.grade(measure, faces, least.radius) else { continue };
            let Some(severity) = capped(judge, measure, faces, grade, least.kind) else { continue };
            let is_over = |i: usize| gap.stations.get(i).and_then(side).is_some_and(|s| s.radius < severity.1);
            let (extent, drawn) = stretches(gap, is_over, |s| s.sides.get(n).map_or(s.middle, |x| x.point));
            let found = Finding::new(measure, least.radius, severity, Place::at(least.point));
            all.push(found.faces(faces).extent(extent).remedy(remedy(&least)).drawn(drawn));
        }
    }
    all
}

/// The grade of an edge: of one without a rounding no worse than polish (whether one is still to be made the model does not say), and
/// none where polish has no limit.
pub fn capped(judge: &Judge<'_>, measure: MeasureId, faces: &[FaceId], grade: (Severity, f64), kind: BrinkKind) -> Option<(Severity, f64)> {
    if kind == BrinkKind::Rounded {
        return Some(grade);
    }
    let polish = judge.limits(measure, faces)?.polish?;
    Some((Severity::Polish, polish))
}

/// Length of the stretches along which stations are over a limit, mm, and the stretches as polylines.
fn stretches(gap: &Gap, is_over: impl Fn(usize) -> bool, point: impl Fn(&GapStation) -> Point3) -> (f64, Vec<Vec<Point3>>) {
    let mut lines: Vec<Vec<Point3>> = Vec::new();
    let (mut length, mut open) = (0.0, false);
    for (i, w) in gap.stations.windows(2).enumerate() {
        let over = (is_over(i), is_over(i + 1));
        length += 0.5 * (f64::from(u8::from(over.0)) + f64::from(u8::from(over.1))) * (w[1].along - w[0].along);
        if over.0 || over.1 {
            if !open {
                lines.push(vec![point(&w[0])]);
            }
            if let Some(line) = lines.last_mut() {
                line.push(point(&w[1]));
            }
        }
        open = over.1;
    }
    (length, lines)
}
