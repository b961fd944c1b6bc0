//! `layout.sliver`: faces too narrow to be built, held or polished.

use super::{Judge, Subject, middle};
use crate::finding::{Finding, MeasureId};
use crate::joins::Role;
use crate::model::FaceId;

/// Faces narrower than the limit; transitions (fillets) may be. Copies of faces are left to `layout.duplicate`.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let one = |(id, _): (FaceId, &crate::model::Face)| {
        if subject.graph.roles.get(id.index()) == Some(&Role::Transition) || subject.graph.is_copy(id) {
            return None;
        }
        let (width, length) = strip_size(*subject.areas.get(id.index())?, subject.sheets.perimeter(id))?;
        let grade = judge.grade(MeasureId::LayoutSliver, &[id], width)?;
        let remedy = "Merge the face into a neighbour, or widen it so that it can be held as a patch of its own.";
        Some(Finding::new(MeasureId::LayoutSliver, width, grade, middle(subject, id)?).extent(length).remedy(remedy))
    };
    subject.sheets.model.faces().filter_map(one).collect()
}

/// Width and length, mm, of the rectangle with the same area and perimeter, the mean width of a strip; of the square
/// of the same area where there is no such rectangle (a disc). None for a face without area.
pub fn strip_size(area: f64, perimeter: f64) -> Option<(f64, f64)> {
    if !(area > 0.0 && perimeter > 0.0 && area.is_finite() && perimeter.is_finite()) {
        return None;
    }
    let square = perimeter * perimeter - 16.0 * area;
    if square <= 0.0 {
        return Some((area.sqrt(), area.sqrt()));
    }
    // The smaller root of w² − (P/2) w + A, in the form that keeps its digits.
    let length = (perimeter + square.sqrt()) / 4.0;
    Some((area / length, length))
}

#[cfg(test)]
mod tests {
    use super::strip_size;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_rectangle_has_its_own_width(width in 1e-3f64..10.0, more in 0.0f64..1e3) {
            let length = width + more;
            let (w, l) = strip_size(width * length, 2.0 * (width + length)).unwrap();
            prop_assert!((w - width).abs() < 1e-6 * length && (l - length).abs() < 1e-6 * length, "{w} × {l}");
        }
    }

    #[test]
    fn a_disc_is_no_sliver_and_nothing_has_no_width() {
        let r = 3.0f64;
        let (w, _) = strip_size(core::f64::consts::PI * r * r, core::f64::consts::TAU * r).unwrap();
        assert!(w > 1.7 * r);
        assert_eq!(strip_size(0.0, 5.0), None);
        assert_eq!(strip_size(f64::NAN, 5.0), None);
    }
}
