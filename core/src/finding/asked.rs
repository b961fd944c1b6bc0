//! Limits that the user has changed, laid over a yardstick.

use super::{Limits, MeasureId, Sense, Yardstick, Zone};
use core::fmt;

/// One measure's limits in one zone, as the user wants them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The measure.
    pub measure: MeasureId,
    /// The zone.
    pub zone: Zone,
    /// All three limits; None: no finding of that severity.
    pub limits: Limits,
}

/// Why limits cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AskedError {
    /// The yardstick has no row for the measure, so nobody would read the limits.
    Unknown(MeasureId),
    /// A limit is negative or no number.
    NoLimit(MeasureId),
    /// A worse severity has the milder limit.
    Order(MeasureId),
}

impl fmt::Display for AskedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown(id) => write!(f, "{} has no limits", id.text()),
            Self::NoLimit(id) => write!(f, "a limit of {} is negative or no number", id.text()),
            Self::Order(id) => write!(f, "the limits of {} do not grow worse from polish to serious", id.text()),
        }
    }
}

impl std::error::Error for AskedError {}

impl Yardstick {
    /// The yardstick with what was asked laid over it, in the order given.
    ///
    /// # Errors
    /// On the first limits that cannot be taken.
    pub fn with(&self, asked: &[Asked]) -> Result<Yardstick, AskedError> {
        let mut all = self.clone();
        for one in asked {
            let row = all.rows.iter_mut().find(|r| r.measure == one.measure).ok_or(AskedError::Unknown(one.measure))?;
            check(one, row.sense)?;
            if let Some(limits) = row.zones.get_mut(one.zone as usize) {
                *limits = one.limits;
            }
        }
        Ok(all)
    }
}

impl Limits {
    /// The first limit that is passed, going from polish to serious; None without any.
    pub fn strictest(&self) -> Option<f64> {
        self.polish.or(self.fix).or(self.serious)
    }
}

fn check(asked: &Asked, sense: Sense) -> Result<(), AskedError> {
    let Limits { polish, fix, serious } = asked.limits;
    let known: Vec<f64> = [polish, fix, serious].into_iter().flatten().collect();
    if known.iter().any(|l| !(l.is_finite() && *l >= 0.0)) {
        return Err(AskedError::NoLimit(asked.measure));
    }
    // Equal limits are fine: the worse severity is what is found then.
    let worse = |w: &[f64]| if sense == Sense::AtMost { w[0] <= w[1] } else { w[0] >= w[1] };
    if known.windows(2).all(worse) { Ok(()) } else { Err(AskedError::Order(asked.measure)) }
}

#[cfg(test)]
mod tests {
    use super::super::Severity;
    use super::*;

    fn asked(measure: MeasureId, [polish, fix, serious]: [f64; 3]) -> Asked {
        let limit = |x: f64| (!x.is_nan() || x.is_sign_negative()).then_some(x);
        Asked { measure, zone: Zone::Visible, limits: Limits { polish: limit(polish), fix: limit(fix), serious: limit(serious) } }
    }

    #[test]
    fn only_what_was_asked_changes() {
        let before = Yardstick::default();
        let after = before.with(&[asked(MeasureId::JoinTangent, [0.3, 0.4, 0.5])]).unwrap();
        let grade = |y: &Yardstick, zone, v| y.grade(MeasureId::JoinTangent, zone, v).map(|g| g.0);
        assert_eq!(grade(&before, Zone::Visible, 0.25), Some(Severity::Fix));
        assert_eq!(grade(&after, Zone::Visible, 0.25), None);
        assert_eq!(grade(&after, Zone::Secondary, 0.25), grade(&before, Zone::Secondary, 0.25));
        let others = |y: &Yardstick| y.rows.iter().filter(|r| r.measure != MeasureId::JoinTangent).cloned().collect::<Vec<_>>();
        assert_eq!(others(&before), others(&after));
        // The last word counts.
        let twice = before.with(&[asked(MeasureId::JoinTangent, [9.0, 9.0, 9.0]), asked(MeasureId::JoinTangent, [0.3, 0.4, 0.5])]).unwrap();
        assert_eq!(twice, after);
    }

    #[test]
    fn limits_that_say_nothing_are_refused() {
        let y = Yardstick::default();
        let with = |id, l| y.with(&[asked(id, l)]).map(|_| ());
        let none = f64::NAN;
        assert_eq!(with(MeasureId::EdgeLine, [1.0, 2.0, 3.0]), Err(AskedError::Unknown(MeasureId::EdgeLine)));
        for bad in [-1.0, f64::INFINITY, -f64::NAN] {
            assert_eq!(with(MeasureId::JoinTangent, [bad, none, none]), Err(AskedError::NoLimit(MeasureId::JoinTangent)), "{bad}");
        }
        assert_eq!(with(MeasureId::JoinTangent, [0.5, none, 0.4]), Err(AskedError::Order(MeasureId::JoinTangent)));
        assert_eq!(with(MeasureId::LayoutSliver, [0.4, 0.5, none]), Err(AskedError::Order(MeasureId::LayoutSliver)));
        for fine in [[none; 3], [0.4, 0.4, 0.4], [0.0, none, 7.0]] {
            assert_eq!(with(MeasureId::JoinTangent, fine), Ok(()));
        }
    }

    #[test]
    fn the_strictest_limit_is_that_of_the_mildest_severity() {
        let of = |l| asked(MeasureId::JoinTangent, l).limits.strictest();
        let none = f64::NAN;
        assert_eq!(
            [of([1.0, 2.0, 3.0]), of([none, 2.0, 3.0]), of([none, none, 3.0]), of([none; 3])],
            [Some(1.0), Some(2.0), Some(3.0), None]
        );
    }
}
