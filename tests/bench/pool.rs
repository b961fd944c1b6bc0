//! Two workers against one.

use super::table::Row;

/// Share of one worker's time.
const BAR: f64 = 0.6;

/// Import, triangles and joins by so many workers, ms; None while the page has one only.
fn by_workers(_count: usize) -> Option<f64> {
    None
}

/// The row of the pool.
pub fn rows() -> Vec<Row> {
    let what = "1,600 faces: import, triangles, joins, two workers / one";
    vec![match (by_workers(2), by_workers(1)) {
        (Some(two), Some(one)) => Row::ms(what, two, one, BAR),
        _ => Row::missing(what, BAR, "the page has no pool of workers"),
    }]
}
