//! The largest kink any lamp direction gives at a join.

use crate::joins::Meeting;
use crate::math::{Vec3, real};
use crate::nurbs::SurfaceDerivs;

/// Directions tried over half a turn, before the best is refined. The angle is a smooth function of the direction with few
/// extrema; larger: slower; smaller: a narrow one beside a direction without slope is missed.
const DIRECTIONS: u32 = 90;

/// Share of the larger of both slopes below which a stripe's direction is not decided by the surface. Larger: true kinks
/// beside flat directions are left out; smaller: the kink of a stripe that nobody sees counts.
const FLAT: f64 = 0.05;

/// Largest angle in degrees between the isophotes of both faces at one point, over all light directions, and a light
/// direction in the tangent plane that gives it.
///
/// The isophote's gradient is the shape operator applied to the light's tangential part w (Poeschl, CAGD 1(2), 1984), so
/// only w's direction matters. Where the tangent planes differ stripes are offset, not kinked: the answer is that of the
/// planes turned onto each other. Lamps that leave the join a single stripe are left out: those under which the isophotes'
/// function is less steep, on either side, than the share `faintest` of the steepest over all lamps. None without curvature on
/// both sides, and where one side is too flat for stripes in every direction.
pub fn largest_kink(meeting: &Meeting, faintest: f64) -> Option<(f64, Vec3)> {
    let (a, b) = (&meeting.a, meeting.b.as_ref()?);
    let (na, raw) = (a.normal()?, b.normal()?);
    let along = a.along.try_normalize()?;
    let same_way = b.along.dot(along) >= 0.0;
    let nb = if same_way { -raw } else { raw };
    let (ca, cb) = (na.cross(along).try_normalize()?, nb.cross(along).try_normalize()?);
    let (sa, sb) = (operator(&a.derivs, na, along, ca)?, operator(&b.derivs, nb, along, cb)?);
    let steepest = steepest(&sa).max(steepest(&sb));
    let angle = |turn: f64| {
        let (sin, cos) = real::sin_cos(turn);
        let of = |s: &[f64; 3]| (s[0] * cos + s[1] * sin, s[1] * cos + s[2] * sin);
        let ((x, y), (p, q)) = (of(&sa), of(&sb));
        let (one, two) = (real::hypot(x, y), real::hypot(p, q));
        let seen = one.min(two) > FLAT * one.max(two) && one.min(two) >= faintest * steepest;
        seen.then(|| real::atan2((x * q - y * p).abs(), x * p + y * q))
    };
    let step = real::PI / f64::from(DIRECTIONS);
    let tried = (0..DIRECTIONS).filter_map(|k| Some((f64::from(k) * step, angle(f64::from(k) * step)?)));
    let (mut turn, mut best) = tried.max_by(|x, y| x.1.total_cmp(&y.1))?;
    let mut width = step;
    // Golden-section search would need the neighbours defined; shrinking steps do not.
    for _ in 0..60 {
        let beside = [turn - width, turn + width].into_iter().filter_map(|t| Some((t, angle(t)?)));
        match beside.max_by(|x, y| x.1.total_cmp(&y.1)).filter(|x| x.1 > best) {
            Some(better) => (turn, best) = better,
            None => width *= 0.5,
        }
    }
    let (sin, cos) = real::sin_cos(turn);
    Some((best.to_degrees(), along * cos + ca * sin))
}

/// The larger principal curvature of a form, 1/mm.
fn steepest([tt, tc, cc]: &[f64; 3]) -> f64 {
    (0.5 * (tt + cc)).abs() + real::hypot(0.5 * (tt - cc), *tc)
}

/// The second fundamental form in the directions t and c: tt, tc, cc, 1/mm (do Carmo, *Differential Geometry of Curves
/// and Surfaces*, §3.2).
fn operator(d: &SurfaceDerivs, normal: Vec3, t: Vec3, c: Vec3) -> Option<[f64; 3]> {
    let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
    let det = e * g - f * f;
    if det.is_nan() || det <= 1e-24 * e * g {
        return None;
    }
    let inside = |w: Vec3| ((g * w.dot(d.su) - f * w.dot(d.sv)) / det, (e * w.dot(d.sv) - f * w.dot(d.su)) / det);
    let (l, m, n) = (d.suu.dot(normal), d.suv.dot(normal), d.svv.dot(normal));
    let form = |(u, v): (f64, f64), (x, y): (f64, f64)| l * u * x + m * (u * y + v * x) + n * v * y;
    let (t, c) = (inside(t), inside(c));
    Some([form(t, t), form(t, c), form(c, c)])
}
