//! What the layout pass says of each face. Lengths mm, areas mm², angles degrees.

use super::number::Number;
use crate::geometry::{Surface, twist};
use crate::joins::Role;
use crate::measure::{Subject, strip_size, trim_share};
use crate::model::{Face, FaceId};
use crate::nurbs::KnotVector;
use serde::Serialize;

/// A spline patch's control structure, u then v.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SplineLayout {
    /// Degrees.
    pub degree: [usize; 2],
    /// Spans.
    pub spans: [usize; 2],
    /// Control points.
    pub points: [usize; 2],
    /// True where weights differ from none.
    pub rational: bool,
    /// Interior knots, both ways, at which the patch may be less smooth than its degree allows: those of a multiplicity above one.
    pub multiple_knots: usize,
    /// Trimmed area over the area of the whole patch; None where that cannot be told.
    pub share: Option<Number>,
    /// See [`twist`].
    pub twist: Option<Number>,
}

/// A face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceLayout {
    /// Its id.
    pub face: usize,
    /// `primary`, `transition` or `detail`.
    pub role: &'static str,
    /// Kind of surface.
    pub kind: &'static str,
    /// Area.
    pub area: Number,
    /// Width and length of the rectangle with its area and perimeter; None of a face without.
    pub size: Option<[Number; 2]>,
    /// Its shortest edge; None of a face without edges.
    pub shortest: Option<Number>,
    /// Sides that have shrunk to a point.
    pub collapsed: usize,
    /// Of spline patches.
    pub spline: Option<SplineLayout>,
}

/// The layout records of all faces, in their order.
pub fn face_layouts(subject: &Subject<'_>) -> Vec<FaceLayout> {
    subject.sheets.model.faces().map(|(id, face)| layout(subject, id, face)).collect()
}

fn layout(subject: &Subject<'_>, id: FaceId, face: &Face) -> FaceLayout {
    let area = subject.areas.get(id.index()).copied().unwrap_or(0.0);
    let finite = |x: f64| Some(x).filter(|x| x.is_finite()).map(Number);
    let shortest = subject.sheets.edges(id).into_iter().map(|e| e.length).reduce(f64::min);
    let spline = match &face.surface {
        Surface::Nurbs(s) => {
            let both = |f: fn(&KnotVector) -> usize| [f(s.knots_u()), f(s.knots_v())];
            let multiple = both(|k| k.interior().iter().filter(|(_, m)| *m > 1).count());
            Some(SplineLayout {
                degree: both(KnotVector::degree),
                spans: both(KnotVector::span_count),
                points: [s.size().0, s.size().1],
                rational: s.weights().is_some(),
                multiple_knots: multiple.iter().sum(),
                share: trim_share(subject, id).and_then(finite),
                twist: twist(s).and_then(finite),
            })
        }
        _ => None,
    };
    FaceLayout {
        face: id.index(),
        role: subject.graph.roles.get(id.index()).copied().unwrap_or(Role::Detail).text(),
        kind: face.surface.kind().name(),
        area: Number(if area.is_finite() { area } else { 0.0 }),
        size: strip_size(area, subject.sheets.perimeter(id)).map(|(w, l)| [Number(w), Number(l)]),
        shortest: shortest.and_then(finite),
        collapsed: subject.sheets.collapsed_sides(id),
        spline,
    }
}
