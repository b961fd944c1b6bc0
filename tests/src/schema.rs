//! A JSON Schema checker for the keywords that our own schema uses.
//!
//! Source: JSON Schema, draft 2020-12, Core §8 (references) and Validation §6. A keyword that is not known here is an
//! error, so that nothing in the schema goes unchecked; a full checker would bring forty crates.

use serde_json::Value;

/// Every breach of the schema in the value, each with its place ("/joins/3/class: …"); empty when it is met.
///
/// # Panics
/// The schema uses a keyword or a form that is not known here.
pub fn breaches(schema: &Value, value: &Value) -> Vec<String> {
    let mut found = Vec::new();
    check(schema, schema, value, "", &mut found);
    found
}

fn check(root: &Value, schema: &Value, value: &Value, place: &str, found: &mut Vec<String>) {
    let schema = schema.as_object().unwrap_or_else(|| panic!("a schema at {place} that is no object"));
    let mut breach = |what: String| found.push(format!("{place}: {what}"));
    for (keyword, rule) in schema {
        match keyword.as_str() {
            "$schema" | "$id" | "$defs" | "title" | "description" => {}
            "type" => {
                let allowed = rule.as_array().cloned().unwrap_or_else(|| vec![rule.clone()]);
                if !allowed.iter().any(|kind| is_of(kind.as_str().expect("a type's name"), value)) {
                    breach(format!("{value} is no {rule}"));
                }
            }
            "enum" => {
                if !rule.as_array().expect("an enum").contains(value) {
                    breach(format!("{value} is none of {rule}"));
                }
            }
            "minimum" => {
                if value.as_f64().is_some_and(|number| number < rule.as_f64().expect("a minimum")) {
                    breach(format!("{value} is below {rule}"));
                }
            }
            "maximum" => {
                if value.as_f64().is_some_and(|number| number > rule.as_f64().expect("a maximum")) {
                    breach(format!("{value} is above {rule}"));
                }
            }
            "maxLength" => {
                let limit = rule.as_u64().expect("a count") as usize;
                if value.as_str().is_some_and(|text| text.chars().count() > limit) {
                    breach(format!("it has more than {limit} characters"));
                }
            }
            "minItems" | "maxItems" => {
                let limit = rule.as_u64().expect("a count") as usize;
                let wrong = |count: usize| if keyword == "minItems" { count < limit } else { count > limit };
                if value.as_array().is_some_and(|items| wrong(items.len())) {
                    breach(format!("{keyword} is {limit}"));
                }
            }
            "pattern" => {
                let pattern = rule.as_str().expect("a pattern");
                // The one form in use: no character of a set.
                let set = pattern.strip_prefix("^[^").and_then(|rest| rest.strip_suffix("]*$"));
                let set = set.unwrap_or_else(|| panic!("a pattern of an unknown form: {pattern}")).replace("\\\\", "\\");
                if value.as_str().is_some_and(|text| text.chars().any(|c| set.contains(c))) {
                    breach(format!("{value} does not match {pattern}"));
                }
            }
            "required" => {
                for name in rule.as_array().expect("names") {
                    let name = name.as_str().expect("a name");
                    if value.as_object().is_some_and(|object| !object.contains_key(name)) {
                        breach(format!("{name} is missing"));
                    }
                }
            }
            "additionalProperties" if *rule == Value::Bool(false) => {
                let known = schema.get("properties").and_then(Value::as_object);
                for name in value.as_object().into_iter().flat_map(|object| object.keys()) {
                    if !known.is_some_and(|known| known.contains_key(name)) {
                        breach(format!("{name} is not foreseen"));
                    }
                }
            }
            // Checked below, where `found` is free again.
            "properties" | "additionalProperties" | "items" | "$ref" | "anyOf" => {}
            other => panic!("the schema uses {other}, which this checker does not know"),
        }
    }
    if let Some(rules) = schema.get("properties").and_then(Value::as_object) {
        for (name, rule) in rules {
            if let Some(part) = value.get(name) {
                check(root, rule, part, &format!("{place}/{name}"), found);
            }
        }
    }
    if let Some(rule) = schema.get("additionalProperties").filter(|rule| rule.is_object()) {
        let known = schema.get("properties").and_then(Value::as_object);
        for (name, part) in value.as_object().into_iter().flatten() {
            if !known.is_some_and(|known| known.contains_key(name)) {
                check(root, rule, part, &format!("{place}/{name}"), found);
            }
        }
    }
    if let Some(rule) = schema.get("items") {
        for (index, part) in value.as_array().into_iter().flatten().enumerate() {
            check(root, rule, part, &format!("{place}/{index}"), found);
        }
    }
    if let Some(reference) = schema.get("$ref") {
        let reference = reference.as_str().expect("a reference");
        let pointer = reference.strip_prefix('#').unwrap_or_else(|| panic!("a reference elsewhere: {reference}"));
        let rule = root.pointer(pointer).unwrap_or_else(|| panic!("nothing at {reference}"));
        check(root, rule, value, place, found);
    }
    if let Some(rules) = schema.get("anyOf").and_then(Value::as_array) {
        let tries: Vec<Vec<String>> = rules
            .iter()
            .map(|rule| {
                let mut found = Vec::new();
                check(root, rule, value, place, &mut found);
                found
            })
            .collect();
        if tries.iter().all(|found| !found.is_empty()) {
            found.push(format!("{place}: none of the forms allowed: {tries:?}"));
        }
    }
}

fn is_of(kind: &str, value: &Value) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        other => panic!("an unknown type {other}"),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn each_keyword_passes_and_fails() {
        let schema = json!({
            "type": "object", "additionalProperties": false, "required": ["a"],
            "properties": {
                "a": {"type": "integer", "minimum": 1},
                "b": {"type": "array", "items": {"$ref": "#/$defs/c"}, "minItems": 1, "maxItems": 2},
                "d": {"anyOf": [{"type": "null"}, {"enum": ["x", "y"]}]},
                "e": {"type": "string", "pattern": "^[^/\\\\]*$", "maxLength": 13},
                "f": {"type": ["number", "boolean"], "maximum": 9},
                "g": {"type": "object", "additionalProperties": {"type": "number"}},
            },
            "$defs": {"c": {"type": "string"}},
        });
        for good in [
            json!({"a": 1}),
            json!({"a": 7.0, "b": ["", "s"], "d": null, "e": "file.stp", "f": true, "g": {"h": 1.5}}),
            json!({"a": 2, "d": "y", "f": 0.5}),
        ] {
            assert_eq!(breaches(&schema, &good), Vec::<String>::new());
        }
        for (bad, place) in [
            (json!([]), ":"),
            (json!({}), ": a is missing"),
            (json!({"a": 0}), "/a:"),
            (json!({"a": 1.5}), "/a:"),
            (json!({"a": 1, "z": 1}), ": z is not foreseen"),
            (json!({"a": 1, "b": []}), "/b:"),
            (json!({"a": 1, "b": ["", "", ""]}), "/b:"),
            (json!({"a": 1, "b": ["", 3]}), "/b/1:"),
            (json!({"a": 1, "d": "z"}), "/d:"),
            (json!({"a": 1, "e": "folder/file"}), "/e:"),
            (json!({"a": 1, "e": "folder\\file"}), "/e:"),
            (json!({"a": 1, "e": "file of a part"}), "/e:"),
            (json!({"a": 1, "f": "1"}), "/f:"),
            (json!({"a": 1, "f": 9.5}), "/f:"),
            (json!({"a": 1, "g": {"h": "1"}}), "/g/h:"),
        ] {
            let found = breaches(&schema, &bad);
            assert!(found.len() == 1 && found[0].starts_with(place), "{bad}: {found:?}");
        }
    }
}
