//! Joins of changed faces as the page draws them while trials are shown.

use js_sys::{Array, Float64Array, Object, Reflect, Uint32Array};
use rakelight_core::joins::{Floors, Join};
use rakelight_core::review::orders;
use wasm_bindgen::prelude::*;

/// {points, counts, values} in flat arrays: the stations of each join, mm, their number, and by order (g0 to g3) the larger value of the
/// two ends of each leg; no number where a measure does not apply. Outlines are left out, they join nothing.
pub(super) fn lines(joins: &[&Join], floors: &Floors) -> Result<Object, JsValue> {
    let (mut points, mut counts) = (Vec::new(), Vec::new());
    let mut values: [Vec<f64>; 4] = Default::default();
    for join in joins {
        counts.push(u32::try_from(join.stations.len()).unwrap_or(u32::MAX));
        points.extend(join.stations.iter().flat_map(|s| s.p.to_array()));
        let read: Vec<[f64; 4]> = join.stations.iter().map(|s| orders(&s.measures, floors).map(|x| x.unwrap_or(f64::NAN))).collect();
        for leg in read.windows(2) {
            values.iter_mut().enumerate().for_each(|(k, all)| all.push(leg[0][k].max(leg[1][k])));
        }
    }
    let made = Object::new();
    Reflect::set(&made, &"points".into(), &Float64Array::from(points.as_slice()))?;
    Reflect::set(&made, &"counts".into(), &Uint32Array::from(counts.as_slice()))?;
    let by_order: Array = values.iter().map(|all| Float64Array::from(all.as_slice())).collect();
    Reflect::set(&made, &"values".into(), &by_order)?;
    Ok(made)
}
