//! The global section: delimiters, origin, unit and scale. IGES 5.3, 2.2.4.3.

use super::values::{Delimiters, Value, plain, real, values};
use crate::model::LengthUnit;

/// What the global section says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Global {
    pub delimiters: Delimiters,
    /// Product or, where it names none, file.
    pub name: String,
    /// The program that made the model.
    pub system: String,
    /// The module that wrote the file.
    pub preprocessor: String,
    pub unit: LengthUnit,
    /// Model space over real space: the real part is the model divided by this.
    pub scale: f64,
    /// Smallest distance that counts, in units of the file; None when not stated.
    pub resolution: Option<f64>,
    /// Version of the standard.
    pub version: String,
    /// Oddities, for the report.
    pub remarks: Vec<String>,
}

/// Values of the section; the standard knows 26.
const MOST_VALUES: usize = 200;

/// Reads the section. Never fails: what is missing or damaged has its default, with a remark.
pub(super) fn read(text: &[u8]) -> Global {
    let mut remarks = Vec::new();
    let (delimiters, odd) = delimiters(text);
    if odd {
        remarks.push("the global section states delimiters that cannot be; comma and semicolon taken".into());
    }
    let found = match values(text, delimiters, MOST_VALUES) {
        Ok((found, _)) => found,
        Err(_) => {
            remarks.push("the global section is damaged: its defaults are taken, inch among them".into());
            Vec::new()
        }
    };
    // The delimiters themselves are the first two values.
    let value = |i: usize| found.get(i - 1).copied().unwrap_or(Value::Empty);
    let slice = |a: u32, b: u32| text.get(a as usize..b as usize).unwrap_or_default();
    let said = |i: usize| match value(i) {
        Value::Text(a, b) => plain(slice(a, b)),
        _ => String::new(),
    };
    let number = |i: usize| match value(i) {
        Value::Plain(a, b) => real(slice(a, b)),
        _ => None,
    };
    let (unit, remark) = unit(number(14), &said(15));
    remarks.extend(remark);
    let scale = number(13).unwrap_or(1.0);
    let scale = if scale > 0.0 { scale } else { 1.0 };
    if scale != 1.0 {
        remarks.push(format!("the model is drawn at a scale of {scale}; it is read at real size, divided by that"));
    }
    let (product, file) = (said(3), said(4));
    // Some state a whole path.
    let file = file.rsplit(['/', '\\']).next().unwrap_or_default().to_string();
    Global {
        delimiters,
        name: if product.is_empty() { file } else { product },
        system: said(5),
        preprocessor: said(6),
        unit,
        scale,
        resolution: number(19).filter(|r| *r > 0.0),
        version: version(number(23)),
        remarks,
    }
}

/// The delimiters, and whether what is stated is none.
fn delimiters(text: &[u8]) -> (Delimiters, bool) {
    let usual = Delimiters::default();
    let one = |text: &[u8]| (text.get(..2) == Some(b"1H")).then(|| text.get(2).copied()).flatten();
    // No digit, sign, point, letter of a number, blank or control character can be one.
    let sound = |&b: &u8| b > b' ' && b < 0x7f && !b.is_ascii_digit() && !matches!(b, b'+' | b'-' | b'.' | b'D' | b'E' | b'H');
    let text = text.trim_ascii_start();
    let stated = one(text);
    let value = stated.filter(sound).unwrap_or(usual.value);
    let rest = text.get(if stated.is_some() { 3 } else { 0 }..).unwrap_or_default().trim_ascii_start();
    let behind = rest.strip_prefix(&[value]).unwrap_or(rest).trim_ascii_start();
    let stated_record = one(behind);
    let record = stated_record.filter(sound).unwrap_or(usual.record);
    let odd = stated.is_some_and(|b| !sound(&b)) || stated_record.is_some_and(|b| !sound(&b)) || value == record;
    if value == record { (usual, odd) } else { (Delimiters { value, record }, odd) }
}

/// Unit flags of the standard: flag, name in the file, everyday name, mm.
const UNITS: [(i64, &str, &str, f64); 10] = [
    (1, "IN", "inch", 25.4),
    (2, "MM", "mm", 1.0),
    (4, "FT", "ft", 304.8),
    (5, "MI", "mile", 1_609_344.0),
    (6, "M", "m", 1e3),
    (7, "KM", "km", 1e6),
    (8, "MIL", "mil", 0.0254),
    (9, "UM", "µm", 1e-3),
    (10, "CM", "cm", 10.0),
    (11, "UIN", "µinch", 25.4e-6),
];

/// The unit a flag and a name mean, and what is odd about them.
fn unit(flag: Option<f64>, name: &str) -> (LengthUnit, Option<String>) {
    let upper = name.to_ascii_uppercase();
    let upper = if upper == "INCH" { "IN" } else { upper.as_str() };
    let named = UNITS.iter().find(|u| u.1 == upper);
    let flagged = flag.and_then(|f| UNITS.iter().find(|u| u.0 as f64 == f));
    let by_name_alone = flag == Some(3.0);
    let remark = match (flagged, named) {
        (Some(f), Some(n)) if f.0 != n.0 => Some(format!("the unit's flag says {}, its name {name}; the flag is followed", f.2)),
        (Some(_), _) | (None, Some(_)) => None,
        (None, None) if flag.is_none() && name.is_empty() => Some("no unit of length is stated; inch taken, the standard's default".into()),
        (None, None) => Some(format!("the unit of length \"{name}\" is not known; inch taken, the standard's default")),
    };
    let inch = (1, "IN", "inch", 25.4);
    let &(_, _, name, in_mm) = if by_name_alone { named } else { flagged.or(named) }.unwrap_or(&inch);
    (LengthUnit { name: name.into(), in_mm }, remark)
}

/// The standard's versions by their flag.
fn version(flag: Option<f64>) -> String {
    const VERSIONS: [&str; 11] = ["1.0", "1.0 (1981)", "2.0", "3.0", "3.0 (1987)", "4.0", "4.0 (1989)", "5.0", "5.1", "5.2", "5.3"];
    // Beyond the last the last holds, below the first "2.0", as the standard says.
    let flag = flag.unwrap_or(3.0);
    let at = if flag < 1.0 { 2 } else { (flag.min(11.0) as usize) - 1 };
    VERSIONS.get(at).map_or_else(|| "IGES".into(), |v| format!("IGES {v}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn delimiters_are_those_stated_or_the_usual_ones() {
        for (text, value, record) in [
            ("1H,,1H;,", b',', b';'),
            (",,5Hhello", b',', b';'),
            ("1H,,,", b',', b';'),
            ("1H/,1H$,", b'/', b';'),
            ("1H//1H$/4Hname$", b'/', b'$'),
            ("  1H| |1H!|", b'|', b'!'),
            ("1H5,1HE,", b',', b';'),
            ("", b',', b';'),
        ] {
            assert_eq!(delimiters(text.as_bytes()).0, Delimiters { value, record }, "{text}");
        }
        assert!(delimiters(b"1H5,").1 && !delimiters(b",,").1);
    }

    #[test]
    fn reads_every_field_it_needs_with_odd_delimiters() {
        let text =
            "1H//1H$/7Hproduct/8Hfile.igs/6Hsystem/4Hprep/32/38/6/308/15/3Hrec/0.5/6/1HM/1/0.1/15H20200101.120000/1.D-3/9./2Ha///11$";
        let global = read(text.as_bytes());
        assert_eq!((global.name.as_str(), global.system.as_str(), global.preprocessor.as_str()), ("product", "system", "prep"));
        assert_eq!((global.unit.name.as_str(), global.unit.in_mm, global.scale), ("m", 1000.0, 0.5));
        assert_eq!((global.resolution, global.version.as_str()), (Some(1e-3), "IGES 5.3"));
        assert_eq!(global.remarks.len(), 1, "{:?}", global.remarks);
    }

    #[test]
    fn units_by_flag_by_name_and_by_default() {
        for (flag, name, want, odd) in [
            (Some(2.0), "MM", 1.0, false),
            (Some(1.0), "INCH", 25.4, false),
            (Some(3.0), "CM", 10.0, false),
            (Some(10.0), "", 10.0, false),
            (None, "", 25.4, true),
            (None, "MM", 1.0, false),
            (Some(2.0), "IN", 1.0, true),
            (Some(3.0), "FURLONG", 25.4, true),
            (Some(99.0), "KM", 1e6, false),
        ] {
            let (unit, remark) = unit(flag, name);
            assert_eq!((unit.in_mm, remark.is_some()), (want, odd), "{flag:?} {name}");
        }
    }
}
