//! What the kernel took on another machine: told where it is not here. Source: the table of figures that came with the oracle's scripts, its
//! sections 1, 4 and 5, kernel 7.8 native, one thread, seconds.

use super::evaluation;
use super::kernel::Import;

/// File, parse and transfer together, mesh, triangles; chord 0.1 mm, 0.1 rad.
const SHEETS: [(&str, f64, f64, f64); 3] = [
    ("grid-p5-n16.step", 0.211, 1.019, 85_601.0),
    ("grid-p5-n40.step", 1.407, 2.361, 193_050.0),
    ("grid-p5-n40-trim.step", 6.063, 12.868, 438_921.0),
];

/// Joins of the sheet of 40 by 40 patches, through the bindings.
const JOINS: f64 = 4.2;

/// Points a second of the tight loop there, degree 5, two side by side.
const TIGHT: f64 = 19.4e6;

/// ms here for a second there.
fn scale() -> f64 {
    1e3 * TIGHT / evaluation::tight_native(5)
}

/// What importing a sheet would take here; parse and transfer are told together, as parse.
pub fn import(name: &str) -> Option<Import> {
    // Our own sheet of as many patches stands for the oracle's.
    let name = name.replace("own-", "grid-");
    let (_, parse, mesh, triangles) = *SHEETS.iter().find(|(sheet, ..)| *sheet == name)?;
    let scale = scale();
    Some(Import { parse: parse * scale, transfer: 0.0, mesh: mesh * scale, triangles })
}

/// What the joins of the sheet of 40 by 40 patches would take here, ms.
pub fn joins() -> f64 {
    JOINS * scale()
}
