//! Comma-separated values, as RFC 4180 has them.

use super::told::Told;
use crate::finding::MeasureId;
use crate::review::said::Rank;

/// Findings and pins, one a row.
pub fn findings(told: &Told<'_>) -> String {
    let mut t = Rows::new(&[
        "number", "kind", "severity", "measured", "state", "pass", "measure", "title", "value", "unit", "limit", "zone", "faces", "names",
        "join", "x", "y", "z", "remedy", "reason", "note", "since",
    ]);
    for l in &told.entries {
        let e = &l.entry;
        let f = e.finding.map(|x| x.1);
        let fate = told
            .report
            .check
            .revision
            .as_ref()
            .and_then(|r| r.findings.iter().find(|c| e.finding.is_some() && c.now == e.finding.map(|x| x.0)));
        let ids: Vec<String> = e.faces().iter().map(usize::to_string).collect();
        let names: Vec<String> = e.faces().iter().map(|&id| told.face(id)).collect();
        let [x, y, z] = e.place();
        let [reason, note] = l.words();
        t.number(l.number as f64);
        t.text(if f.is_some() { "finding" } else { "pin" });
        t.text(e.rank.text());
        t.text(f.map_or("", |f| f.severity));
        t.text(if e.rank == Rank::Good { "" } else { e.state.text() });
        t.text(e.pass.map_or("", |p| p.text()));
        t.text(f.map_or("", |f| f.measure));
        t.text(&e.title);
        t.maybe(f.map(|f| f.value.0));
        t.text(f.and_then(|f| MeasureId::from_text(f.measure)).map_or("", |m| m.unit().text()));
        t.maybe(f.map(|f| f.limit.0));
        t.text(l.zone.text());
        t.text(&ids.join(" "));
        t.text(&names.join(", "));
        t.maybe(f.and_then(|f| f.join).map(|j| j as f64));
        [x, y, z].into_iter().for_each(|c| t.number(c));
        t.text(f.map_or("", |f| &f.remedy));
        t.text(reason);
        t.text(note);
        t.text(fate.map_or("", |c| c.fate));
        t.end();
    }
    t.0
}

/// Joins, one a row. Lengths mm, angles degrees, jumps of curvature and of its slope as shares.
pub fn joins(told: &Told<'_>) -> String {
    let mut t = Rows::new(&[
        "join",
        "class",
        "required",
        "length",
        "faces",
        "names",
        "zone",
        "centre",
        "gap",
        "angle",
        "curvature",
        "slope",
        "x",
        "y",
        "z",
    ]);
    for j in &told.report.check.joins {
        let ids: Vec<String> = j.faces.iter().map(usize::to_string).collect();
        let names: Vec<String> = j.faces.iter().map(|&id| told.face(id)).collect();
        t.number(j.id as f64);
        t.text(j.class);
        t.text(j.required);
        t.number(j.length.0);
        t.text(&ids.join(" "));
        t.text(&names.join(", "));
        t.text((told.report.zone)(&j.faces).text());
        t.text(if j.centre { "yes" } else { "no" });
        t.maybe(j.g0.as_ref().map(|m| m.max.0));
        t.maybe(j.g1.as_ref().map(|m| m.max.0));
        t.maybe(j.g2.as_ref().and_then(|m| m.max_rel).map(|x| x.0));
        t.maybe(j.g3.as_ref().and_then(|m| m.max_rel).map(|x| x.0));
        j.mid.iter().for_each(|c| t.number(c.0));
        t.end();
    }
    t.0
}

/// Rows on their way; every cell goes through one of the three.
struct Rows(String);

impl Rows {
    fn new(heads: &[&str]) -> Self {
        let mut t = Self(String::new());
        heads.iter().for_each(|h| t.text(h));
        t.end();
        t
    }

    fn number(&mut self, x: f64) {
        self.0.push_str(&format!("{},", x + 0.0));
    }

    fn maybe(&mut self, x: Option<f64>) {
        match x {
            Some(x) => self.number(x),
            None => self.0.push(','),
        }
    }

    fn text(&mut self, text: &str) {
        self.0.push_str(&cell(text));
        self.0.push(',');
    }

    fn end(&mut self) {
        self.0.pop();
        self.0.push_str("\r\n");
    }
}

/// A cell that no program takes for a formula (OWASP, CSV Injection) and that ends where it should, with either separator.
fn cell(text: &str) -> String {
    let formula = text.trim_start_matches([' ', '\u{a0}']).starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    let number = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E')) && text.parse::<f64>().is_ok();
    let safe = if formula && !number { format!("'{text}") } else { text.into() };
    if safe.contains(['"', ',', ';', '\t', '\r', '\n']) { format!("\"{}\"", safe.replace('"', "\"\"")) } else { safe }
}

#[cfg(test)]
mod tests {
    use super::cell;

    #[test]
    fn cells_are_quoted_and_no_formulas() {
        for (text, written) in [
            ("hood", "hood"),
            ("", ""),
            ("a,b", "\"a,b\""),
            ("say \"a\"", "\"say \"\"a\"\"\""),
            ("a\r\nb", "\"a\r\nb\""),
            ("a;=1", "\"a;=1\""),
            ("=1+1", "'=1+1"),
            ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
            ("@sum(a1)", "'@sum(a1)"),
            ("\tx", "\"'\tx\""),
            (" =1", "' =1"),
            ("-5", "-5"),
            ("+1.5e-3", "+1.5e-3"),
            ("-inf", "'-inf"),
            ("-1-1", "'-1-1"),
            ("＝1", "'＝1"),
        ] {
            assert_eq!(cell(text), written, "{text:?}");
        }
    }
}
