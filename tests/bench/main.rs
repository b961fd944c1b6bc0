//! What things cost: `bash tests/run bench`. Each bench is a file that gives rows of the table; none of them fails.

mod calibration;
mod drag;
mod drag_page;
mod grid;
mod sample;
mod table;

fn main() {
    let unit = calibration::batch();
    let mut rows = Vec::new();
    rows.extend(drag::rows());
    rows.extend(drag_page::rows());
    table::print(unit, &rows);
}
