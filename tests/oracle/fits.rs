//! Least-squares fits against a general-purpose numerical library's on the same data and knots.
//!
//! Oracle: SciPy as named in tests/fit/least_squares.py, in part Dierckx's FITPACK (*Curve and Surface Fitting with
//! Splines*, 1993). Its answers are recorded together with the data they are for; `tests/run full` asks it anew. To record:
//! `python tests/fit/least_squares.py > tests/data/fit/least_squares.json`.

use std::path::Path;
use std::process::Command;
use std::{env, fs};

use rakelight_core::math::{Point2, Point3};
use rakelight_core::nurbs::fit::{Constraint, CurveSample, Fairness, SurfaceGrid, SurfaceSample, fit_curve, fit_grid, fit_surface};
use rakelight_core::nurbs::{KnotVector, Surface};
use serde_json::Value;

/// Agreement asked of control points, relative to the data's size (about 100).
const RELATIVE: f64 = 1e-8;
const SIZE: f64 = 100.0;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap_or_else(|| panic!("a list: {value}")).iter().map(|x| x.as_f64().expect("a number")).collect()
}

fn knots(case: &Value, degree: &Value, name: &str) -> KnotVector {
    KnotVector::new(degree.as_u64().expect("a degree") as usize, numbers(&case[name])).expect("knots")
}

fn heights(s: &Surface) -> Vec<f64> {
    s.points().iter().map(|p| p.z).collect()
}

fn apart(got: &[f64], want: &[f64]) -> f64 {
    assert_eq!(got.len(), want.len());
    got.iter().zip(want).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Largest difference between our control points and the library's.
fn difference(case: &Value) -> f64 {
    let kind = case["kind"].as_str().expect("a kind");
    if kind == "curve" {
        let knots = knots(case, &case["degree"], "knots");
        let points: Vec<Vec<f64>> = case["points"].as_array().expect("points").iter().map(numbers).collect();
        let (t, weights) = (numbers(&case["t"]), numbers(&case["weights"]));
        let sample = |i: usize| CurveSample { t: t[i], point: [points[i][0], points[i][1], points[i][2]], weight: weights[i] };
        let samples: Vec<_> = (0..t.len()).map(sample).collect();
        let curve = fit_curve(&knots, &samples, None, &[]).expect("a curve");
        let mut worst = 0.0f64;
        for (p, q) in curve.points().iter().zip(case["control"].as_array().expect("control points")) {
            worst = worst.max(apart(p, &numbers(q)));
        }
        if let Some(second) = case.get("second_coordinate_by_univariate") {
            let y: Vec<f64> = curve.points().iter().map(|p| p[1]).collect();
            worst = worst.max(apart(&y, &numbers(second)));
        }
        return worst;
    }
    let (ku, kv) = (knots(case, &case["degrees"][0], "knots_u"), knots(case, &case["degrees"][1], "knots_v"));
    let want = numbers(&case["control_z"]);
    if kind == "grid" {
        let (u, v) = (numbers(&case["u"]), numbers(&case["v"]));
        let z: Vec<Vec<f64>> = case["z"].as_array().expect("rows").iter().map(numbers).collect();
        let points = (0..u.len() * v.len()).map(|i| Point3::new(7.0, i as f64, z[i / v.len()][i % v.len()])).collect();
        let (weights_u, weights_v) = (Some(numbers(&case["weights_u"])), Some(numbers(&case["weights_v"])));
        let grid = SurfaceGrid { u, v, points, weights_u, weights_v };
        return apart(&heights(&fit_grid(&ku, &kv, &grid, None, &[]).expect("a surface")), &want);
    }
    let (z, weights) = (numbers(&case["z"]), numbers(&case["weights"]));
    let uv: Vec<Vec<f64>> = case["uv"].as_array().expect("parameters").iter().map(numbers).collect();
    let sample =
        |i: usize| SurfaceSample { uv: Point2::new(uv[i][0], uv[i][1]), point: Point3::new(uv[i][0], uv[i][1], z[i]), weight: weights[i] };
    let samples: Vec<_> = (0..z.len()).map(sample).collect();
    let fairness = case["factor"].as_f64().map(|factor| Fairness { factor, aspect: case["aspect"].as_f64().expect("an aspect") });
    let mut kept = Vec::new();
    let locked = case.get("locked").map(numbers).unwrap_or_default();
    if !locked.is_empty() {
        kept.extend(locked.iter().enumerate().map(|(j, &z)| Constraint::locked(j, [0.0, 0.0, z])));
        kept.push(Constraint::on_surface((&ku, &kv), (1.3, 0.7), (0, 0), [1.3, 0.7, 12.5]));
        kept.push(Constraint::on_surface((&ku, &kv), (1.3, 0.7), (1, 0), [1.0, 0.0, -31.0]));
    }
    apart(&heights(&fit_surface(&ku, &kv, &samples, fairness, &kept).expect("a surface")), &want)
}

fn check(answers: &Value, from: &str) {
    let cases = answers["cases"].as_array().expect("cases");
    let mut worst = 0.0f64;
    for (i, case) in cases.iter().enumerate() {
        let off = difference(case);
        worst = worst.max(off);
        assert!(off <= RELATIVE * SIZE, "case {i} ({} by {}, {from}): {off:e}", case["kind"], case["by"]);
    }
    println!("{} fits, {} {from}: largest difference {worst:.1e}", cases.len(), answers["library"]);
    // 14 curves, 6 scattered, 3 grids, 3 with fairness.
    assert_eq!(cases.len(), 26);
}

#[test]
fn a_numerical_library_fits_the_same_control_points() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(folder.join("data/fit/least_squares.json")).expect("the record");
    check(&serde_json::from_str(&text).expect("JSON"), "recorded");
    if let Some(python) = env::var_os("RAKELIGHT_KERNEL") {
        let output = Command::new(python).arg(folder.join("fit/least_squares.py")).output().expect("the library's Python runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        check(&serde_json::from_slice(&output.stdout).expect("JSON"), "live");
    }
}
