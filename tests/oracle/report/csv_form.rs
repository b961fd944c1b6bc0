//! CSV, read by a reader of RFC 4180.

use rakelight_core::review::report::Form;

use super::case;

fn read(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    assert!(text.ends_with("\r\n"));
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader.headers().expect("a first row").iter().map(str::to_owned).collect();
    (heads, reader.records().map(|r| r.expect("as many cells as headings").iter().map(str::to_owned).collect()).collect())
}

/// What a cell of a text is to hold.
fn kept(text: &str) -> String {
    let formula = text.trim_start_matches(' ').starts_with(['=', '+', '-', '@', '\t']);
    if formula { format!("'{text}") } else { text.into() }
}

#[test]
fn findings_and_joins_read_back_as_they_went_in() {
    let case = case(true, false);
    let (heads, rows) = read(&case.write(Form::Findings));
    let at = |name: &str| heads.iter().position(|h| h == name).unwrap_or_else(|| panic!("no {name}"));
    assert_eq!(rows.len(), case.check.findings.len() + case.said.pins.len());
    let mut told: Vec<String> = Vec::new();
    for row in &rows {
        if row[at("kind")] == "pin" {
            let pin = &case.said.pins[row[at("number")].parse::<usize>().expect("a number") - 1];
            assert_eq!(row[at("note")], kept(&pin.text));
            assert_eq!(row[at("title")], if pin.title.is_empty() { format!("Pin {}", pin.key) } else { kept(&pin.title) });
            assert_eq!([&row[at("x")], &row[at("y")]], ["1.5", "0"]);
        } else {
            told.push(row[at("remedy")].clone());
            let names: Vec<&str> = row[at("faces")]
                .split(' ')
                .filter(|id| !id.is_empty())
                .map(|id| case.check.faces[id.parse::<usize>().expect("an id")].name.as_str())
                .collect();
            assert_eq!(row[at("names")], kept(&names.join(", ")));
            assert!(row[at("value")].parse::<f64>().is_ok());
        }
        for cell in row {
            let number = cell.parse::<f64>().is_ok();
            assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t']), "{cell}");
        }
    }
    let mut remedies: Vec<String> = case.check.findings.iter().map(|f| kept(&f.remedy)).collect();
    told.sort();
    remedies.sort();
    assert_eq!(told, remedies);
    let (heads, rows) = read(&case.write(Form::Joins));
    assert_eq!(rows.len(), case.check.joins.len());
    for (row, join) in rows.iter().zip(&case.check.joins) {
        let at = |name: &str| &row[heads.iter().position(|h| h == name).expect("a column")];
        assert_eq!((at("join"), at("class"), at("length")), (&join.id.to_string(), &join.class.to_owned(), &join.length.0.to_string()));
        assert_eq!(at("gap").parse::<f64>().ok(), join.g0.as_ref().map(|g| g.max.0));
    }
}
