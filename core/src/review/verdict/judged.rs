//! Whether a pass had anything to judge.

use crate::finding::Pass;
use crate::review::Check;

/// Why a pass judged nothing; None where it did.
pub fn without(check: &Check, pass: Pass) -> Option<&'static str> {
    let (nothing, why) = match pass {
        _ if check.faces.is_empty() => (true, "no face was read"),
        Pass::Centre => (check.mirror.is_none(), "no centre plane"),
        Pass::Rows => (check.counts.patches == 0, "no spline patch"),
        Pass::Fillets => (check.fillets.edges.is_empty(), "no fillet was found"),
        Pass::Gaps => {
            let g = &check.gaps;
            (
                g.between.is_empty() && g.exposed.is_empty() && g.flanges.is_empty() && g.trims.is_empty(),
                "no gap and no free edge was found",
            )
        }
        Pass::Reference => (check.reference.is_none(), "it was held against nothing"),
        Pass::Layout | Pass::Joins | Pass::Highlights | Pass::Form => (false, ""),
    };
    nothing.then_some(why)
}
