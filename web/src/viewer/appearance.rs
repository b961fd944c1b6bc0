//! Colours of the picture. Paint and stripes are our own: warm clay paint, stripes of dark umber.

use serde::Deserialize;

/// What the page sets.
#[derive(Clone, Debug, Deserialize)]
#[serde(default)]
pub struct Theme {
    /// Background, sRGB 0 to 1.
    pub paper: [f32; 3],
    /// Lines and letters, sRGB 0 to 1.
    pub ink: [f32; 3],
    /// How much the paint is shaded by its slope: 1 fully, 0 flat.
    pub relief: f32,
    /// Nothing is drawn where the model is not: what lies behind the canvas shows there.
    pub clear: bool,
}

impl Default for Theme {
    fn default() -> Self {
        Theme { paper: [0.96, 0.95, 0.93], ink: [0.13, 0.12, 0.11], relief: 1.0, clear: false }
    }
}

impl Theme {
    /// True for a paper darker than middle grey.
    pub fn is_dark(&self) -> bool {
        self.paper.iter().sum::<f32>() < 1.5
    }

    /// The model's paint: paler than dark paper and darker than pale paper, so that its outline shows on both.
    pub fn paint(&self) -> [f32; 3] {
        if self.is_dark() { [0.74, 0.715, 0.67] } else { [0.865, 0.84, 0.795] }
    }

    /// The stripes on the paint.
    pub fn stripe(&self) -> [f32; 3] {
        [0.20, 0.165, 0.145]
    }

    /// Thin lines of the face borders on the paint.
    pub fn border(&self) -> [f32; 3] {
        [0.46, 0.42, 0.375]
    }

    /// Around coloured strokes, pale on the paint in every theme.
    pub fn casing(&self) -> [f32; 3] {
        [0.965, 0.955, 0.93]
    }

    /// What is chosen (Okabe & Ito, Color Universal Design, 2008: orange).
    pub fn accent(&self) -> [f32; 3] {
        [0.902, 0.624, 0.0]
    }
}
