//! Partners: which other borders run along a border at one of its points.

use super::segments::Segments;
use super::strand::{Spot, Strand};
use crate::math::{Arrange, Vec3, real};
use crate::model::FaceId;

/// What counts as running together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Largest distance, mm.
    pub radius: f64,
    /// Largest angle between the tangents, radians.
    pub angle: f64,
    /// True when the faces must not lie one over the other, as across a gap.
    pub facing: bool,
    /// Distance within which a partner may be taken that is spoken for, mm: a third face on one edge.
    pub touching: f64,
}

/// A partner of a border at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Partner {
    /// Index of the strand.
    pub strand: usize,
    /// The facing point on it.
    pub spot: Spot,
    /// Distance to it, mm.
    pub distance: f64,
}

/// Tells which partners may not be chosen.
pub type Taken<'t> = dyn Fn(&Partner) -> bool + 't;

/// All strands of a model, with the tree over them.
#[derive(Debug)]
pub struct Strands<'a> {
    /// The strands.
    pub all: Vec<Strand<'a>>,
    segments: Segments,
    wanted: Option<Wanted>,
}

/// Which strands joins are looked for of, and the tree over those alone.
#[derive(Debug)]
struct Wanted {
    strands: Vec<bool>,
    segments: Segments,
}

/// Largest distance over which a foot may miss the end of a border, as a share of the search distance. Larger:
/// neighbours round a corner pair up over it; smaller: edges whose ends differ by rounding lose their last bit.
const SLACK: f64 = 1e-3;

/// How much farther than the nearest a partner may lie and still be tied with it, as a share of the search distance.
/// Larger: in the tips of sharp faces the next border but one is tied too; smaller: rounding decides among three faces
/// that share an edge.
const TIED: f64 = 1e-5;

/// Distance below which its direction is rounding, as a share of the search distance.
const TOGETHER: f64 = 1e-6;

/// Share of the distance that may point into the face itself when a face meets itself: a partner that lies across the
/// face's own inside is the other side of a sliver, not a join.
const ACROSS: f64 = 0.5;

/// Cosine between the inward conormals above which two outlines close by are one sheet over another, not two sides of
/// a gap. Larger: the edges of a hem count as open joins; smaller: faces that meet at a corner are missed.
const DOUBLED: f64 = 0.5;

impl<'a> Strands<'a> {
    /// Builds the search tree. `faces`, rising: those that joins are looked for of; None: of all.
    pub fn new(all: Vec<Strand<'a>>, faces: Option<&[FaceId]>) -> Self {
        let tree = |strands: Option<&[bool]>| {
            let some = all.iter().enumerate().filter(|(i, _)| strands.is_none_or(|s| s.get(*i) == Some(&true)));
            Segments::new(some.flat_map(|(i, s)| s.segments(i)).collect())
        };
        let wanted = faces.map(|faces| {
            let strands: Vec<bool> = all.iter().map(|s| faces.binary_search(&s.at.face).is_ok()).collect();
            Wanted { segments: tree(Some(&strands)), strands }
        });
        Self { segments: tree(None), wanted, all }
    }

    /// True when joins of a strand are looked for.
    pub fn is_wanted(&self, strand: usize) -> bool {
        self.wanted.as_ref().is_none_or(|w| w.strands.get(strand) == Some(&true))
    }

    /// True when a strand of which joins are looked for may come within `radius` of a point of strand `a`.
    pub fn concerns(&self, a: usize, share: f64, radius: f64) -> bool {
        let Some(wanted) = self.wanted.as_ref().filter(|_| !self.is_wanted(a)) else { return true };
        let mut any = false;
        if let Some(strand) = self.all.get(a) {
            wanted.segments.near(strand.spot(share).point, radius, |_, _| any = true);
        }
        any
    }

    /// The nearest partner at a point of strand `a`, and those tied with it. Partners in the face's own part go
    /// before those of other parts. Empty: the border is free there.
    pub fn partners(&self, a: usize, share: f64, rule: &Rule, taken: &Taken<'_>) -> Vec<Partner> {
        let Some(strand) = self.all.get(a) else { return Vec::new() };
        let here = strand.spot(share);
        let mut near: Vec<(usize, f64, f64)> = Vec::new();
        self.segments.near(here.point, rule.radius, |s, d| {
            if s.strand == a {
                return;
            }
            let seed = || self.all.get(s.strand).map_or(0.0, |b| b.share_on(s.node, s.share(here.point)));
            match near.iter_mut().find(|n| n.0 == s.strand) {
                Some(n) if d < n.1 => *n = (s.strand, d, seed()),
                Some(_) => {}
                None => near.push((s.strand, d, seed())),
            }
        });
        near.arrange_by_key(|n| n.0);
        let mut found: Vec<Partner> = Vec::new();
        for (strand, _, seed) in near {
            let Some(partner) = self.meets(a, &here, strand, seed, rule) else { continue };
            if !taken(&partner) {
                found.push(partner);
            }
        }
        let part = |p: &Partner| self.all.get(p.strand).map(|s| s.part);
        if found.iter().any(|p| part(p) == Some(strand.part)) {
            found.retain(|p| part(p) == Some(strand.part));
        }
        let nearest = found.iter().map(|p| p.distance).fold(f64::INFINITY, f64::min);
        found.retain(|p| p.distance <= nearest + TIED * rule.radius);
        found.arrange_by(|x, y| x.distance.total_cmp(&y.distance).then(x.strand.cmp(&y.strand)));
        found
    }

    /// The facing point of `b` seen from a point of `a`, if the two run together there.
    pub fn meets(&self, a: usize, here: &Spot, b: usize, seed: f64, rule: &Rule) -> Option<Partner> {
        let (from, to) = (self.all.get(a)?, self.all.get(b)?);
        let spot = to.foot(here.point, seed);
        let across = here.point - spot.point;
        let distance = across.length();
        let square = across.dot(spot.tangent).abs() <= SLACK * rule.radius + 1e-6 * distance;
        let turn = real::angle_between(here.tangent, spot.tangent);
        let parallel = turn.min(real::PI - turn) <= rule.angle && here.tangent != Vec3::ZERO && spot.tangent != Vec3::ZERO;
        if !(distance <= rule.radius && square && parallel) {
            return None;
        }
        let own_face = from.at.face == to.at.face;
        if (own_face || rule.facing) && distance > TOGETHER * rule.radius {
            let (in_a, in_b) = (from.border(here.share).conormal()?, to.border(spot.share).conormal()?);
            let inside = (-across).dot(in_a) > ACROSS * distance || across.dot(in_b) > ACROSS * distance;
            if inside || (rule.facing && in_a.dot(in_b) > DOUBLED) {
                return None;
            }
        }
        Some(Partner { strand: b, spot, distance })
    }

    /// Largest amount by which a foot may miss a border's end under a rule, mm.
    pub fn slack(rule: &Rule) -> f64 {
        SLACK * rule.radius
    }
}
