//! Edits of JSON.

use super::at::{At, ROWS, Read, SPANS};
use crate::nurbs::MAX_DEGREE;
use crate::trial::{Conform, Crown, Drag, EdgeRefit, Edit, Extend, Merge, Profile, Refillet, Refit, Resweep, RidgeSign, Sections};

/// Least angle of a ridge, degrees.
const ANGLES: (f64, f64) = (1e-6, 79.0);

pub(super) fn edit(at: &At<'_>) -> Read<Edit> {
    let kind = at.field("edit")?;
    // In every edit, so that a search that matters to one is not called something else in the next.
    let field = |name: &str| at.field(name);
    let face = || field("face")?.face();
    let side = || field("side")?.side();
    let search = || field("search")?.search();
    let tolerance = || field("tolerance")?.tolerance();
    Ok(match kind.word() {
        Some("drag") => Edit::Drag(Drag {
            face: face()?,
            point: field("point")?.pair(0, ROWS)?,
            by: field("by")?.vector()?,
            reach: field("reach")?.pair(0, ROWS)?,
            locks: field("locks")?.locks()?,
            twin: field("twin")?.unless_null(At::twin)?,
        }),
        Some("refit") => {
            Edit::Refit(Refit { face: face()?, size: field("size")?.size()?, keep: field("keep")?.several(|x| x.unless_null(At::order))? })
        }
        Some("conform") => Edit::Conform(Conform {
            face: face()?,
            side: side()?,
            to: field("to")?.face()?,
            order: field("order")?.order()?,
            keep: field("keep")?.order()?,
            search: search()?,
            tolerance: tolerance()?,
        }),
        Some("crown") => Edit::Crown(Crown {
            face: face()?,
            along: field("along")?.direction()?,
            by: field("by")?.vector()?.to_array(),
            up: field("up")?.unless_null(At::vector)?,
            locks: field("locks")?.locks()?,
        }),
        Some("ridge_sign") => Edit::RidgeSign(RidgeSign {
            face: face()?,
            side: side()?,
            beside: field("beside")?.face()?,
            least: field("least")?.number(ANGLES.0, ANGLES.1)?,
            search: search()?,
        }),
        Some("merge") => Edit::Merge(Merge { faces: field("faces")?.pair_of_faces()?, tolerance: tolerance()?, search: search()? }),
        Some("edge_refit") => Edit::EdgeRefit(EdgeRefit {
            face: face()?,
            side: side()?,
            degree: field("degree")?.count(1, MAX_DEGREE)?,
            spans: field("spans")?.count(1, SPANS)?,
        }),
        Some("extend") => Edit::Extend(Extend { face: face()?, side: side()?, length: field("length")?.tolerance()? }),
        Some("resweep") => Edit::Resweep(Resweep {
            face: face()?,
            rails: field("rails")?.direction()?,
            sections: field("sections")?.named(&[("first", Sections::First), ("last", Sections::Last), ("both", Sections::Both)])?,
            tolerance: tolerance()?,
        }),
        Some("refillet") => Edit::Refillet(Refillet {
            face: face()?,
            along: field("along")?.direction()?,
            beside: field("beside")?.pair_of_faces()?,
            profile: field("profile")?.named(&[("round", Profile::Round), ("curvature", Profile::Curvature)])?,
            setback: field("setback")?.setback()?,
            tolerance: tolerance()?,
            search: search()?,
        }),
        _ => return kind.wanted("the name of an edit"),
    })
}
