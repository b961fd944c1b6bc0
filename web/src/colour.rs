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

/// Ratio at which a missing limit is taken to stand above the one below it (or below the one above):
/// about that of the default yardstick's steps, 2.5 to 5. Common practice, no source.
const STEP: f64 = 2.5;

/// Level of a value among limits (polish, fix, serious): a third at polish, two thirds at fix, 1 at
/// serious and above, straight in between and from 0. The page's legend follows the same rule. A limit
/// that is missing (no positive number) is filled in from its neighbour. Without any limit, or for a
/// value that is no number, −1: not judged.
pub fn level(value: f64, limits: [f64; 3]) -> f64 {
    let known = |x: f64| x.is_finite() && x > 0.0;
    let Some(first) = limits.iter().position(|x| known(*x)) else { return -1.0 };
    if value.is_nan() {
        return -1.0;
    }
    let mut knots = limits;
    for i in (0..first).rev() {
        knots[i] = knots[i + 1] / STEP;
    }
    for i in first + 1..3 {
        if !(known(knots[i]) && knots[i] > knots[i - 1]) {
            knots[i] = knots[i - 1] * STEP;
        }
    }
    let mut below = 0.0;
    for (i, knot) in knots.into_iter().enumerate() {
        if value < knot {
            return (i as f64 + ((value - below) / (knot - below)).max(0.0)) / 3.0;
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
    fn limits_stand_at_thirds() {
        let limits = [0.02, 0.1, 0.5];
        for (value, thirds) in [(0.0, 0.0), (0.01, 0.5), (0.02, 1.0), (0.06, 1.5), (0.1, 2.0), (0.3, 2.5), (0.5, 3.0), (9.0, 3.0)] {
            assert!((level(value, limits) - thirds / 3.0).abs() < 1e-12, "{value}");
        }
    }

    #[test]
    fn missing_limits_leave_the_others_where_they_are() {
        let none = f64::NAN;
        assert_eq!(level(0.3, [none; 3]), -1.0);
        assert_eq!(level(none, [0.1, 0.2, 0.3]), -1.0);
        assert!((level(0.25, [0.25, none, none]) - 1.0 / 3.0).abs() < 1e-12);
        assert!((level(0.3, [none, 0.3, none]) - 2.0 / 3.0).abs() < 1e-12);
        assert!((level(0.3, [0.1, none, 0.3]) - 1.0).abs() < 1e-12);
        for limits in [[none, 0.3, none], [0.1, 0.3, none], [none, none, 0.4], [0.2, none, none]] {
            let mut before = 0.0;
            for i in 0..1000 {
                let now = level(f64::from(i) * 0.002, limits);
                assert!(now >= before && now <= 1.0);
                before = now;
            }
        }
    }
}
