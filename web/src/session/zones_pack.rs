//! Zones of faces as the page says them and is told of them.

use rakelight_core::finding::Zone;
use rakelight_core::math::distinct;
use rakelight_core::model::{FaceId, Model};
use rakelight_core::review::{RuleBy, ZonePlan, ZoneRule, colour_text};
use serde::{Deserialize, Serialize};

/// Most layers and colours told of: more are no list to choose from.
const MOST: usize = 200;

/// What the reviewer has said: rules, and [face, zone] of those picked.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(default)]
pub struct ZoneWish {
    rules: Vec<Rule>,
    picked: Vec<(u32, String)>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Rule {
    by: String,
    is: String,
    zone: String,
}

/// What the page shows beside it.
#[derive(Debug, PartialEq, Serialize)]
pub struct ZonesTold {
    /// Zone of each face, 0 visible to 2 hidden, as far as rules say.
    rest: Vec<u8>,
    /// Number of faces that each rule counts for.
    fits: Vec<usize>,
}

/// What rules of a model can go by.
#[derive(Debug, PartialEq, Serialize)]
pub struct Traits {
    layers: Vec<String>,
    /// As #rrggbb.
    colours: Vec<String>,
}

impl ZoneWish {
    /// The plan with a usual zone.
    ///
    /// # Errors
    /// A sentence, where a zone or what a rule goes by is unknown.
    pub fn plan(&self, usual: Zone) -> Result<ZonePlan, String> {
        let zone = |text: &str| Zone::from_text(text).ok_or_else(|| format!("no zone {text}"));
        let rule = |r: &Rule| {
            let by = RuleBy::from_text(&r.by).ok_or_else(|| format!("no rule by {}", r.by))?;
            Ok::<_, String>(ZoneRule { by, is: r.is.clone(), zone: zone(&r.zone)? })
        };
        Ok(ZonePlan {
            usual,
            rules: self.rules.iter().map(rule).collect::<Result<_, _>>()?,
            picked: self.picked.iter().map(|(face, at)| Ok((FaceId::new(*face as usize), zone(at)?))).collect::<Result<_, String>>()?,
        })
    }
}

/// What rules make of a model.
pub fn told(plan: &ZonePlan, model: &Model) -> ZonesTold {
    let deciding = plan.deciding(model);
    let mut fits = vec![0; plan.rules.len()];
    for rule in deciding.iter().flatten() {
        if let Some(count) = fits.get_mut(*rule) {
            *count += 1;
        }
    }
    let zone = |rule: &Option<usize>| rule.and_then(|r| plan.rules.get(r)).map_or(plan.usual, |r| r.zone) as u8;
    ZonesTold { rest: deciding.iter().map(zone).collect(), fits }
}

/// Layers and colours of a model's faces, by name.
pub fn traits(model: &Model) -> Traits {
    let sorted = |all: Vec<String>| {
        let mut all = distinct(all);
        all.truncate(MOST);
        all
    };
    let layers = model.faces.iter().flat_map(|f| &f.layers).filter(|l| !l.trim().is_empty()).cloned().collect();
    Traits { layers: sorted(layers), colours: sorted(model.faces.iter().filter_map(|f| f.colour.map(colour_text)).collect()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_page_says_is_a_plan_or_an_error() {
        let rule = |by: &str, zone: &str| Rule { by: by.into(), is: "Inner".into(), zone: zone.into() };
        let wish = |rules, zone: &str| ZoneWish { rules, picked: vec![(4, zone.into())] };
        let plan = wish(vec![rule("layer", "hidden")], "secondary").plan(Zone::Visible).expect("sound");
        assert_eq!((plan.rules.len(), plan.rules[0].by, plan.picked), (1, RuleBy::Layer, vec![(FaceId::new(4), Zone::Secondary)]));
        for wrong in [wish(vec![rule("part", "hidden")], "hidden"), wish(vec![rule("name", "seen")], "hidden"), wish(Vec::new(), "x")] {
            assert!(wrong.plan(Zone::Visible).is_err(), "{wrong:?}");
        }
    }
}
