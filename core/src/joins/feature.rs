//! Feature lines: creases and tight transitions, chained over the patches they run past, with the signed angle along them.

use super::crease;
use super::graph::JoinGraph;
use super::sheets::Sheets;
use super::tight;
use crate::math::{Arrange, Point3, Vec3, order, real};
use crate::model::FaceId;

/// How far a line may turn from one piece to the next and still be one line, degrees. Larger: lines run on round corners of the
/// part; smaller: a line sketched in arcs falls apart. Common practice, no source.
const STRAIGHT_ON: f64 = 20.0;

/// How much the signed angle may change from one piece to the next, degrees. Larger: an outer edge of a part runs on into an
/// inner one; smaller: a line over patches that do not quite meet falls apart. Common practice, no source.
const EVEN: f64 = 10.0;

/// A place along a feature line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Arc length from the start, mm.
    pub along: f64,
    /// Position, mm.
    pub point: Point3,
    /// Angle by which the surface turns across the line, degrees: positive where the skin's outward side is on the outside of
    /// the bend (convex), negative where on the inside (concave).
    pub angle: f64,
}

/// What makes a feature line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LineKind {
    /// A join at an angle.
    Crease,
    /// A chain of transitions: a rounded line.
    Transition,
}

impl LineKind {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            LineKind::Crease => "crease",
            LineKind::Transition => "transition",
        }
    }
}

/// A feature line.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureLine {
    /// What makes it.
    pub kind: LineKind,
    /// The faces on both sides of a crease, or the transitions; rising.
    pub faces: Vec<FaceId>,
    /// Joins along it, rising; for a transition those of its long sides that were followed.
    pub joins: Vec<usize>,
    /// Places from start to end, rising arc length; two or more.
    pub stops: Vec<Stop>,
    /// True when it ends where it starts.
    pub closed: bool,
}

/// A part of a line before it is chained.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub kind: LineKind,
    pub faces: Vec<FaceId>,
    pub join: usize,
    /// Position and signed angle, two or more.
    pub places: Vec<(Point3, f64)>,
}

/// All feature lines: creases first, by their first join.
pub fn feature_lines(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<FeatureLine> {
    let mut pieces = crease::pieces(sheets, graph);
    pieces.extend(tight::pieces(sheets, graph));
    pieces.retain(|p| p.places.len() > 1);
    chained(pieces, graph.search)
}

/// One end of a piece: where, and the direction in which the line leaves it there.
struct Tip {
    piece: usize,
    at_start: bool,
    point: Point3,
    out: Vec3,
    angle: f64,
}

/// Pieces linked where two tips of one kind meet and run straight on. At a place where several could, the straightest go first.
fn chained(pieces: Vec<Piece>, reach: f64) -> Vec<FeatureLine> {
    let tips: Vec<Tip> = pieces.iter().enumerate().flat_map(|(i, p)| [tip(i, p, true), tip(i, p, false)]).flatten().collect();
    let x = |i: usize| tips.get(i).map_or(0.0, |t| t.point.x);
    let order = order(tips.len(), &mut |i, j| x(i).total_cmp(&x(j)));
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (n, &i) in order.iter().enumerate() {
        for &j in order.iter().skip(n + 1).take_while(|&&j| x(j) - x(i) <= reach) {
            let (Some(a), Some(b)) = (tips.get(i), tips.get(j)) else { continue };
            let kind = |t: &Tip| pieces.get(t.piece).map(|p| p.kind);
            let turn = real::angle_between(a.out, -b.out).to_degrees();
            let runs_on = turn <= STRAIGHT_ON && (a.angle - b.angle).abs() <= EVEN;
            if a.point.distance(b.point) <= reach && kind(a) == kind(b) && runs_on {
                pairs.push((turn, i.min(j), i.max(j)));
            }
        }
    }
    pairs.arrange_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    // `next[t]`: the tip that tip t leads on to.
    let mut next: Vec<Option<usize>> = vec![None; tips.len()];
    for (_, i, j) in pairs {
        if next.get(i) == Some(&None) && next.get(j) == Some(&None) {
            for (from, to) in [(i, j), (j, i)] {
                if let Some(n) = next.get_mut(from) {
                    *n = Some(to);
                }
            }
        }
    }
    let tip_of = |piece: usize, at_start: bool| tips.iter().position(|t| t.piece == piece && t.at_start == at_start);
    let follow = |piece: usize, forward: bool| -> Option<(usize, bool)> {
        let to = next.get(tip_of(piece, !forward)?).copied().flatten()?;
        tips.get(to).map(|t| (t.piece, t.at_start))
    };
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    for lead in 0..pieces.len() {
        if used.get(lead) != Some(&false) {
            continue;
        }
        // Back to where the line begins, or once round.
        let (mut head, mut forward, mut closed) = (lead, true, false);
        while let Some((before, start)) = follow(head, !forward) {
            if before == lead {
                closed = true;
                break;
            }
            // Walking backwards the piece is entered at `start`; it runs forward when that is its end.
            (head, forward) = (before, !start);
        }
        let mut run = Vec::new();
        let mut at = Some((head, forward));
        while let Some((piece, way)) = at.filter(|&(p, _)| used.get(p) == Some(&false)) {
            if let Some(u) = used.get_mut(piece) {
                *u = true;
            }
            run.push((piece, way));
            at = follow(piece, way);
        }
        lines.extend(line(&pieces, &run, closed, reach));
    }
    lines
}

fn tip(index: usize, piece: &Piece, at_start: bool) -> Option<Tip> {
    let (end, before) = if at_start {
        (piece.places.first()?, piece.places.get(1)?)
    } else {
        (piece.places.last()?, piece.places.get(piece.places.len() - 2)?)
    };
    Some(Tip { piece: index, at_start, point: end.0, out: (end.0 - before.0).try_normalize()?, angle: end.1 })
}

fn line(pieces: &[Piece], run: &[(usize, bool)], closed: bool, reach: f64) -> Option<FeatureLine> {
    let mut stops: Vec<Stop> = Vec::new();
    let (mut faces, mut joins, mut kind) = (Vec::new(), Vec::new(), LineKind::Crease);
    for &(i, forward) in run {
        let piece = pieces.get(i)?;
        kind = piece.kind;
        faces.extend(piece.faces.iter().copied());
        joins.push(piece.join);
        let mut places = piece.places.clone();
        if !forward {
            places.reverse();
        }
        for (point, angle) in places {
            let along = stops.last().map_or(0.0, |s| s.along + s.point.distance(point));
            stops.push(Stop { along, point, angle });
        }
    }
    faces.arrange();
    faces.dedup();
    joins.arrange();
    joins.dedup();
    let closed = closed || (stops.len() > 2 && stops.first()?.point.distance(stops.last()?.point) <= reach);
    Some(FeatureLine { kind, faces, joins, stops, closed })
}
