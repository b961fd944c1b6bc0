//! Which faces are blends: they round an edge, or a corner, between faces that would otherwise meet at an angle.

use super::across::{Pace, across, turning};
use super::sides::{FaceSide, OnSide, nearest, places};
use crate::geometry::{Domain, DomainLoop, Region, Surface, section};
use crate::joins::{FLAT_RADIUS, JoinGraph, Sheets, peak_curvature};
use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;
use crate::nurbs;
use crate::section::Plane;

/// What a blend rounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BlendKind {
    /// An edge: it leads from one face over to another.
    Edge,
    /// A corner: it is where blends of edges come together.
    Corner,
}

/// A face that is a blend.
#[derive(Debug, Clone, PartialEq)]
pub struct Blend {
    /// What it rounds.
    pub kind: BlendKind,
    /// Joins along which it is tangent to the faces it leads between: its long edges. Rising.
    pub rails: Vec<usize>,
    /// Largest curvature seen across it, 1/mm.
    pub peak: f64,
}

/// How much more a blend is curved across than a face beside it that bends the same way (measures §3; common practice, no source).
const MORE_CURVED: f64 = 3.0;
/// The same where the face beside bends the other way: there the change of sign alone tells them apart.
const OTHER_WAY: f64 = 1.5;
/// Least and largest turn across, degrees: beyond, the faces beside are one, or run back beside each other (measures §6).
const TURN: (f64, f64) = (10.0, 170.0);
/// Part of the least turn across within which all normals of a patch lie for it to be no blend without a look. Larger: rounding counts;
/// smaller: slower.
const FLAT: f64 = 0.9;
/// Least cosine between the edges that a way leads between. Larger: fillets that widen fast are lost; smaller: ways along a fillet that
/// drift out at its side count as ways across. Common practice, no source.
const PARALLEL: f64 = 0.7;
/// Places looked at along a side. Fewer: a side of which a part only is a blend's is misjudged; more: slower.
const PLACES: usize = 3;
/// A wall that follows a drawn outline round a bend is wider across than it is long, and bends unevenly; a blend that wide for its
/// length is round. How much wider, and how much its peak may exceed its mean curvature to be round. Common practice, no source.
const WALL: f64 = 2.0;
const UNEVEN: f64 = 1.2;
/// Share of a side's places that must lead across. Common practice, no source.
const MOST_OF_IT: f64 = 0.5;
/// Part of its perimeter along which a corner must be smooth, and number of sides by which blends of edges come in.
const ROUND_IT: f64 = 0.6;
const COMING_IN: usize = 2;

/// One a face: what it rounds; None of faces that are no blends.
pub fn blends(sheets: &Sheets<'_>, graph: &JoinGraph, sides: &[Vec<FaceSide>]) -> Vec<Option<Blend>> {
    let mut all: Vec<Option<Blend>> = sheets.model.faces().map(|(id, _)| edge_blend(sheets, graph, id, sides.get(id.index())?)).collect();
    let corners: Vec<(usize, Blend)> = (0..all.len()).filter_map(|f| Some((f, corner(sheets, graph, sides.get(f)?, f, &all)?))).collect();
    for (f, corner) in corners {
        if let Some(place) = all.get_mut(f) {
            *place = Some(corner);
        }
    }
    all
}

/// A way across a face from one side to another.
#[derive(Debug, Clone, Copy)]
pub struct Crossing {
    /// The side it comes out at, in the list of the face's sides.
    pub exit: usize,
    /// The places it leads between.
    pub ends: [OnSide; 2],
    /// Turn, radians, positive towards the face's Su × Sv.
    pub turn: f64,
    /// Its curvature where it is largest, 1/mm, with the sign of the turn where it bends that way.
    pub peak: f64,
    /// Parameters half way along.
    pub middle: Point2,
    /// Its length, mm.
    pub length: f64,
}

impl Crossing {
    /// Half way between the places it leads between.
    pub fn spine(&self) -> Point3 {
        let [a, b] = self.ends.each_ref().map(|e| e.own.point());
        a.lerp(b, 0.5)
    }
}

/// The way across a face from a place on one of its sides.
pub fn cross(sheets: &Sheets<'_>, graph: &JoinGraph, face: &FaceOf<'_>, from: OnSide) -> Option<Crossing> {
    let plane = Plane::through(from.own.point(), from.own.along)?;
    let way = across(face.surface, &face.region, &plane, from.uv, from.own.conormal()?, face.pace)?;
    let last = way.last()?;
    let exit = nearest_side(graph, face.sides, last.point)?;
    let to = nearest(sheets, graph, face.sides.get(exit)?, last.point)?;
    let turn = turning(&way);
    let peak = way.iter().map(|s| s.curvature).max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    let middle = way.get(way.len() / 2)?.uv;
    Some(Crossing { exit, ends: [from, to], turn, peak: peak * turn.signum(), middle, length: last.along })
}

/// A face prepared for walks.
pub struct FaceOf<'a> {
    pub id: FaceId,
    pub surface: &'a Surface,
    pub region: Region,
    pub sides: &'a [FaceSide],
    pub pace: Pace,
}

impl<'a> FaceOf<'a> {
    /// None of a face without a domain.
    pub fn new(sheets: &Sheets<'a>, id: FaceId, sides: &'a [FaceSide]) -> Option<Self> {
        let (surface, domain) = (&sheets.face(id)?.surface, sheets.domain(id)?);
        let pace = Pace { turn: COARSE, step: extent(surface, domain) / STEPS };
        Some(Self { id, surface, region: Region::new(domain), sides, pace })
    }
}

/// Least number of steps over a face. Fewer: a short bulge is stepped over; more: slower.
const STEPS: f64 = 24.0;
/// Largest turn of one step where blends are looked for, radians.
const COARSE: f64 = 0.15;

/// Diagonal of the box round a face's border, mm.
fn extent(surface: &Surface, domain: &Domain) -> f64 {
    let corners = domain.loops.iter().flat_map(DomainLoop::polygon).map(|uv| surface.point(uv.u, uv.v));
    let (low, high) = corners.fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(a, b), p| (a.min(p.to_vec()), b.max(p.to_vec())));
    (high - low).length()
}

fn edge_blend(sheets: &Sheets<'_>, graph: &JoinGraph, id: FaceId, sides: &[FaceSide]) -> Option<Blend> {
    let smooth = sides.iter().filter(|s| s.smooth);
    if graph.is_copy(id) || matches!(sheets.face(id)?.surface, Surface::Plane(_)) || smooth.clone().count() < 2 {
        return None;
    }
    // A way keeps to a plane that holds the normal at its start, and in it turns by no more than the normals do.
    let opens = |patch: &nurbs::Surface| patch.normal_cone().map(|half| (2.0 * half).to_degrees());
    if let Surface::Nurbs(patch) = &sheets.face(id)?.surface
        && opens(patch).is_some_and(|angle| angle < FLAT * TURN.0)
    {
        return None;
    }
    let face = FaceOf::new(sheets, id, sides)?;
    let (mut rails, mut peak, mut uneven, mut long) = (Vec::new(), 0.0_f64, 0.0_f64, 0.0_f64);
    for (index, side) in sides.iter().enumerate().filter(|(_, s)| s.smooth) {
        let all = places(sheets, graph, side, PLACES);
        let count = all.len();
        let ways = all.into_iter().filter_map(|p| cross(sheets, graph, &face, p)).filter(|c| leads_over(c, index, sides));
        let ways: Vec<Crossing> = ways.collect();
        if ways.len() as f64 > MOST_OF_IT * count as f64 {
            // Where a corner is mitred, the shorter edge leads into the mitres, and only the longer one over to the other face.
            rails.push(side.join);
            rails.extend(ways.iter().filter_map(|c| sides.get(c.exit)).map(|s| s.join));
            peak = ways.iter().fold(peak, |p, c| p.max(c.peak));
            long = long.max(side.length);
            uneven = ways.iter().filter(|c| c.peak * c.length > UNEVEN * c.turn.abs()).fold(uneven, |w, c| w.max(c.length));
        }
    }
    rails.sort_unstable();
    rails.dedup();
    (rails.len() > 1 && uneven <= WALL * long).then_some(Blend { kind: BlendKind::Edge, rails, peak })
}

/// True when a way leads over from one face to another as a blend does.
fn leads_over(way: &Crossing, from: usize, sides: &[FaceSide]) -> bool {
    let turn = way.turn.abs().to_degrees();
    let out = sides.get(way.exit).is_some_and(|s| s.smooth) && way.exit != from;
    let [enters, leaves] = way.ends.each_ref().map(|e| e.own.along.try_normalize());
    let beside_each_other = enters.zip(leaves).is_some_and(|(a, b)| a.dot(b).abs() >= PARALLEL);
    let beside = |end: &OnSide| {
        let (own, other) = (end.own.normal()?, end.beside.normal()?);
        let normal = if own.dot(other) < 0.0 { -other } else { other };
        let direction = normal.cross(end.own.along).try_normalize()?;
        Some(section(&end.beside.derivs, normal, direction)?.curvature * way.turn.signum())
    };
    let curved = |end: &OnSide| {
        beside(end).is_some_and(|k| {
            let times = if k >= 0.0 { MORE_CURVED } else { OTHER_WAY };
            way.peak >= times * k.abs() && way.peak >= MORE_CURVED / FLAT_RADIUS
        })
    };
    out && beside_each_other && (TURN.0..=TURN.1).contains(&turn) && way.ends.iter().all(curved)
}

/// The side whose join runs nearest to a point.
pub fn nearest_side(graph: &JoinGraph, sides: &[FaceSide], p: Point3) -> Option<usize> {
    let distance = |s: &FaceSide| {
        let stations = graph.joins.get(s.join).map_or(&[][..], |j| &j.stations);
        let point = |i: usize| stations.get(i).map(|x| if s.first { x.p } else { x.q });
        let legs = (1..stations.len()).filter_map(|i| Some(to_leg(p, point(i - 1)?, point(i)?)));
        legs.fold(f64::INFINITY, f64::min)
    };
    let near = sides.iter().enumerate().map(|(i, s)| (distance(s), i));
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|n| n.1)
}

/// Distance of a point from a straight leg.
fn to_leg(p: Point3, a: Point3, b: Point3) -> f64 {
    let way = b - a;
    let share = ((p - a).dot(way) / way.length_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    a.lerp(b, share).distance(p)
}

/// A face where blends of edges come together: smooth round most of it, two or more of its sides are ends of such blends, and
/// it is curved like them.
fn corner(sheets: &Sheets<'_>, graph: &JoinGraph, sides: &[FaceSide], face: usize, blends: &[Option<Blend>]) -> Option<Blend> {
    let id = FaceId::new(face);
    if graph.is_copy(id) || matches!(sheets.face(id)?.surface, Surface::Plane(_)) {
        return None;
    }
    // Blends that end here, not those that run along.
    let ends = |s: &&FaceSide| {
        let blend = blends.get(s.other.index()).and_then(Option::as_ref);
        s.smooth && blend.is_some_and(|b| !b.rails.contains(&s.join))
    };
    let coming: Vec<&FaceSide> = sides.iter().filter(ends).collect();
    let own = blends.get(face).and_then(Option::as_ref);
    // A blend between two faces with one like it at each end is a piece of a long one, not a corner.
    let all_ends = own.is_none_or(|b| coming.iter().filter(|s| b.rails.contains(&s.join)).count() >= COMING_IN);
    let perimeter: f64 = sides.iter().map(|s| s.length).sum();
    let smooth: f64 = sides.iter().filter(|s| s.smooth).map(|s| s.length).sum();
    if coming.len() < COMING_IN || !all_ends || smooth < ROUND_IT * perimeter || sides.len() < 3 {
        return None;
    }
    let tightest = |f: usize| blends.get(f).and_then(Option::as_ref).map(|b| b.peak);
    let least = coming.iter().filter_map(|s| tightest(s.other.index())).fold(f64::INFINITY, f64::min);
    let peak = peak_curvature(sheets, id);
    (peak * MORE_CURVED >= least).then(|| Blend { kind: BlendKind::Corner, rails: Vec::new(), peak })
}
