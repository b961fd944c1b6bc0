//! Values sampled over a face, on both sides of the worker's door.

use serde::{Deserialize, Serialize};

/// Values on an even grid over a box of a face's parameters, row by row along u.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SceneMap {
    /// The face's id.
    pub face: u32,
    /// Least u, greatest u, least v, greatest v.
    pub over: [f64; 4],
    /// Grid points along u.
    pub columns: usize,
    /// Grid points along v.
    pub rows: usize,
    /// Values, mm; none where there is none.
    pub values: Vec<Option<f32>>,
}

impl SceneMap {
    /// True when it has the values that its size asks for, two a way at least.
    pub fn is_sound(&self) -> bool {
        let [a, b, c, d] = self.over;
        self.columns > 1 && self.rows > 1 && self.columns.checked_mul(self.rows) == Some(self.values.len()) && b > a && d > c
    }

    /// The value between the grid's, at parameters of the face; none beside it or beside a value that is none.
    pub fn at(&self, u: f64, v: f64) -> Option<f64> {
        let [a, b, c, d] = self.over;
        let (x, y) = ((u - a) / (b - a) * (self.columns - 1) as f64, (v - c) / (d - c) * (self.rows - 1) as f64);
        let (x, y) = (x.clamp(0.0, (self.columns - 1) as f64), y.clamp(0.0, (self.rows - 1) as f64));
        let (i, j) = ((x as usize).min(self.columns - 2), (y as usize).min(self.rows - 2));
        let (s, t) = (x - i as f64, y - j as f64);
        let value = |i: usize, j: usize| self.values.get(j * self.columns + i).copied().flatten().map(f64::from);
        let row = |j: usize| Some(value(i, j)? * (1.0 - s) + value(i + 1, j)? * s);
        Some(row(j)? * (1.0 - t) + row(j + 1)? * t)
    }
}

#[cfg(test)]
mod tests {
    use super::SceneMap;

    #[test]
    fn values_run_straight_between_grid_points() {
        let mut map =
            SceneMap { face: 0, over: [0.0, 2.0, 10.0, 30.0], columns: 3, rows: 2, values: [0., 1., 2., 10., 11., 12.].map(Some).to_vec() };
        assert!(map.is_sound());
        let near = |a: Option<f64>, b: f64| assert!((a.unwrap() - b).abs() < 1e-12, "{a:?}");
        near(map.at(0.5, 10.0), 0.5);
        near(map.at(1.5, 20.0), 6.5);
        near(map.at(2.0, 30.0), 12.0);
        near(map.at(9.0, 99.0), 12.0);
        map.values[4] = None;
        assert_eq!(map.at(0.5, 20.0), None);
        map.rows = 3;
        assert!(!map.is_sound());
    }
}
