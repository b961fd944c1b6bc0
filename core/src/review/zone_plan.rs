//! How the faces of a model come by their zones: one by one, by rules on what the file says of them, or as the rest.

use crate::finding::{Zone, Zones};
use crate::model::{Colour, Face, FaceId, Model};
use core::fmt;

/// What of a face a rule goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleBy {
    /// The layers it lies on.
    Layer,
    /// Its colour.
    Colour,
    /// Its name.
    Name,
}

impl RuleBy {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            RuleBy::Layer => "layer",
            RuleBy::Colour => "colour",
            RuleBy::Name => "name",
        }
    }

    /// What has that name; None for an unknown one.
    pub fn from_text(text: &str) -> Option<RuleBy> {
        [RuleBy::Layer, RuleBy::Colour, RuleBy::Name].into_iter().find(|by| by.text() == text)
    }
}

/// Puts faces of one layer, colour or name into a zone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZoneRule {
    /// What it goes by.
    pub by: RuleBy,
    /// The layer or name, in either case, with * at its beginning or end for whatever stands there; or the colour as #rrggbb. Faces
    /// without a layer, name or colour are never meant.
    pub is: String,
    /// The zone.
    pub zone: Zone,
}

/// What is said of the zones of a model.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ZonePlan {
    /// Where nothing else is said.
    pub usual: Zone,
    /// The first rule that fits a face counts.
    pub rules: Vec<ZoneRule>,
    /// Faces of which it is said one by one, whatever rules say; the last of a face counts.
    pub picked: Vec<(FaceId, Zone)>,
}

/// Why a rule cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ZoneRuleError {
    /// It does not begin with layer=, colour= or name=, or says nothing there.
    By,
    /// It does not end with a colon and a zone.
    Zone,
    /// The colour is not #rrggbb.
    Colour,
}

impl fmt::Display for ZoneRuleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::By => "a rule begins with layer=, colour= or name= and what that is",
            Self::Zone => "a rule ends with :visible, :secondary or :hidden",
            Self::Colour => "a colour is written as #rrggbb",
        })
    }
}

impl std::error::Error for ZoneRuleError {}

impl ZoneRule {
    /// The rule of a text like `layer=Flanges:hidden` or `name=Rib*:secondary`.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn read(text: &str) -> Result<ZoneRule, ZoneRuleError> {
        let (by, rest) = text.split_once('=').ok_or(ZoneRuleError::By)?;
        let by = RuleBy::from_text(by.trim()).ok_or(ZoneRuleError::By)?;
        let (is, zone) = rest.rsplit_once(':').ok_or(ZoneRuleError::Zone)?;
        let zone = Zone::from_text(zone.trim()).ok_or(ZoneRuleError::Zone)?;
        let is = is.trim();
        if is.is_empty() {
            return Err(ZoneRuleError::By);
        }
        if by == RuleBy::Colour && !is_colour(is) {
            return Err(ZoneRuleError::Colour);
        }
        Ok(ZoneRule { by, is: is.into(), zone })
    }

    /// True for a face that it means; `wanted` is its text in lower case.
    fn fits(&self, wanted: &str, face: &Face) -> bool {
        match self.by {
            RuleBy::Layer => face.layers.iter().any(|l| matches(wanted, l)),
            RuleBy::Name => matches(wanted, &face.name),
            RuleBy::Colour => face.colour.is_some_and(|c| colour_text(c) == wanted),
        }
    }
}

impl ZonePlan {
    /// The same zone for every face.
    pub fn all(usual: Zone) -> Self {
        Self { usual, ..Self::default() }
    }

    /// The zones of a model's faces.
    pub fn of(&self, model: &Model) -> Zones {
        let mut zones = Zones::all(self.usual);
        for (i, rule) in self.deciding(model).into_iter().enumerate() {
            if let Some(rule) = rule.and_then(|r| self.rules.get(r)) {
                zones.set(FaceId::new(i), rule.zone);
            }
        }
        let known = |id: &FaceId| id.index() < model.faces.len();
        self.picked.iter().filter(|p| known(&p.0)).for_each(|&(face, zone)| zones.set(face, zone));
        zones
    }

    /// For each face of a model the index of the rule that counts for it, if one does, whether it is picked or not.
    pub fn deciding(&self, model: &Model) -> Vec<Option<usize>> {
        let rules: Vec<(&ZoneRule, String)> = self.rules.iter().map(|r| (r, r.is.trim().to_lowercase())).collect();
        model.faces.iter().map(|face| rules.iter().position(|(rule, wanted)| rule.fits(wanted, face))).collect()
    }
}

/// A colour as #rrggbb, in lower case.
pub fn colour_text(c: Colour) -> String {
    let byte = |x: f32| (x.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{:02x}{:02x}{:02x}", byte(c.red), byte(c.green), byte(c.blue))
}

fn is_colour(text: &str) -> bool {
    text.strip_prefix('#').is_some_and(|hex| hex.len() == 6 && hex.bytes().all(|b| b.is_ascii_hexdigit()))
}

/// True where a text is `wanted` (in lower case), in either case of letters; * at either end of it stands for anything.
fn matches(wanted: &str, text: &str) -> bool {
    let text = text.trim().to_lowercase();
    if text.is_empty() || wanted.is_empty() {
        return false;
    }
    let (before, wanted) = wanted.strip_prefix('*').map_or((false, wanted), |rest| (true, rest));
    let (after, wanted) = wanted.strip_suffix('*').map_or((false, wanted), |rest| (true, rest));
    match (before, after) {
        (false, false) => text == wanted,
        (true, false) => text.ends_with(wanted),
        (false, true) => text.starts_with(wanted),
        (true, true) => text.contains(wanted),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Sphere, Surface};
    use crate::joins::arrangements::tilted;

    fn rule(text: &str) -> ZoneRule {
        ZoneRule::read(text).expect(text)
    }

    #[test]
    fn names_match_in_either_case_with_a_star_at_either_end() {
        for (wanted, text, fits) in [
            ("lip", "Lip", true),
            ("lip", "Lip 2", false),
            ("lip*", "LIP 2", true),
            ("*lip", "wheel-arch lip", true),
            ("*arch*", "Wheel-Arch lip", true),
            ("*arch", "Wheel-Arch lip", false),
            ("größe", "GRÖSSE", false),
            ("öl*", "ÖLWANNE", true),
            ("*", "anything", true),
            ("*", "", false),
            ("", "", false),
            ("", "x", false),
        ] {
            assert_eq!(matches(wanted, text), fits, "{wanted:?} {text:?}");
        }
    }

    #[test]
    fn the_first_rule_that_fits_counts_and_picked_faces_stay() {
        let [a, b, c, d] = [0, 1, 2, 3].map(FaceId::new);
        let ball = |i: usize| Face { name: format!("face {i}"), ..Face::whole(Surface::Sphere(Sphere { frame: tilted(), radius: 1.0 })) };
        let mut model = Model { faces: (0..5).map(ball).collect(), parts: vec!["one".into()], ..Model::default() };
        model.faces[0].layers = vec!["Skin".into(), "Inner".into()];
        model.faces[1].colour = Some(Colour { red: 1.0, green: 0.5, blue: 0.0 });
        model.faces[2].layers = vec!["inner".into()];
        let rules = ["layer=inner:hidden", "colour=#FF8000:secondary", "name=Face 2:secondary", "name=*3:hidden"].map(rule).to_vec();
        let plan = ZonePlan {
            usual: Zone::Visible,
            rules,
            picked: vec![(c, Zone::Hidden), (c, Zone::Visible), (FaceId::new(1 << 30), Zone::Hidden)],
        };
        let zones = plan.of(&model);
        assert_eq!([a, b, c, d].map(|f| zones.of(&[f])), [Zone::Hidden, Zone::Secondary, Zone::Visible, Zone::Hidden]);
        assert_eq!(zones.of(&[FaceId::new(4)]), Zone::Visible);
        assert_eq!(zones.of(&[FaceId::new(1 << 30)]), Zone::Visible, "no face of this model");
        assert_eq!(plan.deciding(&model), [Some(0), Some(1), Some(0), Some(3), None]);
        let unpicked = ZonePlan { picked: Vec::new(), ..plan }.of(&model);
        assert_eq!(unpicked.of(&[c]), Zone::Hidden, "the layer's rule stands before the name's");
    }

    #[test]
    fn a_rule_reads_as_written_and_says_what_is_wrong() {
        assert_eq!(rule("layer=a=b:c:hidden"), ZoneRule { by: RuleBy::Layer, is: "a=b:c".into(), zone: Zone::Hidden });
        assert_eq!(rule("colour=#00ffAA:secondary").by, RuleBy::Colour);
        for (text, error) in [
            ("Inner:hidden", ZoneRuleError::By),
            ("part=Inner:hidden", ZoneRuleError::By),
            ("layer=:hidden", ZoneRuleError::By),
            ("layer=Inner", ZoneRuleError::Zone),
            ("layer=Inner:unseen", ZoneRuleError::Zone),
            ("colour=red:hidden", ZoneRuleError::Colour),
        ] {
            assert_eq!(ZoneRule::read(text), Err(error), "{text}");
        }
    }
}
