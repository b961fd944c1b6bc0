//! Transformation matrices. IGES 5.3, 4.21 (type 124).

use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::Fault;
use crate::math::{Similarity, Vec3, real};

impl Reader<'_, '_> {
    /// The motion that an entity's directory entry asks for, matrices of matrices included. File units.
    pub(super) fn own_motion(&mut self, record: &Record) -> Result<Similarity, Fault> {
        let number = record.entry.transformation.unsigned_abs();
        match u32::try_from(number) {
            Ok(0) | Err(_) => Ok(Similarity::IDENTITY),
            Ok(number) => self.motion(number),
        }
    }

    /// Matrix `number`; its own matrix, if it has one, is applied after it.
    fn motion(&mut self, number: u32) -> Result<Similarity, Fault> {
        self.within(number, |reader, record| {
            if record.kind() != 124 {
                return Err(record.geometry("a transformation matrix was expected"));
            }
            let own = similarity(record)?;
            Ok(reader.own_motion(record)?.after(&own))
        })
    }
}

/// How far columns may be from square to each other and from equal length. Larger: true distortions pass for rounding;
/// smaller: matrices written with six digits are refused.
const SLACK: f64 = 1e-4;

/// Largest difference from 1 at which a scale is rounding of the file.
const ROUNDING: f64 = 1e-5;

/// The matrix as turn, reflection, scale and shift. The standard allows no scale, but writers use it.
fn similarity(record: &Record) -> Result<Similarity, Fault> {
    let m = record.reals(0, 12)?;
    let at = |row: usize, column: usize| m.get(4 * row + column).copied().unwrap_or(0.0);
    let column = |c: usize| Vec3::new(at(0, c), at(1, c), at(2, c));
    let [x, y, z, shift] = [0, 1, 2, 3].map(column);
    let volume = x.cross(y).dot(z);
    let scale = real::cbrt(volume.abs());
    let equal = [x, y, z].iter().all(|c| (c.length() - scale).abs() <= SLACK * scale);
    let square = [(x, y), (y, z), (z, x)].iter().all(|(a, b)| a.dot(*b).abs() <= SLACK * scale * scale);
    if !(scale.is_normal() && scale.is_finite() && equal && square) {
        return Err(record.geometry("its matrix distorts: only turns, reflections and one scale keep shapes"));
    }
    // Made exactly square, so that circles stay circles.
    let x = x / x.length();
    let y = (y - x * x.dot(y)).normalize();
    let z = x.cross(y) * volume.signum();
    let scale = if (scale - 1.0).abs() <= ROUNDING { 1.0 } else { scale };
    Ok(Similarity { axes: [x, y, z], scale, shift })
}
