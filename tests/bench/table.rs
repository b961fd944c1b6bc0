//! The table.

/// A line of it: a ratio with both its sides.
#[derive(Debug, Clone)]
pub struct Row {
    /// What is measured, and where.
    pub what: String,
    /// Ours; not a number where it was not measured.
    pub ours: f64,
    /// What it is held to; not a number where it is only told.
    pub theirs: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Largest ratio that reaches what is wanted; None of what is only told.
    pub bar: Option<f64>,
    /// How it was measured, and what else is to be said.
    pub note: String,
}

impl Row {
    /// Times in ms.
    pub fn ms(what: impl Into<String>, ours: f64, theirs: f64, bar: f64) -> Self {
        Self { what: what.into(), ours, theirs, unit: "ms", bar: Some(bar), note: String::new() }
    }

    /// A value without another side.
    pub fn told(what: impl Into<String>, ours: f64, unit: &'static str) -> Self {
        Self { what: what.into(), ours, theirs: f64::NAN, unit, bar: None, note: String::new() }
    }

    /// What could not be measured, and why.
    pub fn missing(what: impl Into<String>, bar: f64, why: impl Into<String>) -> Self {
        Self { note: why.into(), ..Self::ms(what, f64::NAN, f64::NAN, bar) }
    }

    /// In another unit.
    pub fn unit(self, unit: &'static str) -> Self {
        Self { unit, ..self }
    }

    /// With a note.
    pub fn note(self, note: impl Into<String>) -> Self {
        Self { note: note.into(), ..self }
    }

    /// Ours over what it is held to.
    pub fn ratio(&self) -> f64 {
        self.ours / self.theirs
    }
}

/// Prints the heading.
pub fn heading() {
    println!("{:<72} {:>10} {:>10} {:<4} {:>7} {:>6}", "what", "ours", "theirs", "", "ratio", "bar");
}

/// Prints rows of a bench.
pub fn print(rows: &[Row]) {
    for row in rows {
        let number = |x: f64, digits: usize| if x.is_nan() { "–".to_owned() } else { format!("{x:.digits$}") };
        let side = |x: f64| number(x, if x.abs() < 10.0 { 3 } else { 1 });
        let ratio = row.ratio();
        let bar = row.bar.map_or(String::new(), |bar| {
            let reached = if ratio.is_nan() {
                "not measured"
            } else if ratio <= bar {
                "reached"
            } else {
                "NOT REACHED"
            };
            format!("{bar:>6.2}  {reached}")
        });
        println!("{:<72} {:>10} {:>10} {:<4} {:>7} {bar}", row.what, side(row.ours), side(row.theirs), row.unit, number(ratio, 3));
        if !row.note.is_empty() {
            println!("    {}", row.note);
        }
    }
}
