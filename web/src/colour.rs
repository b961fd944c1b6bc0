//! Colours that carry meaning: the sequential map, and where a measure's limits fall on it.
//!
//! The map is *batlow* from Fabio Crameri's Scientific colour maps (Zenodo,
//! doi:10.5281/zenodo.1243862; MIT licence, copyright 2020 Fabio Crameri), sampled at 33 of its
//! 256 steps and turned round: pale is good, dark is bad, because the model's paint is pale.

/// Samples of the map, evenly spaced from good to bad.
pub const MAP_SIZE: usize = 33;

const BATLOW: [[u8; 3]; MAP_SIZE] = [
    [1, 25, 89],
    [8, 37, 91],
    [13, 49, 93],
    [15, 59, 95],
    [17, 67, 96],
    [19, 75, 97],
    [23, 82, 98],
    [27, 89, 98],
    [34, 96, 97],
    [43, 101, 94],
    [53, 106, 89],
    [65, 111, 83],
    [77, 115, 77],
    [90, 119, 69],
    [103, 123, 62],
    [116, 126, 56],
    [130, 130, 49],
    [143, 134, 45],
    [159, 137, 43],
    [175, 141, 46],
    [190, 144, 53],
    [205, 146, 63],
    [219, 149, 75],
    [231, 152, 90],
    [241, 157, 107],
    [248, 162, 126],
    [252, 168, 144],
    [253, 174, 162],
    [253, 180, 180],
    [253, 186, 196],
    [252, 191, 214],
    [251, 198, 232],
    [250, 204, 250],
];

/// Colour of a level between 0 (good) and 1 (bad), sRGB 0 to 1; levels outside are clamped, a
/// level that is no number is taken as 0.
pub fn map_colour(level: f64) -> [f32; 3] {
    let at = (1.0 - level.clamp(0.0, 1.0)) * (MAP_SIZE - 1) as f64;
    let at = if at.is_nan() { (MAP_SIZE - 1) as f64 } else { at };
    let i = (at as usize).min(MAP_SIZE - 2);
    let t = (at - i as f64) as f32;
    let (a, b) = (BATLOW[i], BATLOW[i + 1]);
    std::array::from_fn(|k| (f32::from(a[k]) * (1.0 - t) + f32::from(b[k]) * t) / 255.0)
}

/// The map as numbers for the shader, from good to bad.
pub fn map_samples() -> Vec<f32> {
    (0..MAP_SIZE).flat_map(|i| map_colour(i as f64 / (MAP_SIZE - 1) as f64)).collect()
}

/// Level of a value among limits (polish, fix, serious): the limits that exist stand at equal
/// steps between zero and twice the last one, straight in between, 1 above. The page's legend
/// follows the same rule. Without any limit, or for a value that is no number, −1: not judged.
pub fn level(value: f64, limits: &[f64]) -> f64 {
    let mut knots: Vec<f64> = limits.iter().copied().filter(|x| x.is_finite() && *x > 0.0).collect();
    let Some(last) = knots.last().copied() else { return -1.0 };
    if value.is_nan() {
        return -1.0;
    }
    knots.push(2.0 * last);
    let steps = knots.len() as f64;
    let mut below = 0.0;
    for (i, knot) in knots.into_iter().enumerate() {
        if value < knot {
            return (i as f64 + ((value - below) / (knot - below)).max(0.0)) / steps;
        }
        below = knot;
    }
    1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_map_runs_from_pale_to_dark() {
        let brightness = |l: f64| map_colour(l).into_iter().sum::<f32>();
        let steps: Vec<f32> = (0..=100).map(|i| brightness(f64::from(i) / 100.0)).collect();
        assert!(steps.windows(2).all(|w| w[1] < w[0] + 1e-3));
        assert_eq!(map_colour(0.0), [250.0 / 255.0, 204.0 / 255.0, 250.0 / 255.0]);
        assert_eq!(map_colour(7.0), [1.0 / 255.0, 25.0 / 255.0, 89.0 / 255.0]);
        assert_eq!(map_colour(f64::NAN), map_colour(0.0));
    }

    #[test]
    fn limits_stand_at_equal_steps() {
        let limits = [0.02, 0.1, 0.5];
        for (value, expected) in [(0.0, 0.0), (0.01, 0.125), (0.02, 0.25), (0.1, 0.5), (0.3, 0.625), (0.5, 0.75), (1.0, 1.0), (9.0, 1.0)] {
            assert!((level(value, &limits) - expected).abs() < 1e-12, "{value}");
        }
    }

    #[test]
    fn missing_limits_leave_wider_steps() {
        let none = f64::NAN;
        assert_eq!(level(0.3, &[none; 3]), -1.0);
        assert_eq!(level(0.3, &[]), -1.0);
        assert_eq!(level(none, &[0.1, 0.2, 0.3]), -1.0);
        assert!((level(0.3, &[0.2, none, none]) - 0.75).abs() < 1e-12);
        assert!((level(0.3, &[none, 0.1, none]) - 1.0).abs() < 1e-12);
        let mut before = -1.0;
        for i in 0..1000 {
            let now = level(f64::from(i) * 0.001, &[0.1, 0.3, none]);
            assert!(now >= before);
            before = now;
        }
    }
}
