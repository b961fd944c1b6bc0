//! A value as it is told in sentences and tables.

use crate::finding::Unit;

/// Square millimetres of a square metre, from which on areas are told in these: more digits cannot be read.
const SQUARE_METRE: f64 = 1e6;

/// A value with three or so digits and its unit, without zeros that say nothing.
pub fn quantity(x: f64, unit: Unit) -> String {
    let (x, symbol) = match unit {
        Unit::Share => (100.0 * x, "%"),
        Unit::SquareMillimetre if x.abs() >= SQUARE_METRE => (x / SQUARE_METRE, "m²"),
        _ => (x, unit.symbol()),
    };
    let number = match x.abs() {
        a if a >= 100.0 => format!("{x:.0}"),
        a if a >= 1.0 => format!("{x:.2}"),
        a if a >= 0.01 || a == 0.0 => format!("{x:.3}"),
        _ => format!("{x:.5}"),
    };
    let number = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
    match symbol {
        "" => number.into(),
        "deg" => format!("{number}°"),
        _ => format!("{number} {symbol}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_have_the_digits_that_count() {
        let said = |x, unit| quantity(x, unit);
        assert_eq!(said(0.05, Unit::Millimetre), "0.05 mm");
        assert_eq!(said(9.07, Unit::Degree), "9.07°");
        assert_eq!(said(8.0, Unit::Number), "8");
        assert_eq!(said(0.352, Unit::Share), "35.2 %");
        assert_eq!(said(1200.0, Unit::SquareMillimetre), "1200 mm²");
        assert_eq!(said(17_392_345.0, Unit::SquareMillimetre), "17.39 m²");
        assert_eq!(said(0.0, Unit::Millimetre), "0 mm");
        assert_eq!(said(0.000_04, Unit::Millimetre), "0.00004 mm");
    }
}
