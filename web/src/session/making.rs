//! What the part is made of and how: limits of form that go by the sheet and the tool, not by the zone.

use rakelight_core::finding::{Asked, Limits, MeasureId, Yardstick, Zone};
use rakelight_core::math::Vec3;
use serde::Deserialize;

/// What the page asks for; null for what does not matter. Lengths in mm, degrees.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(default)]
pub struct Making {
    /// Direction in which the part leaves its tool.
    pull: Option<[f64; 3]>,
    /// Least draft along it.
    draft: Option<f64>,
    /// Thickness of the sheet and its smallest inner radius together.
    offset: Option<f64>,
    /// Smallest radius.
    radius: Option<f64>,
    /// Width that gaps are meant to have.
    gap: Option<f64>,
}

impl Making {
    /// The yardstick with these limits in every zone, each as one that asks for a mend.
    ///
    /// # Errors
    /// A sentence, where a limit says nothing.
    pub fn over(&self, usual: &Yardstick) -> Result<Yardstick, String> {
        let of = [(MeasureId::FormDraft, self.draft), (MeasureId::FormOffset, self.offset), (MeasureId::FormRadius, self.radius)];
        let mut asked = Vec::new();
        for (measure, fix) in of.into_iter().filter_map(|(m, limit)| Some((m, limit?))) {
            asked.extend(Zone::ALL.map(|zone| {
                let serious = usual.limits(measure, zone).and_then(|l| l.serious).filter(|s| *s <= fix);
                Asked { measure, zone, limits: Limits { polish: None, fix: Some(fix), serious } }
            }));
        }
        let mut now = usual.with(&asked).map_err(|e| e.to_string())?;
        now.gap_width = self.gap.filter(|w| w.is_finite() && *w >= 0.0).unwrap_or(usual.gap_width);
        now.pull = self.pull.map(Vec3::from_array).filter(|v| v.try_normalize().is_some());
        Ok(now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_wish_sets_its_own_limit() {
        let usual = Yardstick::default();
        assert_eq!(Making::default().over(&usual), Ok(usual.clone()));
        let making = Making { pull: Some([0.0, 0.0, 2.0]), draft: Some(3.0), offset: Some(1.5), radius: None, gap: Some(4.0) };
        let now = making.over(&usual).expect("sound");
        assert_eq!((now.pull, now.gap_width), (Some(Vec3::Z * 2.0), 4.0));
        for zone in Zone::ALL {
            let fix = |m| now.limits(m, zone).and_then(|l| l.fix);
            assert_eq!((fix(MeasureId::FormDraft), fix(MeasureId::FormOffset)), (Some(3.0), Some(1.5)));
        }
        assert_eq!(now.limits(MeasureId::FormRadius, Zone::Visible), usual.limits(MeasureId::FormRadius, Zone::Visible));
        assert!(Making { radius: Some(-1.0), ..Making::default() }.over(&usual).is_err());
        assert_eq!(Making { pull: Some([0.0; 3]), ..Making::default() }.over(&usual).expect("sound").pull, None);
    }
}
