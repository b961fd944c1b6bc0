//! The measures at one station of a join: how two borders meet at a pair of facing points.

use crate::geometry::section;
use crate::layout::MirrorPlane;
use crate::math::{Point3, Vec3, real};
use crate::nurbs::SurfaceDerivs;

/// Radius above which a surface counts as flat, mm: R∞ in the relative measures. Larger: relative jumps of near-flat
/// panels run to hundreds of per cent that nobody sees; smaller: real breaks on large gentle crowns look small.
/// Common practice, no source.
pub const FLAT_RADIUS: f64 = 10_000.0;

/// Length over which a curvature must change to matter, mm, in the relative curvature-slope jump. Common practice,
/// no source.
const SLOPE_LENGTH: f64 = 100.0;

/// Share of the curvature whose change over [`SLOPE_LENGTH`] counts as none. Common practice, no source.
const SLOPE_SHARE: f64 = 0.05;

/// Least sine between Su and Sv, and least ratio of their lengths, at which curvature is computed: below, the
/// parametrisation collapses (a pole) and third derivatives are rounding noise. Larger would drop stations close to
/// poles; smaller would report noise there.
const LEAST_SINE: f64 = 1e-6;
const LEAST_RATIO: f64 = 1e-7;

/// A border of a face at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Border {
    /// Position and derivatives to order three, taken from the inside of the face.
    pub derivs: SurfaceDerivs,
    /// Direction of the border that has the face on its left seen against Su × Sv; any length but zero.
    pub along: Vec3,
}

/// Curvature or curvature slope of both sides, signed by normals that agree across the join; in the list of joins they
/// are those of the skin's one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sides {
    /// On the first face.
    pub a: f64,
    /// On the second face.
    pub b: f64,
}

/// What is measured at one station. None: not applicable, because a surface has no tangent plane or no curvature there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Distance |P − Q|, mm.
    pub gap: f64,
    /// Angle between the inward conormal of A and the outward one of B, degrees, 0 to 180.
    pub angle: Option<f64>,
    /// Normal curvatures across the join, 1/mm.
    pub curvature: Option<Sides>,
    /// Slopes of the section curvatures across the join, 1/mm².
    pub slope: Option<Sides>,
}

impl Sides {
    /// |a − b|.
    pub fn jump(self) -> f64 {
        (self.a - self.b).abs()
    }

    /// max(|a|, |b|).
    pub fn peak(self) -> f64 {
        self.a.abs().max(self.b.abs())
    }
}

impl Measures {
    /// The same with curvatures signed by the normal turned (sign −1) or not (+1); jumps stay.
    pub fn seen_from(self, sign: f64) -> Self {
        let turned = |s: Sides| Sides { a: sign * s.a, b: sign * s.b };
        Self { curvature: self.curvature.map(turned), slope: self.slope.map(turned), ..self }
    }

    /// Curvature jump, 1/mm.
    pub fn curvature_jump(&self) -> Option<f64> {
        self.curvature.map(Sides::jump)
    }

    /// Curvature jump over max(|κA|, |κB|, 1/R∞), 1 = 100 %.
    pub fn curvature_share(&self) -> Option<f64> {
        self.curvature.map(|k| k.jump() / k.peak().max(1.0 / FLAT_RADIUS))
    }

    /// Curvature-slope jump, 1/mm².
    pub fn slope_jump(&self) -> Option<f64> {
        self.slope.map(Sides::jump)
    }

    /// Curvature-slope jump over max(|κ′A|, |κ′B|, max(0.05·max|κ|, 1/R∞)/100 mm), 1 = 100 %.
    pub fn slope_share(&self) -> Option<f64> {
        let (slope, curvature) = (self.slope?, self.curvature?);
        let least = (SLOPE_SHARE * curvature.peak()).max(1.0 / FLAT_RADIUS) / SLOPE_LENGTH;
        Some(slope.jump() / slope.peak().max(least))
    }
}

impl Border {
    /// The point, mm.
    pub fn point(&self) -> Point3 {
        self.derivs.s
    }

    /// Unit Su × Sv; None where the parametrisation collapses.
    pub fn normal(&self) -> Option<Vec3> {
        let d = &self.derivs;
        let (lu, lv) = (d.su.length(), d.sv.length());
        let cross = d.su.cross(d.sv);
        let regular = cross.length() > LEAST_SINE * lu * lv && lu.min(lv) > LEAST_RATIO * lu.max(lv);
        regular.then(|| cross.try_normalize()).flatten()
    }

    /// The border of the face's mirror image, which has that face on its left.
    pub fn mirrored(&self, plane: MirrorPlane) -> Border {
        let d = &self.derivs;
        let image = |v: Vec3| plane.turned(v);
        let derivs = SurfaceDerivs {
            s: plane.image(d.s),
            su: image(d.su),
            sv: image(d.sv),
            suu: image(d.suu),
            suv: image(d.suv),
            svv: image(d.svv),
            suuu: image(d.suuu),
            suuv: image(d.suuv),
            suvv: image(d.suvv),
            svvv: image(d.svvv),
        };
        // Su × Sv of the image is against the image of Su × Sv, and so is the border against the border's.
        Border { derivs, along: image(self.along) }
    }

    /// Unit inward conormal: in the tangent plane, square to the border, into the face.
    pub fn conormal(&self) -> Option<Vec3> {
        self.normal()?.cross(self.along).try_normalize()
    }
}

/// Measures the facing points of two borders.
///
/// t is the unit border direction at A's point; cA and cB the inward conormals square to t; nB is turned so that a
/// smooth continuation has nA = nB, so a sheet folded back on itself has 180°. Curvature across is the normal
/// curvature in direction n × t of each face, its slope that of the section there (see [`section`]). Equal tangent
/// planes and equal normal curvature in one direction transversal to the join make it G2 (Pegna & Wolter, J. Mech.
/// Des. 114(1), 1992, linkage-curve theorem).
pub fn measure(a: &Border, b: &Border) -> Measures {
    let gap = a.point().distance(b.point());
    let nothing = Measures { gap, angle: None, curvature: None, slope: None };
    let (Some(t), Some(normal_a), Some(raw_b)) = (a.along.try_normalize(), a.normal(), b.normal()) else { return nothing };
    let (Some(in_a), Some(across_b)) = (normal_a.cross(t).try_normalize(), raw_b.cross(t).try_normalize()) else { return nothing };
    // B's own border direction tells on which side of t its inside lies.
    let same_way = b.along.dot(t) >= 0.0;
    let in_b = if same_way { across_b } else { -across_b };
    let normal_b = if same_way { -raw_b } else { raw_b };
    let angle = real::angle_between(in_a, -in_b).to_degrees();
    let curved_a = section(&a.derivs, normal_a, in_a);
    // Direction nB × t, the continuation of A's direction: out of B's inside, reversed.
    let curved_b = section(&b.derivs, normal_b, -in_b);
    match (curved_a, curved_b) {
        (Some(x), Some(y)) if x.curvature.is_finite() && y.curvature.is_finite() && x.slope.is_finite() && y.slope.is_finite() => {
            Measures {
                gap,
                angle: Some(angle),
                curvature: Some(Sides { a: x.curvature, b: y.curvature }),
                slope: Some(Sides { a: x.slope, b: y.slope }),
            }
        }
        _ => Measures { angle: Some(angle), ..nothing },
    }
}
