//! What things cost: `bash tests/run bench [NAME…]`. Each bench is a file that gives rows of the table; none of them fails.

mod calibration;
mod download;
mod drag;
mod drag_page;
mod evaluation;
mod files;
mod grid;
mod growth;
mod imports;
mod joins;
mod kernel;
mod lamps;
mod models;
mod native;
mod page;
mod pool;
mod recorded;
mod sample;
mod sheet;
mod table;
mod worker;

use std::panic::catch_unwind;
use table::Row;

/// What gives rows.
type Rows = fn() -> Vec<Row>;

/// Name and rows of each bench, in the table's order.
const BENCHES: [(&str, Rows); 16] = [
    ("evaluation", evaluation::rows),
    ("wasm", imports::against_native),
    ("read", imports::reading),
    ("import", imports::against_kernel),
    ("pool", pool::rows),
    ("models", models::rows),
    ("joins", joins::rows),
    ("growth", growth::rows),
    ("large", page::large),
    ("again", page::again),
    ("download", download::rows),
    ("stripes", page::first_stripes),
    ("lamps", lamps::rows),
    ("drag", drag::rows),
    ("drag-page", drag_page::rows),
    ("calibration", calibration::rows),
];

fn main() {
    if growth::is_child() {
        return;
    }
    // Cargo's own arguments begin with a dash.
    let wanted: Vec<String> = std::env::args().skip(1).filter(|name| !name.starts_with('-')).collect();
    table::heading();
    for (name, rows) in BENCHES {
        if wanted.is_empty() || wanted.iter().any(|part| name.contains(part.as_str())) {
            // What cannot be measured here, where there is no browser for instance, leaves the others alone.
            match catch_unwind(rows) {
                Ok(rows) => table::print(&rows),
                Err(_) => println!("{name}: not measured, see the message above"),
            }
        }
    }
}
