//! Groups (type 402). IGES 5.3: forms 1, 7, 14 and 15 hold members; other forms say something else.

use super::*;

/// A square of side 2 in z = 0, a rectangle of 2 × 3 beside it, and a line.
fn members() -> Vec<E> {
    let patch = |x: &str, y: &str| {
        part(128, 0, &format!("1,1,1,1,0,0,1,0,0,0.,0.,1.,1.,0.,0.,1.,1.,1.,1.,1.,1.,0.,0.,0.,{x},0.,0.,0.,{y},0.,{x},{y},0.,0.,1.,0.,1."))
    };
    vec![patch("2.", "2."), patch("2.", "3."), part(110, 0, "0.,0.,0.,1.,0.,0.")]
}

#[test]
fn members_are_read_once_in_every_form_that_holds_them() {
    for form in [1, 7, 14, 15] {
        let mut entities = members();
        // Listed twice, and in a group within the group.
        entities.push(part(402, form, "2,3,5"));
        entities.push(e(402, form, "3,1,7,1"));
        let import = open(&entities);
        assert_eq!((import.model.faces.len(), import.model.curves.len()), (2, 1), "form {form}");
        assert!((area(&import.model) - 10.0).abs() < 1e-9, "4 + 6, not {}", area(&import.model));
        assert!(import.report.unread.is_empty() && import.report.remarks.is_empty(), "{:?}", import.report);
    }
}

#[test]
fn a_form_without_members_brings_none_and_loses_none() {
    // Form 9 says what an entity is made from. Nothing else shows the two, which are read with a remark, as strays are.
    let mut entities = members();
    entities.push(e(402, 9, "1,1,1,3"));
    let import = open(&entities);
    assert_eq!(import.model.faces.len(), 2);
    assert!(import.report.remarks.iter().any(|r| r.text.contains("read all the same")), "{:?}", import.report);
}

#[test]
fn a_blanked_group_hides_what_only_it_shows() {
    let mut entities = members();
    entities.push(E { status: "01000000", ..e(402, 7, "2,1,5") });
    entities.push(e(402, 7, "1,3"));
    let import = open(&entities);
    assert_eq!((import.model.faces.len(), import.report.hidden_faces, import.model.curves.len()), (1, 1, 0));
    assert!((area(&import.model) - 6.0).abs() < 1e-9);
}

#[test]
fn a_group_that_holds_itself_ends() {
    let mut entities = members();
    entities.push(e(402, 7, "3,1,7,3"));
    let import = open(&entities);
    assert_eq!((import.model.faces.len(), import.report.unread.len()), (2, 0), "{:?}", import.report);
}
