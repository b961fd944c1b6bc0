//! Limits by measure, zone and severity. All defaults are common practice without a published source.

use super::{MeasureId, Severity};
use crate::math::Vec3;

/// The zone of a face: which column of the yardstick it is held to. The most visible one first in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub enum Zone {
    /// Seen by everybody.
    #[default]
    Visible,
    /// Seen at a second look.
    Secondary,
    /// Not seen.
    Hidden,
}

impl Zone {
    /// All of them, the most visible first.
    pub const ALL: [Zone; 3] = [Zone::Visible, Zone::Secondary, Zone::Hidden];

    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Zone::Visible => "visible",
            Zone::Secondary => "secondary",
            Zone::Hidden => "hidden",
        }
    }

    /// The zone of a name; None for an unknown one.
    pub fn from_text(text: &str) -> Option<Zone> {
        Zone::ALL.into_iter().find(|z| z.text() == text)
    }
}

/// Which side of a limit is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// Values above the limit are found.
    AtMost,
    /// Values below the limit are found.
    AtLeast,
}

/// The limits of one measure in one zone; None: no finding of that severity.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)] // one limit a severity
pub struct Limits {
    pub polish: Option<f64>,
    pub fix: Option<f64>,
    pub serious: Option<f64>,
}

/// One row: a measure with its limits by zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The measure.
    pub measure: MeasureId,
    /// Which side of the limit is wrong.
    pub sense: Sense,
    /// An absolute value that must be passed as well before a relative one counts, in the measure's own
    /// absolute unit (1/mm for curvature, 1/mm² for its slope); 0 where there is none.
    pub floor: f64,
    /// Limits in the visible, secondary and hidden zone.
    pub zones: [Limits; 3],
}

/// A set of limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Yardstick {
    /// The rows; a measure without a row gives no finding.
    pub rows: Vec<Row>,
    /// The direction in which the part leaves its tool, of any length but 0; None: draft is not looked at.
    pub pull: Option<Vec3>,
    /// Width, mm, that gaps between panels are meant to have: limits of `gap.width` are for the difference from it.
    pub gap_width: f64,
}

/// Absolute curvature jump below which a relative one is not seen, 1/mm. Larger: breaks on gently crowned panels go
/// unseen; smaller: near-flat patches whose curvature is rounding noise are reported. Common practice, no source.
const CURVATURE_FLOOR: f64 = 2e-5;
/// The same for the curvature slope, 1/mm². Common practice, no source.
const SLOPE_FLOOR: f64 = 2e-7;

/// Usual width of the gaps between panels, mm. Common practice, no source.
const GAP_WIDTH: f64 = 3.5;

impl Limits {
    /// The worst severity `value` reaches, with the limit it passed; None when it keeps them all.
    pub fn grade(&self, sense: Sense, value: f64) -> Option<(Severity, f64)> {
        let passed = |limit: Option<f64>| {
            limit.filter(|&l| match sense {
                Sense::AtMost => value > l,
                Sense::AtLeast => value < l,
            })
        };
        passed(self.serious)
            .map(|l| (Severity::Serious, l))
            .or_else(|| passed(self.fix).map(|l| (Severity::Fix, l)))
            .or_else(|| passed(self.polish).map(|l| (Severity::Polish, l)))
    }
}

impl Yardstick {
    /// The row of a measure.
    pub fn row(&self, measure: MeasureId) -> Option<&Row> {
        self.rows.iter().find(|r| r.measure == measure)
    }

    /// The limits of a measure in a zone.
    pub fn limits(&self, measure: MeasureId, zone: Zone) -> Option<&Limits> {
        self.row(measure).and_then(|r| r.zones.get(zone as usize))
    }

    /// Grades a value in a zone; None when it keeps its limits or the measure has no row.
    pub fn grade(&self, measure: MeasureId, zone: Zone, value: f64) -> Option<(Severity, f64)> {
        let row = self.row(measure)?;
        row.zones.get(zone as usize)?.grade(row.sense, value)
    }
}

impl Default for Yardstick {
    /// The default limits (common practice, no source).
    fn default() -> Self {
        #[allow(clippy::enum_glob_use)] // nearly every measure has a row
        use MeasureId::*;
        use Sense::{AtLeast, AtMost};
        let gap = [[0.002, 0.01, 0.05], [0.005, 0.02, 0.1], [0.01, 0.05, 0.2]];
        let tangent = [[0.02, 0.1, 0.5], [0.05, 0.2, 1.0], [0.1, 0.5, 2.0]];
        let slope = [[0.25, NONE, NONE], [NONE; 3], [NONE; 3]];
        let rows = vec![
            row(JoinPosition, AtMost, 0.0, gap),
            row(JoinOpen, AtMost, 0.0, gap),
            row(JoinTangent, AtMost, 0.0, tangent),
            row(JoinCurvature, AtMost, CURVATURE_FLOOR, [[0.05, 0.15, 0.4], [0.1, 0.3, NONE], [NONE; 3]]),
            row(JoinCurvatureSlope, AtMost, SLOPE_FLOOR, slope),
            row(JoinCorner, AtMost, 0.0, [[0.05, 0.2, 1.0], [0.1, 0.4, 2.0], [NONE; 3]]),
            row(CentrePosition, AtMost, 0.0, gap),
            row(CentreTangent, AtMost, 0.0, tangent),
            row(CentreCurvatureSlope, AtMost, SLOPE_FLOOR, slope),
            row(CentreMirror, AtMost, 0.0, [[0.02, 0.1, NONE], [0.1, NONE, NONE], [NONE; 3]]),
            row(LayoutSliver, AtLeast, 0.0, [[2.0, 1.0, 0.5], [1.0, 0.5, 0.1], [0.5, 0.1, NONE]]),
            row(LayoutOrientation, AtMost, 0.0, [[NONE, 0.0, NONE], [NONE, 0.0, NONE], [0.0, NONE, NONE]]),
            row(LayoutDuplicate, AtMost, 0.0, [[0.1, 1.0, 10.0], [0.1, 1.0, 10.0], [1.0, 10.0, NONE]]),
            row(RowsEvenness, AtMost, 0.0, [[0.6, 1.0, NONE], [1.0, NONE, NONE], [NONE; 3]]),
            row(LayoutTrim, AtLeast, 0.0, [[1.0 / 3.0, NONE, NONE], [NONE; 3], [NONE; 3]]),
            row(LayoutSplit, AtMost, 0.0, [[0.0, NONE, NONE], [NONE; 3], [NONE; 3]]),
            row(LayoutDegree, AtMost, 0.0, [[2.0, 5.0, NONE], [4.0, NONE, NONE], [NONE; 3]]),
            row(LayoutSpans, AtMost, 0.0, [[2.0, 6.0, NONE], [4.0, NONE, NONE], [NONE; 3]]),
            row(RowsAgreement, AtMost, 0.0, [[0.1, 0.25, NONE], [NONE; 3], [NONE; 3]]),
            row(RowsTurning, AtMost, 0.0, [[1.0, 2.0, NONE], [NONE; 3], [NONE; 3]]),
            row(RowsSquare, AtMost, 0.0, [[0.1, 0.5, NONE], [NONE; 3], [NONE; 3]]),
            row(HighlightWiggle, AtMost, 0.0, [[0.1, 0.2, 0.6], [0.3, 0.6, NONE], [NONE; 3]]),
            row(HighlightSpread, AtMost, 0.0, [[1.2, 1.5, NONE], [NONE; 3], [NONE; 3]]),
            row(HighlightClimb, AtMost, 0.0, [[1.0, 3.0, NONE], [NONE; 3], [NONE; 3]]),
            row(HighlightGap, AtMost, 0.0, [[1.0, 3.0, 8.0], [3.0, NONE, NONE], [NONE; 3]]),
            row(HighlightGapAngle, AtMost, 0.0, [[1.0, 3.0, 6.0], [3.0, NONE, NONE], [NONE; 3]]),
            row(HighlightKink, AtMost, CURVATURE_FLOOR, [[1.0, 4.0, 10.0], [4.0, 10.0, NONE], [NONE; 3]]),
            // The angle tells a flip from a line that is merely gone for a while.
            row(FormRidgeSign, AtMost, 0.0, [[NONE, NONE, 0.5], [NONE, 0.5, NONE], [NONE; 3]]),
            row(FormFade, AtLeast, 0.0, [[NONE; 3]; 3]),
            row(FormHollow, AtMost, 0.0, [[100.0, 1e3, 1e4], [NONE; 3], [NONE; 3]]),
            row(FormLowCrown, AtMost, 0.0, [[1e4, 1e5, NONE], [NONE; 3], [NONE; 3]]),
            // How much a panel should be crowned, and where, is a matter of design.
            row(FormRamp, AtLeast, 0.0, [[NONE; 3]; 3]),
            row(FormCrown, AtLeast, 0.0, [[NONE; 3]; 3]),
            row(FormDip, AtLeast, CURVATURE_FLOOR, [[NONE, 1.0 / 3.0, NONE], [NONE; 3], [NONE; 3]]),
            // How tight a form may be goes by what it is made of and how. For form.offset the limit is the sheet's thickness and its
            // smallest inner radius together.
            row(FormRadius, AtLeast, 0.0, [[NONE; 3]; 3]),
            row(FormOffset, AtLeast, 0.0, [[NONE; 3]; 3]),
            // An undercut, whatever the draft a tool wants; asked where there is a pull direction.
            row(FormDraft, AtLeast, 0.0, [[NONE, NONE, 0.0]; 3]),
            row(FilletRadius, AtLeast, 0.0, [[3.0, 2.5, 1.0], [1.0, 0.5, NONE], [NONE; 3]]),
            row(FilletBalance, AtLeast, 0.0, [[0.9, 0.8, 0.6], [0.7, NONE, NONE], [NONE; 3]]),
            row(FilletOpening, AtLeast, 0.0, [[75.0, 60.0, 40.0], [60.0, 40.0, NONE], [NONE; 3]]),
            row(FilletLeadIn, AtLeast, 0.0, [[NONE; 3]; 3]),
            // Which width is meant is a matter of design, so that none is serious.
            row(GapWidth, AtMost, 0.0, [[0.5, 1.5, NONE], [1.0, NONE, NONE], [NONE; 3]]),
            row(GapFlush, AtMost, 0.0, [[0.5, 1.0, 2.0], [1.0, 2.0, NONE], [NONE; 3]]),
            row(GapParallel, AtMost, 0.0, [[0.5, 0.75, 2.0], [0.75, 2.0, NONE], [NONE; 3]]),
            row(GapEdgeRadius, AtLeast, 0.0, [[0.5, 0.3, NONE], [0.5, NONE, NONE], [NONE; 3]]),
            // 2.5 mm: UN Regulation No. 26, external projections (from memory).
            row(EdgeExposed, AtLeast, 0.0, [[2.5, 1.0, NONE], [2.5, NONE, NONE], [NONE; 3]]),
            row(EdgeTrim, AtMost, 0.0, [[0.01, 0.05, NONE], [0.02, 0.1, NONE], [0.05, NONE, NONE]]),
            // How wide a flange must be goes by what is done with it.
            row(EdgeFlange, AtLeast, 0.0, [[NONE; 3]; 3]),
            row(ReferenceDistance, AtMost, 0.0, [[0.1, 0.5, 2.0], [0.5, 2.0, NONE], [2.0, NONE, NONE]]),
            row(ReferenceMissing, AtMost, 0.0, [[10.0, 100.0, 1e3], [100.0, 1e3, NONE], [1e3, NONE, NONE]]),
        ];
        Self { rows, pull: None, gap_width: GAP_WIDTH }
    }
}

const NONE: f64 = f64::NAN;

fn row(measure: MeasureId, sense: Sense, floor: f64, zones: [[f64; 3]; 3]) -> Row {
    let limit = |x: f64| (!x.is_nan()).then_some(x);
    let zones = zones.map(|[polish, fix, serious]| Limits { polish: limit(polish), fix: limit(fix), serious: limit(serious) });
    Row { measure, sense, floor, zones }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_by_the_worst_limit_passed() {
        let y = Yardstick::default();
        let gap = |v| y.grade(MeasureId::JoinPosition, Zone::Visible, v).map(|g| g.0);
        assert_eq!(
            [gap(0.002), gap(0.003), gap(0.02), gap(0.06)],
            [None, Some(Severity::Polish), Some(Severity::Fix), Some(Severity::Serious)]
        );
        let sliver = |v| y.grade(MeasureId::LayoutSliver, Zone::Secondary, v).map(|g| g.0);
        assert_eq!(
            [sliver(1.0), sliver(0.7), sliver(0.2), sliver(0.05)],
            [None, Some(Severity::Polish), Some(Severity::Fix), Some(Severity::Serious)]
        );
        assert_eq!(y.grade(MeasureId::JoinCurvature, Zone::Secondary, 9.0), Some((Severity::Fix, 0.3)));
        assert_eq!(y.grade(MeasureId::JoinCurvature, Zone::Hidden, 9.0), None);
        assert_eq!(y.grade(MeasureId::EdgeLine, Zone::Visible, 9.0), None);
    }

    #[test]
    fn limits_grow_worse_from_polish_to_serious() {
        for r in Yardstick::default().rows {
            for z in r.zones {
                let known: Vec<f64> = [z.polish, z.fix, z.serious].into_iter().flatten().collect();
                assert!(known.windows(2).all(|w| if r.sense == Sense::AtMost { w[0] < w[1] } else { w[0] > w[1] }), "{:?}", r.measure);
            }
        }
    }

    #[test]
    fn zones_read_back() {
        for z in [Zone::Visible, Zone::Secondary, Zone::Hidden] {
            assert_eq!(Zone::from_text(z.text()), Some(z));
        }
        assert_eq!(Zone::from_text(""), None);
    }
}
