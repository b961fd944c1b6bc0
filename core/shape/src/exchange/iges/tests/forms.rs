//! The forms one model may come in: line ends, delimiters, units, compressed; and what is refused.

use super::*;
use crate::exchange::ReadErrorKind;

#[test]
fn the_same_model_from_every_kind_of_line_end_delimiter_and_unit() {
    let plain = fixed(GLOBAL, &plate(), (',', ';'));
    let want = 16.0 - real::PI;
    let odd: Vec<E> = plate().into_iter().map(|e| E { data: e.data.replace(',', "/"), ..e }).collect();
    let odd_global = GLOBAL.replacen("1H,,1H;,", "1H//1H!/", 1).replacen(';', "!", 1);
    let odd_global = format!("1H//1H!/{}", odd_global.strip_prefix("1H//1H!/").unwrap().replace(',', "/"));
    let inch = GLOBAL.replace(",2,2HMM", ",1,2HIN");
    let scaled = GLOBAL.replace(",1.,2,2HMM", ",0.5,2,2HMM");
    let trimmed = |lines: &[String]| lines.iter().map(|l| l.trim_end().to_string()).collect::<Vec<_>>();
    let longer = |lines: &[String]| lines.iter().map(|l| format!("{l}   ")).collect::<Vec<_>>();
    for (text, factor) in [
        (plain.join("\n"), 1.0),
        (plain.join("\r\n"), 1.0),
        (plain.join("\r"), 1.0),
        (plain.concat(), 1.0),
        (trimmed(&plain).join("\n"), 1.0),
        (longer(&plain).join("\n"), 1.0),
        (fixed(&odd_global, &odd, ('/', '!')).join("\n"), 1.0),
        (fixed(&inch, &plate(), (',', ';')).join("\n"), 25.4 * 25.4),
        (fixed(&scaled, &plate(), (',', ';')).join("\n"), 4.0),
    ] {
        let import = read(text.as_bytes(), "", &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{e}\n{text}"));
        let got = area(&import.model);
        assert!((got - want * factor).abs() < 1e-6 * want * factor, "{got} {factor}\n{text}");
    }
}

#[test]
fn the_compressed_form_holds_the_same_model() {
    let mut lines = vec![record("", 'C', 1), record("", 'S', 1)];
    lines.extend(GLOBAL.as_bytes().chunks(72).enumerate().map(|(i, c)| record(std::str::from_utf8(c).unwrap(), 'G', i + 1)));
    for (i, e) in plate().iter().enumerate() {
        lines.push(format!("D{}@1_{}@5_{}@9_{}@13_{}@15_{}", 2 * i + 1, e.kind, e.level, e.status, e.colour, e.form));
        lines.push(format!("{},{};", e.kind, e.data));
    }
    lines.push(record("S0000001", 'T', 1));
    let import = read(lines.join("\n").as_bytes(), "", &Limits::default(), &mut Silent).unwrap();
    assert!((area(&import.model) - (16.0 - real::PI)).abs() < 1e-6);
}

#[test]
fn the_binary_form_and_damage_are_refused_with_their_place() {
    let error = read(record("", 'B', 1).as_bytes(), "", &Limits::default(), &mut Silent).unwrap_err();
    assert_eq!(error.kind, ReadErrorKind::Format);
    assert!(error.message.contains("binary form"), "{error}");
    let text = fixed(GLOBAL, &[e(128, 0, "900000000,900000000,3,3,0,0,0,0,0")], (',', ';')).join("\n");
    let error = read(text.as_bytes(), "", &Limits::default(), &mut Silent).unwrap_err();
    assert!(error.entity == Some(1) && error.line.is_some(), "{error}");
}
