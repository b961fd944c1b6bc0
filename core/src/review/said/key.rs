//! A finding's lasting name, as reviews have it.

use crate::review::FindingRecord;

/// `measure|faces|where`: faces by number with + between, where by the join, or by the place in mm with three decimals. The page makes
/// the same (www/records.js).
pub fn finding_key(f: &FindingRecord) -> String {
    let faces: Vec<String> = f.faces.iter().map(usize::to_string).collect();
    let place = match f.join {
        Some(join) => join.to_string(),
        None => f.place.point.map(|x| thousandths(x.0)).join(" "),
    };
    format!("{}|{}|{place}", f.measure, faces.join("+"))
}

/// A number with three decimals as ECMAScript's `toFixed(3)` writes it (ECMA-262, Number.prototype.toFixed): of two that are equally
/// near, the one farther from zero; Rust's own writes the even one.
fn thousandths(x: f64) -> String {
    let sixteenths = 16.0 * x.abs();
    // Only sixteenths can lie in the middle of two thousandths; times 125 they are exact.
    let halves = 125.0 * sixteenths;
    let tie = sixteenths == sixteenths.trunc() && sixteenths < 1e12 && halves % 2.0 == 1.0;
    let away = if tie { f64::midpoint(halves, 1.0) / 1000.0 } else { x.abs() };
    format!("{}{away:.3}", if x < 0.0 { "-" } else { "" })
}

#[cfg(test)]
mod tests {
    use super::thousandths;

    #[test]
    fn numbers_are_written_as_the_page_writes_them() {
        // Answers of Number.prototype.toFixed(3), computed by an ECMAScript engine.
        let cases = [
            (0.0, "0.000"),
            (-0.0, "0.000"),
            (-0.0001, "-0.000"),
            (0.0625, "0.063"),
            (-0.0625, "-0.063"),
            (0.1875, "0.188"),
            (0.3125, "0.313"),
            (2.0005, "2.001"),
            (1.0005, "1.000"),
            (-1234.5678, "-1234.568"),
            (99999.9995, "100000.000"),
            (812.4375, "812.438"),
        ];
        for (x, said) in cases {
            assert_eq!(thousandths(x), said, "{x}");
        }
    }
}
