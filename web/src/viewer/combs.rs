//! Combs as strokes over the model.

use super::Viewer;
use super::layers::{Layer, Look};
use glam::DVec3;
use wasm_bindgen::prelude::*;

/// Numbers a tooth: point, normal, curvature.
const ROW: usize = 7;

/// Width of a tooth, CSS pixels.
const TOOTH: f32 = 1.0;

#[wasm_bindgen]
impl Viewer {
    /// Lays combs over the model as layer `name`: `teeth` as the worker gives them, `counts` teeth each, a tooth as long as its
    /// curvature times `scale` (mm²), convex ones outwards. None take the layer away. `look` as for [`Viewer::set_layer`]: of the line
    /// along the tips; teeth are thin, so that one comb can be seen through another.
    ///
    /// # Errors
    /// When the counts do not suit the teeth, or the look is none.
    pub fn set_combs(&mut self, name: &str, teeth: &[f64], counts: &[u32], scale: f64, look: JsValue) -> Result<(), JsValue> {
        let [teeth, tips] = comb_lines(teeth, counts, scale)?;
        let look: Option<Look> = if tips.is_empty() { None } else { Some(serde_wasm_bindgen::from_value(look)?) };
        for (part, lines, width) in [("teeth", teeth, Some(TOOTH)), ("tips", tips, None)] {
            let name = format!("{name} {part}");
            match look {
                Some(look) => self
                    .marks
                    .layers
                    .insert(name.clone(), Layer { lines, look: Look { width: width.unwrap_or(look.width), ..look }, levels: None }),
                None => self.marks.layers.remove(&name),
            };
            self.renderer.layer_changed(&name);
        }
        Ok(())
    }
}

/// Polylines in space.
type Strokes = Vec<Vec<DVec3>>;

/// A line for each tooth, and one along the tips of each comb.
fn comb_lines(teeth: &[f64], counts: &[u32], scale: f64) -> Result<[Strokes; 2], &'static str> {
    let mut rest = teeth.as_chunks::<ROW>().0;
    let [mut lines, mut tips] = [Vec::new(), Vec::new()];
    for &count in counts {
        let (rows, after) = rest.split_at_checked(count as usize).ok_or("fewer teeth than counted")?;
        rest = after;
        let tooth = |[x, y, z, a, b, c, k]: &[f64; ROW]| {
            let foot = DVec3::new(*x, *y, *z);
            vec![foot, foot + DVec3::new(*a, *b, *c) * (k * scale)]
        };
        let all: Vec<Vec<DVec3>> = rows.iter().map(tooth).filter(|t| t.iter().all(|p| p.is_finite())).collect();
        tips.push(all.iter().filter_map(|t| t.last().copied()).collect());
        lines.extend(all);
    }
    Ok([lines, tips])
}

#[cfg(test)]
mod tests {
    use super::comb_lines;

    #[test]
    fn teeth_are_as_long_as_their_curvature_says() {
        let teeth = [[0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.5], [1.0, 0.0, 0.0, 0.0, 0.0, 1.0, -0.25], [9.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0]];
        let [lines, tips] = comb_lines(teeth.as_flattened(), &[2, 1], 10.0).expect("sound");
        assert_eq!((lines.len(), tips.iter().map(Vec::len).collect::<Vec<_>>()), (3, vec![2, 1]));
        assert_eq!(tips[0].iter().map(|p| p.z).collect::<Vec<_>>(), [5.0, -2.5]);
        assert_eq!(lines[0][1].to_array(), [0.0, 0.0, 5.0]);
        assert_eq!(lines[1][1].to_array(), [1.0, 0.0, -2.5]);
        assert!(comb_lines(teeth.as_flattened(), &[4], 1.0).is_err());
    }
}
