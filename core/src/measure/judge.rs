//! What measures are held to. They read limits from here only.

use crate::finding::{Limits, MeasureId, Sense, Severity, Yardstick, Zone, Zones};
use crate::model::FaceId;

/// Limits, and the zones that say which column of them a face is held to.
#[derive(Debug, Clone, Copy)]
pub struct Judge<'a> {
    /// The limits.
    pub yardstick: &'a Yardstick,
    /// The faces' zones.
    pub zones: &'a Zones,
}

impl Judge<'_> {
    /// Grades a value found on some faces: the severity with the limit it passed; None where it keeps its limits.
    pub fn grade(&self, measure: MeasureId, faces: &[FaceId], value: f64) -> Option<(Severity, f64)> {
        self.yardstick.grade(measure, self.zones.of(faces), value)
    }

    /// The limits of a measure on some faces.
    pub fn limits(&self, measure: MeasureId, faces: &[FaceId]) -> Option<&Limits> {
        self.yardstick.limits(measure, self.zones.of(faces))
    }

    /// True where some zone in use has a limit: without one nothing need be looked for.
    pub fn asks(&self, measure: MeasureId) -> bool {
        let limited = |zone: &Zone| self.yardstick.limits(measure, *zone).is_some_and(|l| l.strictest().is_some());
        Zone::ALL.iter().any(|zone| self.zones.uses(*zone) && limited(zone))
    }

    /// True where a value found on some faces is as bad as a severity says, or worse.
    pub fn reaches(&self, measure: MeasureId, faces: &[FaceId], severity: Severity, value: f64) -> bool {
        self.grade(measure, faces, value).is_some_and(|g| g.0 <= severity)
    }

    /// Of values, each with what it was found at and the faces that lies on, the one graded worst, and of those the farthest to the wrong
    /// side, with its grade; None where all keep their limits.
    pub fn worst<T>(
        &self,
        measure: MeasureId,
        all: impl Iterator<Item = (T, impl AsRef<[FaceId]>, f64)>,
    ) -> Option<(T, f64, (Severity, f64))> {
        let at_least = self.yardstick.row(measure)?.sense == Sense::AtLeast;
        let wrong = |value: f64| if at_least { value } else { -value };
        let graded = all.filter_map(|(at, faces, value)| Some((at, value, self.grade(measure, faces.as_ref(), value)?)));
        graded.reduce(|a, b| if b.2.0.cmp(&a.2.0).then(wrong(b.1).total_cmp(&wrong(a.1))).is_lt() { b } else { a })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_grade_counts_before_the_worst_value() {
        let [a, b] = [0, 1].map(FaceId::new);
        let (yardstick, mut zones) = (Yardstick::default(), Zones::default());
        zones.set(b, Zone::Secondary);
        let judge = Judge { yardstick: &yardstick, zones: &zones };
        let worst = |values: [(FaceId, f64); 2]| {
            let found = judge.worst(MeasureId::FilletRadius, values.into_iter().map(|(f, v)| (f, [f], v)));
            found.map(|(f, value, grade)| (f, value, grade.0, grade.1))
        };
        // 0.9 mm is a polish where few look, and serious in plain sight at a larger radius still.
        assert_eq!(worst([(b, 0.9), (a, 0.95)]), Some((a, 0.95, Severity::Serious, 1.0)));
        assert_eq!(worst([(b, 0.9), (a, 3.5)]), Some((b, 0.9, Severity::Polish, 1.0)));
        assert_eq!(worst([(a, 2.4), (a, 2.2)]), Some((a, 2.2, Severity::Fix, 2.5)));
        assert_eq!(worst([(b, 1.5), (a, 3.5)]), None);
    }

    #[test]
    fn a_zone_asks_only_where_it_is_in_use() {
        let yardstick = Yardstick::default();
        let mut zones = Zones::all(Zone::Hidden);
        assert!(!Judge { yardstick: &yardstick, zones: &zones }.asks(MeasureId::FilletRadius));
        zones.set(FaceId::new(3), Zone::Secondary);
        let judge = Judge { yardstick: &yardstick, zones: &zones };
        assert!(judge.asks(MeasureId::FilletRadius) && !judge.asks(MeasureId::FormHollow) && !judge.asks(MeasureId::EdgeFlange));
    }
}
