//! A value as it is told in sentences and tables.

use crate::finding::Unit;

/// A value with three or so digits and its unit.
pub fn quantity(x: f64, unit: Unit) -> String {
    let (x, symbol) = if unit == Unit::Share { (100.0 * x, "%") } else { (x, unit.symbol()) };
    let number = match x.abs() {
        a if a >= 100.0 => format!("{x:.0}"),
        a if a >= 1.0 => format!("{x:.2}"),
        a if a >= 0.01 || a == 0.0 => format!("{x:.3}"),
        _ => format!("{x:.5}"),
    };
    // The sign of a degree stands at its figure.
    if unit == Unit::Degree {
        return format!("{number}°");
    }
    if symbol.is_empty() { number } else { format!("{number} {symbol}") }
}
