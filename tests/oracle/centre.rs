//! The centre line of every half model at hand: what is told across it, held to what symmetry says. The gap is twice the distance from
//! the plane; the angle twice that between the surface's normal and the plane; where the halves are smooth their curvatures are equal and
//! the slopes opposite, and where they are not, neither applies (statements of elementary geometry, for a border in the plane).

use rakelight_core::exchange::{Limits, read};
use rakelight_core::geometry::SurfaceSearch;
use rakelight_core::joins::{JoinGraph, Options, Reach};
use rakelight_core::layout::MirrorExtent;
use rakelight_core::math::real;
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::data;

/// Distance from the plane up to which a border counts as lying in it, mm.
const IN_PLANE: f64 = 1e-6;

/// Angles that differ by less are those of positions of some metres in twelve digits, degrees.
const ANGLE: f64 = 1e-9;

/// Curvature and slope below which neither counts, 1/mm and 1/mm² (the yardstick's floors): smaller ones are held to a share of these, as
/// a straight section has nothing but rounding.
const FLOORS: (f64, f64) = (2e-5, 2e-7);

/// What of them may differ.
const SHARE: f64 = 1e-9;

#[test]
fn half_models_keep_to_symmetry() {
    let (mut halves, mut looked_at, mut wrong) = (0, 0, Vec::new());
    for file in data::models("centre lines") {
        let import = read(&file.bytes(), file.name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{}: {e}", file.name));
        let prepared = Prepared::new(import);
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
        let Some(mirror) = graph.mirror.as_ref().filter(|m| m.extent == MirrorExtent::Half) else { continue };
        halves += 1;
        let normal = mirror.plane.normal();
        let (mut stations, mut off, mut joins) = (0, 0.0_f64, 0);
        for join in graph.joins.iter().filter(|j| j.mirrored) {
            joins += 1;
            let Some(face) = join.faces.first().and_then(|f| prepared.import.model.face(*f)) else { continue };
            let search = SurfaceSearch::new(&face.surface);
            for station in join.stations.iter().step_by(5) {
                let m = &station.measures;
                let distance = station.p.to_vec().dot(normal).abs();
                if (m.gap - 2.0 * distance).abs() > 1e-9 {
                    wrong.push(format!("{}: a gap of {} at {distance} mm from the plane", file.name, m.gap));
                }
                let foot = search.closest(&face.surface, station.p);
                let d = face.surface.derivs(foot.uv.u, foot.uv.v, 1);
                let (Some(got), Some(n)) = (m.angle.filter(|_| distance < IN_PLANE), d.su.cross(d.sv).try_normalize()) else { continue };
                let want = 2.0 * real::atan2(n.dot(normal).abs(), n.cross(normal).length()).to_degrees();
                (stations, off) = (stations + 1, off.max((got - want).abs()));
                if (got - want).abs() > ANGLE {
                    wrong.push(format!("{}: an angle of {got} against {want} at {:?}", file.name, station.p));
                }
                match (m.curvature, m.slope) {
                    (Some(k), Some(s)) => {
                        let even =
                            (k.a - k.b).abs() <= SHARE * k.peak().max(FLOORS.0) && (s.a + s.b).abs() <= SHARE * s.peak().max(FLOORS.1);
                        if !even || got > Reach::default().angle {
                            wrong.push(format!("{}: {k:?} and {s:?} at {got} degrees at {:?}", file.name, station.p));
                        }
                    }
                    _ if got <= Reach::default().angle => println!("{}: no curvature at {:?}", file.name, station.p),
                    _ => {}
                }
            }
        }
        println!("{}: {joins} joins on the centre plane, {stations} stations, angles within {off:.1e} degrees", file.name);
        looked_at += stations;
    }
    println!("{halves} half models, {looked_at} stations");
    assert!(halves >= 1 && looked_at >= 10, "only {looked_at} stations of {halves} models");
    assert!(wrong.is_empty(), "{} wrong, such as {:#?}", wrong.len(), &wrong[..wrong.len().min(5)]);
}
