//! The table.

/// A line of it.
#[derive(Debug)]
pub struct Row {
    /// What is timed, and where.
    pub what: String,
    /// ms.
    pub took: f64,
    /// ms it is to take at most; None of what is only told.
    pub bar: Option<f64>,
}

/// Prints rows; `unit`: ms of the calibration loop.
pub fn print(unit: f64, rows: &[Row]) {
    println!("calibration: {unit:.1} ms for 10^6 points of a patch of degree 6 by 6\n");
    println!("{:<60} {:>9} {:>8} {:>7}", "", "ms", "ratio", "bar");
    for Row { what, took, bar } in rows {
        let bar = bar.map_or(String::new(), |bar| format!("{bar:>7.0}  {}", if *took <= bar { "reached" } else { "not reached" }));
        println!("{what:<60} {took:>9.3} {:>8.5} {bar}", took / unit);
    }
}
