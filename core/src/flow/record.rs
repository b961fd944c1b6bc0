//! Stripe edges as JSON.

use super::stripes::Stripes;
use serde::Serialize;

/// All lines with their points, and the crossings of joins.
#[derive(Debug, Serialize)]
struct Record {
    /// Unit of lengths.
    unit: &'static str,
    lines: Vec<LineRecord>,
    crossings: Vec<CrossingRecord>,
    /// Faces on which some lines may be missing.
    capped: Vec<usize>,
}

#[derive(Debug, Serialize)]
struct LineRecord {
    value: f64,
    pieces: Vec<PieceRecord>,
    crossings: Vec<usize>,
}

#[derive(Debug, Serialize)]
struct PieceRecord {
    face: usize,
    points: Vec<[f64; 3]>,
    uv: Vec<[f64; 2]>,
}

#[derive(Debug, Serialize)]
struct CrossingRecord {
    join: usize,
    value: f64,
    faces: [usize; 2],
    points: [[f64; 3]; 2],
    /// mm; none where the stripe has no tangent.
    offset: Option<f64>,
    /// Degrees.
    kink: Option<f64>,
    /// 1/mm.
    bend: Option<f64>,
}

/// The stripes as one JSON object: lines from end to end with points in mm, parameters and faces, and how each passes over its joins
/// (offset in mm, kink in degrees, change of curvature in 1/mm).
pub fn json(stripes: &Stripes) -> String {
    let piece = |&(k, back): &(usize, bool)| {
        let (face, piece) = stripes.pieces.get(k)?;
        let mut points: Vec<[f64; 3]> = piece.points.iter().map(|p| p.to_array()).collect();
        let mut uv: Vec<[f64; 2]> = piece.uv.iter().map(|p| [p.u, p.v]).collect();
        if back {
            points.reverse();
            uv.reverse();
        }
        Some(PieceRecord { face: face.index(), points, uv })
    };
    let lines = stripes.lines.iter().map(|l| LineRecord {
        value: l.value,
        pieces: l.pieces.iter().filter_map(piece).collect(),
        crossings: l.crossings.clone(),
    });
    let crossings = stripes.crossings.iter().map(|(join, c)| CrossingRecord {
        join: *join,
        value: c.value,
        faces: [c.a.face.index(), c.b.face.index()],
        points: [c.a.point.to_array(), c.b.point.to_array()],
        offset: c.link.map(|l| l.offset),
        kink: c.link.map(|l| l.kink),
        bend: c.link.map(|l| l.bend),
    });
    let record = Record {
        unit: "mm",
        lines: lines.collect(),
        crossings: crossings.collect(),
        capped: stripes.capped.iter().map(|f| f.index()).collect(),
    };
    // A record of numbers and names has nothing that cannot be written.
    serde_json::to_string(&record).unwrap_or_default()
}
