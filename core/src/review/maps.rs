//! Values sampled over faces, to colour them by: how far left and right differ, how far a face lies from its fair reference.

use super::Prepared;
use crate::geometry::{Surface, closest_on_surface};
use crate::joins::{JoinGraph, Role, Sheets};
use crate::layout::MirrorPlane;
use crate::math::{Arrange, Interval, Point2, Point3, Vec3};
use crate::measure::{Memo, Subject, against, fair_reference};
use crate::model::FaceId;
use crate::progress::Progress;
use crate::reference::{Comparison, Nearest, tilt};

/// Values on an even grid over a box of a face's parameters, first along u.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceMap {
    /// The face.
    pub face: FaceId,
    /// The box.
    pub over: (Interval, Interval),
    /// Grid points along u and v, two or more.
    pub size: (usize, usize),
    /// Signed distances, mm, positive on the outward side; not a number where there is none.
    pub values: Vec<f64>,
}

/// Distance between grid points, as a share of the model's size. Larger: small places are missed; smaller: slower.
const STEP: f64 = 1.0 / 150.0;

/// Least and most grid points a way.
const COUNT: (f64, f64) = (9.0, 65.0);

/// Places of the other side from which the foot of an image is searched.
const STARTS: usize = 7;

/// How far each face with an image on the other side of the centre plane stands proud of the other side's mirror image: of both faces
/// of a pair and of faces that are their own image. `size` of the model, mm. Empty without any, or when cancelled.
pub fn mirror_maps(prepared: &Prepared, graph: &JoinGraph, size: f64, progress: &mut dyn Progress) -> Vec<FaceMap> {
    let Some(mirror) = &graph.mirror else { return Vec::new() };
    let pairs = mirror.pairs.iter().flat_map(|&[a, b]| [(a, b), (b, a)]);
    let mut all: Vec<(FaceId, FaceId)> = pairs.chain(mirror.own.iter().map(|&f| (f, f))).collect();
    all.arrange();
    collect(&all, progress, |&(face, other)| {
        let (surface, partner) = (prepared.import.model.face(face)?, prepared.import.model.face(other)?);
        let over = prepared.domains.get(other.index())?.as_ref()?.bounds();
        let starts: Vec<(Point2, Point3)> = grid(over, (STARTS, STARTS)).map(|s| (s, partner.surface.point(s.u, s.v))).collect();
        let side = graph.orientation.sign(face);
        let off = |uv: Point2| image_off(&surface.surface, &partner.surface, mirror.plane, &starts, graph.search, uv);
        sampled(&prepared.sheets(), face, size, |uv| Some(side * off(uv)?))
    })
}

/// Distance of a place from the mirror image of another surface along Su × Sv, mm.
fn image_off(own: &Surface, other: &Surface, plane: MirrorPlane, starts: &[(Point2, Point3)], reach: f64, uv: Point2) -> Option<f64> {
    let (p, normal) = (own.point(uv.u, uv.v), own.normal(uv.u, uv.v)?);
    let there = plane.image(p);
    let near = starts.iter().min_by(|a, b| a.1.distance(there).total_cmp(&b.1.distance(there)))?;
    let foot = closest_on_surface(other, there, near.0);
    let away: Vec3 = p - plane.image(foot.point);
    (foot.distance <= reach).then(|| away.dot(normal).signum() * foot.distance)
}

/// Signed distance of every primary spline face from its fair reference, where it has one; `memo` keeps the references. `size` of the model, mm. Empty when cancelled.
pub fn fair_maps(prepared: &Prepared, graph: &JoinGraph, memo: &Memo, size: f64, progress: &mut dyn Progress) -> Vec<FaceMap> {
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph, memo, reference: None };
    let primary = |id: &FaceId| graph.roles.get(id.index()) == Some(&Role::Primary) && !graph.is_copy(*id);
    let faces: Vec<FaceId> = prepared.import.model.faces().map(|(id, _)| id).filter(primary).collect();
    collect(&faces, progress, |&id| {
        let face = prepared.import.model.face(id)?;
        let Surface::Nurbs(_) = face.surface else { return None };
        let fair = fair_reference(&subject, id);
        let fair = fair.as_ref().as_ref()?;
        let side = graph.orientation.sign(id);
        sampled(&prepared.sheets(), id, size, |uv| Some(side * fair.residual(&face.surface, uv)?))
    })
}

/// Signed distance of every face from the subject's reference, where that is near and lies under it. `size` of the model, mm. Empty
/// without a reference, or when cancelled.
pub fn reference_maps(subject: &Subject<'_>, size: f64, progress: &mut dyn Progress) -> Vec<FaceMap> {
    on_reference(subject, size, progress, |surface, uv, there| Some(there.signed(surface.point(uv.u, uv.v))))
}

/// Angle between the tangent planes of every face and of a reference that is a model, degrees, where that is near and lies under it.
/// Otherwise as [`reference_maps`].
pub fn tilt_maps(subject: &Subject<'_>, size: f64, progress: &mut dyn Progress) -> Vec<FaceMap> {
    on_reference(subject, size, progress, |surface, uv, there| {
        there.uv?;
        Some(tilt(surface.normal(uv.u, uv.v)?, there.normal))
    })
}

fn on_reference(
    subject: &Subject<'_>,
    size: f64,
    progress: &mut dyn Progress,
    value: impl Fn(&Surface, Point2, &Nearest) -> Option<f64>,
) -> Vec<FaceMap> {
    let (Some(reference), Some(against), reviewed) = (subject.reference, against(subject), subject.index()) else { return Vec::new() };
    let of = Comparison { reference, sheets: subject.sheets, reviewed: &reviewed, turned: &against.facing };
    let faces: Vec<FaceId> = against.distances.iter().map(|d| d.face).collect();
    collect(&faces, progress, |&id| {
        let surface = &subject.sheets.face(id)?.surface;
        sampled(&subject.sheets, id, size, |uv| {
            let p = surface.point(uv.u, uv.v);
            let there = of.on_reference(p).filter(|n| n.distance <= reference.far && !n.is_beside(p, reference.slack()))?;
            value(surface, uv, &there)
        })
    })
}

fn collect<T>(all: &[T], progress: &mut dyn Progress, of: impl Fn(&T) -> Option<FaceMap>) -> Vec<FaceMap> {
    let mut maps = Vec::new();
    for one in all {
        if progress.cancelled() {
            return Vec::new();
        }
        maps.extend(of(one));
    }
    maps
}

/// A value over the box of a face's domain; None without domain, or without any value.
fn sampled(sheets: &Sheets<'_>, face: FaceId, size: f64, of: impl Fn(Point2) -> Option<f64>) -> Option<FaceMap> {
    let surface = &sheets.face(face)?.surface;
    let over = sheets.domain(face)?.bounds();
    let middle = surface.derivs(over.0.at(0.5), over.1.at(0.5), 1);
    let count = |length: f64| (length / (STEP * size)).ceil().clamp(COUNT.0, COUNT.1) as usize;
    let size = (count(middle.su.length() * over.0.length()), count(middle.sv.length() * over.1.length()));
    let values: Vec<f64> = grid(over, size).map(|uv| of(uv).filter(|x| x.is_finite()).unwrap_or(f64::NAN)).collect();
    values.iter().any(|x| !x.is_nan()).then_some(FaceMap { face, over, size, values })
}

fn grid((u, v): (Interval, Interval), (nu, nv): (usize, usize)) -> impl Iterator<Item = Point2> {
    let at = |i: usize, n: usize| i as f64 / (n - 1) as f64;
    (0..nv).flat_map(move |j| (0..nu).map(move |i| Point2::new(u.at(at(i, nu)), v.at(at(j, nv)))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::{Import, Report};
    use crate::geometry::Cylinder;
    use crate::geometry::fair_forms::{Ripple, forms, rippled};
    use crate::joins::Options;
    use crate::math::Frame;
    use crate::model::{Face, Model};
    use crate::nurbs::{KnotVector, Surface as Patch};
    use crate::progress::Silent;

    fn found(surfaces: Vec<Surface>) -> (Prepared, JoinGraph) {
        let parts = surfaces.iter().map(|_| String::new()).collect();
        let model = Model { faces: surfaces.into_iter().map(Face::whole).collect(), parts, ..Model::default() };
        let prepared = Prepared::new(Import { model, report: Report::default() });
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).unwrap();
        (prepared, graph)
    }

    /// A panel from y = 0 out to `side`·150 whose last row stands `lift` above a cylinder-like arc.
    fn side(side: f64, lift: f64) -> Surface {
        let row = |t: f64, z: f64| [0.0, 200.0, 400.0].map(|x| Point3::new(x, side * t, z));
        let net = [row(0.0, 0.0), row(50.0, 0.0), row(100.0, lift), row(150.0, 0.0)].concat();
        let patch = Patch::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(2).unwrap(), net, None).unwrap();
        Surface::Nurbs(patch)
    }

    /// Left flat, right raised by 3 t² (1 − t) h: the raised side stands proud by that and the other one back by it, to first order
    /// in the slope.
    #[test]
    fn the_side_that_is_raised_stands_proud_of_the_others_image() {
        let h = 0.2;
        let (prepared, graph) = found(vec![side(1.0, 0.0), side(-1.0, h)]);
        let maps = mirror_maps(&prepared, &graph, 500.0, &mut Silent);
        assert_eq!(maps.len(), 2);
        for map in &maps {
            // Both sides agree on which way is out.
            let sign = map.values.iter().copied().filter(|x| x.abs() > 0.01).map(f64::signum).reduce(|a, b| if a == b { a } else { 0.0 });
            for (i, got) in map.values.iter().enumerate() {
                let t = (i % map.size.0) as f64 / (map.size.0 - 1) as f64;
                let want = 3.0 * t * t * (1.0 - t) * h;
                assert!((got.abs() - want).abs() < 1e-4, "{got} against {want} at {t}");
            }
            assert!(sign.unwrap() != 0.0);
        }
        let most = |m: &FaceMap| m.values.iter().copied().fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        assert!(most(&maps[0]) * most(&maps[1]) < 0.0, "one proud, one back");
    }

    /// A cosine ripple laid on a cylinder stands off its reference by its own half height, √2 of its root mean square.
    #[test]
    fn a_ripple_stands_off_by_its_own_height() {
        let amplitude = 0.1;
        let ripple = Ripple { amplitude, length: 60.0, angle: 0.4, phase: 0.0 };
        let (prepared, graph) = found(vec![Surface::Nurbs(rippled(&forms()[0], &ripple))]);
        let maps = fair_maps(&prepared, &graph, &Memo::default(), 500.0, &mut Silent);
        // In the mean square: at the borders a fit has less to hold it and leaves more of the wave.
        let square = maps[0].values.iter().map(|x| x * x).sum::<f64>() / maps[0].values.len() as f64;
        let height = (2.0 * square).sqrt();
        assert!((height - amplitude).abs() < 0.1 * amplitude, "{height}");
    }

    /// A patch of degree 5 or less is its own reference.
    #[test]
    fn a_fair_patch_lies_on_its_reference() {
        let (prepared, graph) = found(vec![side(1.0, 9.0), Surface::Cylinder(Cylinder { frame: Frame::WORLD, radius: 80.0 })]);
        let maps = fair_maps(&prepared, &graph, &Memo::default(), 500.0, &mut Silent);
        assert_eq!(maps.len(), 1, "analytic faces have no reference of their own");
        assert!(maps[0].values.iter().all(|x| x.abs() < 1e-6), "{:?}", maps[0].values);
    }
}
