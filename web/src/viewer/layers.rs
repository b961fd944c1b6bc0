//! Strokes that the page lays over the model by name: combs, sections, directions, dots.

use super::Viewer;
use glam::DVec3;
use serde::Deserialize;
use wasm_bindgen::prelude::*;

/// Polylines under one name; one of a single point is a dot as wide as the stroke.
pub struct Layer {
    /// Points of each, mm.
    pub lines: Vec<Vec<DVec3>>,
    /// How they are drawn.
    pub look: Look,
    /// Level on the map (0 good to 1 bad, negative for what is not judged) of each segment, one polyline after the other, in place of the
    /// ink; those that are worse are wider.
    pub levels: Option<Vec<f32>>,
}

/// How a layer is drawn.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Look {
    /// Its colour.
    pub ink: Ink,
    /// Width in CSS pixels.
    pub width: f32,
    /// Seen through the model as well.
    pub through: bool,
}

/// Colours of layers. Those of the sides are apart for every kind of colour vision (Okabe & Ito, Color Universal Design, 2008).
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Ink {
    /// What is chosen.
    Accent,
    /// As dark as stripes.
    Dark,
    /// Of a join's first face: blue.
    First,
    /// Of its second face: vermilion.
    Second,
}

impl Ink {
    /// sRGB 0 to 1.
    pub fn rgb(self) -> [f32; 3] {
        match self {
            Ink::Accent => [0.902, 0.624, 0.0],
            Ink::Dark => [0.20, 0.165, 0.145],
            Ink::First => [0.0, 0.447, 0.698],
            Ink::Second => [0.835, 0.369, 0.0],
        }
    }
}

/// Layer of the centre plane's outline.
const PLANE: &str = "centre plane";

#[wasm_bindgen]
impl Viewer {
    /// Lays polylines over the model under a name, in place of the last ones of that name: flat x, y, z in mm, one after the other,
    /// `counts` points each; none take the layer away. `look`: {ink: accent, dark, first or second, width, through}.
    ///
    /// # Errors
    /// When the counts do not suit the points, or the look is none.
    pub fn set_layer(&mut self, name: &str, points: &[f64], counts: &[u32], look: JsValue) -> Result<(), JsValue> {
        let lines = polylines(points, counts)?;
        if lines.is_empty() {
            self.marks.layers.remove(name);
        } else {
            let look = serde_wasm_bindgen::from_value(look)?;
            self.marks.layers.insert(name.to_owned(), Layer { lines, look, levels: None });
        }
        self.renderer.layer_changed(name);
        Ok(())
    }
}

#[wasm_bindgen]
impl Viewer {
    /// Shows a centre plane {normal, offset} by its outline and the model's image in it; null: none.
    ///
    /// # Errors
    /// When it is no such plane.
    pub fn set_mirror(&mut self, plane: JsValue) -> Result<(), JsValue> {
        self.marks.mirror = serde_wasm_bindgen::from_value(plane)?;
        let outline = self.marks.mirror.map_or(Vec::new(), |m| m.outline(&self.scene.bounds()));
        if outline.is_empty() {
            self.marks.layers.remove(PLANE);
        } else {
            let look = Look { ink: Ink::Accent, width: 1.5, through: true };
            self.marks.layers.insert(PLANE.to_owned(), Layer { lines: vec![outline], look, levels: None });
        }
        self.renderer.layer_changed(PLANE);
        Ok(())
    }
}

/// Flat x, y, z as polylines of `counts` points each; points that are no numbers are left out.
pub fn polylines(points: &[f64], counts: &[u32]) -> Result<Vec<Vec<DVec3>>, &'static str> {
    let mut rest = points.as_chunks::<3>().0;
    let mut lines = Vec::with_capacity(counts.len().min(rest.len()));
    for &count in counts {
        let (line, after) = rest.split_at_checked(count as usize).ok_or("fewer points than counted")?;
        lines.push(line.iter().map(|p| DVec3::from_array(*p)).filter(|p| p.is_finite()).collect());
        rest = after;
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::polylines;

    #[test]
    fn points_are_shared_out_by_their_counts() {
        let points: Vec<f64> = (0..12).map(f64::from).collect();
        let lines = polylines(&points, &[1, 3]).expect("enough");
        assert_eq!(lines.iter().map(Vec::len).collect::<Vec<_>>(), [1, 3]);
        assert_eq!(lines[1][2].to_array(), [9.0, 10.0, 11.0]);
        assert!(polylines(&points, &[2, 3]).is_err());
        assert_eq!(polylines(&[1.0, f64::NAN, 0.0, 1.0, 2.0, 3.0], &[2]).expect("enough")[0].len(), 1);
        assert!(polylines(&[], &[]).expect("none").is_empty());
    }
}
