//! Colours of the surface by its form: what the page asks for, and the colour of a value. The shader holds the twin
//! (`shaders/form.glsl`); a browser test bounds the difference.
//!
//! Signed values take *vik*, radii *batlow*, both from Fabio Crameri's Scientific colour maps (Zenodo,
//! doi:10.5281/zenodo.1243862; MIT licence, copyright 2020 Fabio Crameri), sampled at 33 of their 256 steps. Faces take the colours of
//! Okabe & Ito (*Color Universal Design*, 2008), each with a hatching of its own.

use crate::colour::{MAP_SIZE, map_colour};
use rakelight_core::geometry::{Curvatures, Form};
use serde::Deserialize;

const VIK: [[u8; 3]; MAP_SIZE] = [
    [0, 18, 97],
    [2, 31, 105],
    [2, 43, 113],
    [2, 55, 121],
    [3, 68, 129],
    [5, 81, 137],
    [12, 94, 146],
    [28, 109, 156],
    [48, 125, 166],
    [72, 141, 178],
    [97, 158, 189],
    [122, 174, 200],
    [148, 190, 210],
    [173, 205, 221],
    [198, 219, 230],
    [222, 230, 233],
    [236, 229, 224],
    [238, 219, 208],
    [233, 204, 186],
    [227, 188, 165],
    [220, 172, 144],
    [214, 157, 124],
    [207, 142, 104],
    [201, 128, 86],
    [195, 114, 67],
    [189, 100, 49],
    [179, 83, 31],
    [165, 64, 15],
    [148, 47, 6],
    [131, 33, 6],
    [116, 21, 6],
    [103, 10, 7],
    [89, 0, 8],
];

/// Flatter than this, 1/mm, counts as this: a radius of a thousand kilometres.
const FLAT: f64 = 1e-9;

/// What the page asks for; what is missing takes its default.
#[derive(Clone, Debug, Deserialize)]
#[serde(default)]
pub struct FormSettings {
    /// `gaussian`, `mean`, `max`, `min`, `radius`, `face`, `fair`, `sides`; anything else is no colour.
    pub view: String,
    /// Value at the map's start, in the value's own unit.
    pub low: f64,
    /// Value at its end.
    pub high: f64,
    /// From isoline to isoline; of radii, in doublings. 0: none.
    pub step: f64,
    /// Radii below it are hatched, mm; 0: none.
    pub limit: f64,
    /// The other side of the model counts as its outward one.
    pub swapped: bool,
}

impl Default for FormSettings {
    fn default() -> Self {
        FormSettings { view: "none".into(), low: -1.0, high: 1.0, step: 0.0, limit: 0.0, swapped: false }
    }
}

/// What the surface passes leave in the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leaves {
    /// Points and normals.
    Points,
    /// Principal curvatures too.
    Bends,
    /// A sampled value too, in their place.
    Map,
}

/// What colours a surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormView {
    /// A value of form.
    By(Form),
    /// Which face it is.
    Face,
    /// Signed values sampled over the faces.
    Map,
    /// The same of values that have no sign.
    Amount,
}

impl FormSettings {
    /// What is asked for; `None`: paint.
    pub fn view(&self) -> Option<FormView> {
        match self.view.as_str() {
            "face" => Some(FormView::Face),
            "fair" | "sides" | "reference" => Some(FormView::Map),
            "tilt" => Some(FormView::Amount),
            name => Form::ALL.into_iter().find(|f| f.name() == name).map(FormView::By),
        }
    }

    /// What the picture needs at each pixel beside point and normal.
    pub fn needs(&self) -> Leaves {
        match self.view() {
            Some(FormView::By(_)) => Leaves::Bends,
            Some(FormView::Map | FormView::Amount) => Leaves::Map,
            Some(FormView::Face) | None => Leaves::Points,
        }
    }

    /// Start and end of the map on the axis of [`axis`], apart from each other.
    pub fn range(&self) -> (f64, f64) {
        let (low, high) = match self.view() {
            Some(FormView::By(Form::Radius)) => (doublings(self.low), doublings(self.high)),
            _ => (self.low, self.high),
        };
        if high > low { (low, high) } else { (low, low + low.abs().max(1.0) * 1e-6) }
    }

    /// The limit on the axis of [`axis`]; far below every value when there is none.
    pub fn limit(&self) -> f64 {
        if self.limit > 0.0 && self.view() == Some(FormView::By(Form::Radius)) { doublings(self.limit) } else { -1e9 }
    }

    /// Curvatures as they count while these settings hold.
    pub fn seen(&self, k: Curvatures) -> Curvatures {
        if self.swapped { Curvatures { max: -k.min, min: -k.max } } else { k }
    }
}

fn doublings(radius: f64) -> f64 {
    radius.clamp(FLAT, 1.0 / FLAT).log2()
}

/// Where a value stands on the axis that colours and isolines are even on: radii by their doublings, the others by themselves.
pub fn axis(form: Form, k: Curvatures) -> f64 {
    match form {
        Form::Radius => doublings(1.0 / k.tightest().abs().max(FLAT)),
        _ => form.of(k),
    }
}

/// The map of a view from its start to its end: [`MAP_SIZE`] colours, sRGB 0 to 1; none of paint and faces.
pub fn view_map(view: Option<FormView>) -> Vec<[f32; 3]> {
    match view {
        Some(FormView::By(form)) => form_map(form),
        Some(FormView::Map) => form_map(Form::Mean),
        Some(FormView::Amount) => (0..MAP_SIZE).map(|i| map_colour(i as f64 / (MAP_SIZE - 1) as f64)).collect(),
        Some(FormView::Face) | None => Vec::new(),
    }
}

/// The map of a value of form.
pub fn form_map(form: Form) -> Vec<[f32; 3]> {
    match form {
        Form::Radius => (0..MAP_SIZE).map(|i| map_colour(1.0 - i as f64 / (MAP_SIZE - 1) as f64)).collect(),
        _ => VIK.iter().map(|c| c.map(|x| f32::from(x) / 255.0)).collect(),
    }
}

/// Colour at a place between a map's start, 0, and its end, 1; straight between its colours, the ends' beyond.
pub fn colour_at(map: &[[f32; 3]], level: f64) -> [f32; 3] {
    let last = map.len().saturating_sub(1);
    let at = level.clamp(0.0, 1.0) * last as f64;
    let i = (at as usize).min(last.saturating_sub(1));
    let t = (at - i as f64) as f32;
    match map.get(i..i + 2) {
        Some([a, b]) => std::array::from_fn(|k| a[k] * (1.0 - t) + b[k] * t),
        _ => [0.0; 3],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zero_is_the_pale_middle_and_the_ends_are_dark() {
        let map = form_map(Form::Mean);
        let light = |level: f64| colour_at(&map, level).into_iter().sum::<f32>();
        assert!(light(0.5) > 2.6 && light(0.0) < 0.6 && light(1.0) < 0.6);
        assert_eq!((colour_at(&map, -3.0), colour_at(&map, 7.0)), (map[0], map[MAP_SIZE - 1]));
        let radii = form_map(Form::Radius);
        assert!(radii[0].iter().sum::<f32>() < radii[MAP_SIZE - 1].iter().sum::<f32>());
    }

    #[test]
    fn radii_stand_by_their_doublings_and_planes_at_the_end() {
        let settings = FormSettings { view: "radius".into(), low: 2.0, high: 64.0, limit: 4.0, ..FormSettings::default() };
        assert_eq!((settings.range(), settings.limit()), ((1.0, 6.0), 2.0));
        let k = |max: f64, min: f64| Curvatures { max, min };
        assert_eq!(axis(Form::Radius, k(0.0, -0.125)), 3.0);
        assert_eq!(axis(Form::Radius, k(0.5, -0.125)), 1.0);
        assert!(axis(Form::Radius, k(0.0, 0.0)) > 29.0);
    }

    #[test]
    fn the_other_side_turns_signs_round() {
        let swapped = FormSettings { swapped: true, ..FormSettings::default() };
        assert_eq!(swapped.seen(Curvatures { max: 3.0, min: -1.0 }), Curvatures { max: 1.0, min: -3.0 });
        assert_eq!((swapped.view(), swapped.needs()), (None, Leaves::Points));
    }
}
