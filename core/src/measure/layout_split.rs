//! `layout.split`: patches that one patch could replace.

use super::merges::merges;
use super::needed::HOLD;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::{Join, Role};

/// Joins of two primary patches in place of which one of no higher degree was fitted and lies within [`HOLD`] of both: the value counts
/// patches too many, one for each. Details and transitions follow the borders of what they lie between, and are cut where those are.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::LayoutSplit) {
        return Vec::new();
    }
    let one = |m: &super::merges::Merge| {
        let primary = [m.faces.0, m.faces.1].iter().all(|f| subject.graph.roles.get(f.index()) == Some(&Role::Primary));
        let join: &Join = subject.graph.joins.get(m.join).filter(|_| m.holds && primary)?;
        let grade = judge.grade(MeasureId::LayoutSplit, &join.faces, 1.0)?;
        let spans = |n: usize| if n == 1 { "1 span".to_owned() } else { format!("{n} spans") };
        let remedy = format!(
            "Make one patch of the two: degree {} by {}, {} by {}, lies within {} mm of both.",
            m.degree.0,
            m.degree.1,
            spans(m.spans.0),
            spans(m.spans.1),
            if m.off < 1e-6 { "0.000001".to_owned() } else { format!("{:.1$}", m.off, digits(m.off)) }
        );
        let place = Place { along: Some(0.5 * join.length), ..Place::at(join.mid) };
        Some(Finding::new(MeasureId::LayoutSplit, 1.0, grade, place).faces(&join.faces).join(m.join).extent(join.length).remedy(remedy))
    };
    merges(subject).iter().filter_map(one).collect()
}

/// Decimals that show two figures of a length up to [`HOLD`].
fn digits(off: f64) -> usize {
    [1e-2, 1e-3, 1e-4, 1e-5].iter().position(|&limit| off >= limit).map_or(7, |i| i + 3)
}

const _: () = assert!(HOLD <= 0.01, "digits() counts from there");
