//! Entities to text.

use super::{WriteRemark, Written};
use crate::exchange::part21::encode;
use core::fmt::Write;

/// The number of an entity written.
pub(super) type Id = u64;

/// A Part 21 file growing.
#[derive(Debug)]
pub(super) struct Emit {
    text: String,
    last: Id,
    remarks: Vec<WriteRemark>,
    /// mm in one unit of the file.
    in_mm: f64,
}

impl Emit {
    pub(super) fn new(in_mm: f64) -> Self {
        Self { text: String::new(), last: 0, remarks: Vec::new(), in_mm }
    }

    pub(super) fn header(&mut self, name: &str, options: &super::StepOptions) {
        let (file, time) = (encode(&options.file_name), encode(&options.time_stamp));
        self.text.push_str("ISO-10303-21;\nHEADER;\n");
        let _ = writeln!(self.text, "FILE_DESCRIPTION(({}),'2;1');", encode(name));
        let _ = writeln!(self.text, "FILE_NAME({file},{time},(''),(''),'','Rakelight','');");
        self.text.push_str("FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 3 1 4 }'));\nENDSEC;\nDATA;\n");
    }

    /// Writes one entity: its type and values, without number and semicolon.
    pub(super) fn put(&mut self, body: &str) -> Id {
        self.last += 1;
        // Writing to a String cannot fail.
        let _ = writeln!(self.text, "#{}={body};", self.last);
        self.last
    }

    /// Notes that something is not written as it is; `size` in the unit of the file.
    pub(super) fn remark(&mut self, entity: Option<Id>, text: String, size: Option<f64>) {
        self.remarks.push(WriteRemark { entity, text, size: size.map(|s| s * self.in_mm) });
    }

    pub(super) fn finish(mut self) -> Written {
        self.text.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
        Written { text: self.text, remarks: self.remarks }
    }
}

/// The shortest text that reads back as the same number. NaN and infinities, which no model holds, become 0.
pub(super) fn real(x: f64) -> String {
    if !x.is_finite() {
        return "0.".into();
    }
    let shortest = format!("{x:?}");
    match shortest.split_once('e') {
        Some((digits, exponent)) => {
            let point = if digits.contains('.') { "" } else { "." };
            format!("{digits}{point}E{exponent}")
        }
        None => shortest.strip_suffix('0').filter(|s| s.ends_with('.')).map_or(shortest.clone(), Into::into),
    }
}

/// A list of references.
pub(super) fn ids(list: &[Id]) -> String {
    listed(list.iter().map(|id| format!("#{id}")))
}

/// A list of numbers.
pub(super) fn reals(list: &[f64]) -> String {
    listed(list.iter().map(|&x| real(x)))
}

/// A list of anything.
pub(super) fn listed(items: impl Iterator<Item = String>) -> String {
    let all: Vec<String> = items.collect();
    format!("({})", all.join(","))
}

/// .T. or .F.
pub(super) fn flag(x: bool) -> &'static str {
    if x { ".T." } else { ".F." }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_have_their_point_and_no_more_digits_than_needed() {
        for (x, want) in [(0.0, "0."), (-1.0, "-1."), (10.0, "10."), (0.1, "0.1"), (1e-7, "1.E-7"), (-2.5e300, "-2.5E300"), (1e16, "1.E16")]
        {
            assert_eq!(real(x), want);
        }
    }

    proptest! {
        #[test]
        fn numbers_read_back_as_themselves(x in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL | proptest::num::f64::ZERO) {
            let text = real(x);
            prop_assert!(text.contains('.'));
            prop_assert_eq!(text.parse::<f64>().unwrap(), x);
        }
    }
}
