//! Fillets of known section: radius within 0.1 %, setbacks within 0.2 %, opening within 0.05°.

use super::profiles::{Carry, Plane2, point, sheet};
use super::{Fillet, FilletStation, Fillets, balanced_radius, fillets};
use crate::joins::Sheets;
use crate::joins::arrangements::{graph_of, model_of, tilted};
use crate::math::real;
use crate::model::Model;

pub(super) fn found(model: &Model) -> Fillets {
    let graph = graph_of(model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    fillets(&Sheets { model, domains: &domains }, &graph)
}

/// What a section shows, worked out in the plane.
#[derive(Debug, Clone, Copy)]
struct Known {
    radius: f64,
    setbacks: [f64; 2],
    opening: f64,
    edge: [f64; 2],
    tangents: [f64; 2],
}

/// Two faces and the fillet between them, carried on; all sections are held to what is known.
fn hold(name: &str, [a, fillet, b]: [&Plane2; 3], carry: Carry, known: Known) -> Fillet {
    let frame = tilted();
    let model = model_of([a, fillet, b].map(|c| sheet(&frame, c, carry)).to_vec());
    let all = found(&model);
    assert_eq!(all.blends.iter().map(Option::is_some).collect::<Vec<_>>(), [false, true, false], "{name}");
    let [chain] = &all.chains[..] else { panic!("{name}: {} fillets", all.chains.len()) };
    assert!(chain.stations.len() >= 9, "{name}: {} stations", chain.stations.len());
    for s in &chain.stations {
        // The profile turned into this section: distances from the touching points tell the same.
        let near = |x: f64, y: f64, share: f64, what: &str| {
            assert!((x - y).abs() <= share * y.abs(), "{name}: {what} {x} against {y} at {}", s.along);
        };
        near(s.radius, known.radius, 1e-3, "radius");
        let setting = s.setting.unwrap_or_else(|| panic!("{name}: no theoretical edge"));
        let turned = s.beside[0].index() != 0;
        let mut setbacks = setting.setbacks;
        if turned {
            setbacks.reverse();
        }
        near(setbacks[0], known.setbacks[0], 2e-3, "first setback");
        near(setbacks[1], known.setbacks[1], 2e-3, "second setback");
        assert!((setting.opening - known.opening).abs() <= 0.05, "{name}: opening {} against {}", setting.opening, known.opening);
        let mean = 0.5 * (known.setbacks[0] + known.setbacks[1]);
        near(setting.equal, mean * real::tan(0.5 * known.opening.to_radians()), 2e-3, "equal radius");
        let tangents = s.tangents.expect("tangent lines that meet");
        let apart = real::hypot(known.edge[0] - known.tangents[0], known.edge[1] - known.tangents[1]);
        assert!(
            (setting.edge.distance(tangents) - apart).abs() <= 2e-3 * mean,
            "{name}: X_t and X_e are {} apart, not {apart}",
            setting.edge.distance(tangents)
        );
    }
    chain.clone()
}

fn cross(u: [f64; 2], v: [f64; 2]) -> f64 {
    u[0] * v[1] - u[1] * v[0]
}

/// Known from the curves themselves: the tightest of many places, tangent lines, and where both neighbours, run on, meet (found by
/// halving brackets along the first, by the side of the second's nearest place).
fn known([a, fillet, b]: [&Plane2; 3]) -> Known {
    let peak = (0..=100_000).map(|i| fillet.curvature(f64::from(i) / 1e5).abs()).fold(0.0, f64::max);
    let (at_a, at_b) = (a.derivs(1.0), b.derivs(0.0));
    let tangents = {
        let to = [at_b[0][0] - at_a[0][0], at_b[0][1] - at_a[0][1]];
        let x = cross(to, at_b[1]) / cross(at_a[1], at_b[1]);
        [at_a[0][0] + at_a[1][0] * x, at_a[0][1] + at_a[1][1] * x]
    };
    // Newton's method on both parameters, from the curves' ends.
    let (mut s, mut t) = (1.0, 0.0);
    for _ in 0..60 {
        let (p, q) = (a.derivs(s), b.derivs(t));
        let to = [q[0][0] - p[0][0], q[0][1] - p[0][1]];
        let sine = cross(p[1], q[1]);
        (s, t) = (s + cross(to, q[1]) / sine, t + cross(to, p[1]) / sine);
    }
    let (p, q) = (a.derivs(s), b.derivs(t));
    assert!(real::hypot(p[0][0] - q[0][0], p[0][1] - q[0][1]) < 1e-9, "the neighbours do not meet");
    let length = |v: [f64; 2]| real::hypot(v[0], v[1]);
    let setback = |from: [f64; 2]| length([from[0] - p[0][0], from[1] - p[0][1]]);
    let cosine = -(p[1][0] * q[1][0] + p[1][1] * q[1][1]) / (length(p[1]) * length(q[1]));
    Known {
        radius: 1.0 / peak,
        setbacks: [setback(at_a[0]), setback(at_b[0])],
        // The first runs into the edge, the second out of it.
        opening: real::acos(cosine).to_degrees(),
        edge: p[0],
        tangents,
    }
}

const CARRIES: [Carry; 3] = [Carry::Along(60.0), Carry::Round(90.0, 0.7), Carry::Round(-140.0, 0.5)];

/// Two straight faces that meet at the origin with interior angle `opening`, degrees, cut at their setbacks.
fn straight(opening: f64, [a, b]: [f64; 2]) -> [Plane2; 2] {
    let (sin, cos) = real::sin_cos(opening.to_radians());
    [Plane2::line([-60.0, 0.0], [-a, 0.0]), Plane2::line([-b * cos, b * sin], [-70.0 * cos, 70.0 * sin])]
}

fn ends([a, b]: &[Plane2; 2]) -> ([f64; 2], [f64; 2]) {
    (a.derivs(1.0)[0], b.derivs(0.0)[0])
}

#[test]
fn round_fillets_between_planes() {
    for opening in [25.0, 60.0, 90.0, 120.0, 155.0_f64] {
        for r in [1.5, 8.0] {
            // Closed form (measures §6): a = b = r / tan(φ/2).
            let a = r / real::tan(0.5 * opening.to_radians());
            let sides = straight(opening, [a, a]);
            let (p, q) = ends(&sides);
            let fillet = Plane2::conic(p, [0.0, 0.0], q, real::sin(0.5 * opening.to_radians()));
            let exact = Known { radius: r, setbacks: [a, a], opening, edge: [0.0; 2], tangents: [0.0; 2] };
            for carry in CARRIES {
                let chain = hold(&format!("round {opening} {r}"), [&sides[0], &fillet, &sides[1]], carry, exact);
                for s in &chain.stations {
                    assert!((s.setting.unwrap().balance() - 1.0).abs() < 1e-4);
                    assert!(s.lead.iter().all(|&l| l == 0.0), "a round fillet starts at its full curvature");
                    assert!((s.turn - (180.0 - opening)).abs() < 0.05);
                }
            }
        }
    }
}

#[test]
fn conic_fillets_of_known_setbacks_between_planes() {
    for (opening, setbacks, w) in
        [(90.0, [7.0, 10.0], core::f64::consts::FRAC_1_SQRT_2), (70.0, [4.0, 9.0], 0.6), (130.0, [12.0, 8.0], 0.5)]
    {
        let sides = straight(opening, setbacks);
        let (p, q) = ends(&sides);
        let fillet = Plane2::conic(p, [0.0, 0.0], q, w);
        let pieces = [&sides[0], &fillet, &sides[1]];
        let mut exact = known(pieces);
        (exact.setbacks, exact.opening) = (setbacks, opening);
        if opening == 90.0 {
            // The quarter of an ellipse is tightest at the end of its long half-axis: radius b²/a.
            assert!((exact.radius - 4.9).abs() < 1e-9);
        }
        for carry in CARRIES {
            let chain = hold(&format!("conic {opening}"), pieces, carry, exact);
            let balance = setbacks[0].min(setbacks[1]) / setbacks[0].max(setbacks[1]);
            assert!(chain.stations.iter().all(|s| (s.setting.unwrap().balance() - balance).abs() < 1e-3));
        }
    }
}

#[test]
fn fillets_that_lead_in_with_their_curvature_between_planes() {
    for (opening, a, rows) in [(90.0, 10.0, [0.72, 0.36]), (60.0, 7.0, [0.8, 0.45]), (125.0, 9.0_f64, [0.65, 0.25])] {
        let sides = straight(opening, [a, a]);
        let (p, q) = ends(&sides);
        let on = |end: [f64; 2], share: f64| [end[0] * share, end[1] * share, 1.0];
        // Three control points on either face: no curvature at the ends, and none of it jumps.
        let fillet = Plane2(vec![on(p, 1.0), on(p, rows[0]), on(p, rows[1]), on(q, rows[1]), on(q, rows[0]), on(q, 1.0)]);
        let pieces = [&sides[0], &fillet, &sides[1]];
        let exact = known(pieces);
        let circle = a * real::tan(0.5 * opening.to_radians());
        assert!((1.2..1.5).contains(&(circle / exact.radius)), "peaks at {} of the circle's curvature", circle / exact.radius);
        for carry in CARRIES {
            let chain = hold(&format!("led in {opening}"), pieces, carry, exact);
            for s in &chain.stations {
                assert!((s.lead[0] - s.lead[1]).abs() < 2e-2 * s.lead[0], "{:?}", s.lead);
                // By the curve itself.
                let (mut length, mut last) = (0.0, fillet.derivs(0.0)[0]);
                for i in 1..=20_000 {
                    let t = f64::from(i) / 20_000.0;
                    let here = fillet.derivs(t)[0];
                    length += real::hypot(here[0] - last[0], here[1] - last[1]);
                    last = here;
                    if fillet.curvature(t).abs() >= 0.9 / exact.radius {
                        break;
                    }
                }
                assert!((s.lead[0] - length).abs() < 1e-2 * length, "{} against {length}", s.lead[0]);
            }
        }
    }
}

/// A circle tangent to a line and to a circle: both edges apart by a known amount.
#[test]
fn a_cylinder_and_a_plane_tell_both_edges_apart() {
    // A circle of radius 40 round (0, 0) from above, the line y = −25, a fillet of radius 12 outside the circle and above the line.
    let (big, r, level) = (40.0, 12.0, -25.0_f64);
    let centre_y = level + r;
    let centre_x = -((big + r) * (big + r) - centre_y * centre_y).sqrt();
    let share = big / (big + r);
    let touch = [centre_x * share, centre_y * share];
    let down = real::atan2(touch[1], touch[0]);
    let circle = Plane2::arc([0.0, 0.0], big, real::FRAC_PI_2 + 0.2, down + 2.0 * real::PI);
    let fillet = Plane2::arc([centre_x, centre_y], r, real::atan2(touch[1] - centre_y, touch[0] - centre_x), -real::FRAC_PI_2);
    let line = Plane2::line([centre_x, level], [centre_x - 80.0, level]);
    let edge = [-(big * big - level * level).sqrt(), level];
    // The tangent at the touching point meets the line where x·tx + y·ty = R².
    let tangents = [(big * big - level * touch[1]) / touch[0], level];
    let setbacks = [real::hypot(touch[0] - edge[0], touch[1] - edge[1]), (centre_x - edge[0]).abs()];
    // Between the circle's tangent at the edge and the line.
    let opening = real::atan2(-edge[0], level.abs()).to_degrees();
    let exact = Known { radius: r, setbacks, opening, edge, tangents };
    let found = known([&circle, &fillet, &line]);
    assert!((found.opening - exact.opening).abs() < 1e-9, "{} {}", found.opening, exact.opening);
    assert!(real::hypot(edge[0] - tangents[0], 0.0) > 0.5, "both edges lie apart");
    for carry in CARRIES {
        hold("cylinder and plane", [&circle, &fillet, &line], carry, exact);
    }
}

#[test]
fn between_freeform_patches_run_on() {
    // Two curved faces that cross; each cut where the fillet touches it.
    let a = Plane2(vec![[-70.0, -9.0, 1.0], [-45.0, 2.0, 1.0], [-20.0, 3.0, 1.0], [12.0, -6.0, 1.0]]);
    let b = Plane2(vec![[4.0, -14.0, 1.0], [-4.0, 12.0, 1.0], [-12.0, 38.0, 1.0], [-30.0, 60.0, 1.0], [-42.0, 66.0, 1.0]]);
    for (cut_a, cut_b) in [(0.62, 0.42), (0.7, 0.5)] {
        let (first, second) = (a.part(cut_a, true), b.part(cut_b, false));
        let (p, q) = (first.derivs(1.0), second.derivs(0.0));
        let to = [q[0][0] - p[0][0], q[0][1] - p[0][1]];
        let x = cross(to, q[1]) / cross(p[1], q[1]);
        let corner = [p[0][0] + p[1][0] * x, p[0][1] + p[1][1] * x];
        let fillet = Plane2::conic(p[0], corner, q[0], 0.7);
        let pieces = [&first, &fillet, &second];
        let exact = known(pieces);
        let apart = real::hypot(exact.edge[0] - exact.tangents[0], exact.edge[1] - exact.tangents[1]);
        assert!(apart > 0.05, "{apart}");
        for carry in CARRIES {
            hold("freeform", pieces, carry, exact);
        }
    }
}

/// The first station's touching points lie on the profile.
#[test]
fn sections_lie_where_the_profile_does() {
    let sides = straight(100.0, [9.0, 9.0]);
    let (p, q) = ends(&sides);
    let fillet = Plane2::conic(p, [0.0, 0.0], q, real::sin(50.0_f64.to_radians()));
    let frame = tilted();
    let model = model_of([&sides[0], &fillet, &sides[1]].map(|c| sheet(&frame, c, Carry::Along(40.0))).to_vec());
    let chain = &found(&model).chains[0];
    let (z, length) = (frame.vector(0.0, 0.0, 1.0), chain.length);
    let on = |s: &FilletStation, k: usize| s.touch[k] - z * (s.touch[k] - frame.point(0.0, 0.0, 0.0)).dot(z);
    for s in &chain.stations {
        for (k, end) in [(0, p), (1, q)] {
            let k = if s.beside[0].index() == 0 { k } else { 1 - k };
            assert!(on(s, k).distance(point(&frame, end)) < 1e-6);
        }
        assert!(s.direction.dot(z).abs() > 1.0 - 1e-12 && s.along <= length);
    }
    assert!((length - 40.0).abs() < 1e-6);
}

/// The remedy: a round of that radius between the same faces has the balance asked for, here by the closed form of a circle that
/// touches a circle and a line.
#[test]
fn the_round_offered_is_balanced() {
    let (big, level) = (40.0, -25.0_f64);
    let edge = [-(big * big - level * level).sqrt(), level];
    // Setbacks of a round of radius r outside the circle and above the line.
    let exact = |r: f64| {
        let centre = [-((big + r) * (big + r) - (level + r) * (level + r)).sqrt(), level + r];
        let touch = centre.map(|x| x * big / (big + r));
        (real::hypot(touch[0] - edge[0], touch[1] - edge[1]), edge[0] - centre[0])
    };
    let balance = |r: f64| {
        let (a, b) = exact(r);
        a.min(b) / a.max(b)
    };
    let mut limited = 0;
    for (up, out) in [(30.0, 19.0), (24.0, 40.0), (12.0, 5.0_f64)] {
        // Touching points that far from the edge, roughly: an angle on the circle, a distance on the line.
        let start = real::atan2(edge[1], edge[0]) + 2.0 * real::PI;
        let turn = start - 2.0 * real::asin(0.5 * up / big);
        let circle = Plane2::arc([0.0, 0.0], big, turn - 0.5, turn);
        let p = circle.derivs(1.0);
        let x = (level - p[0][1]) / p[1][1];
        let line = Plane2::line([edge[0] - out, level], [edge[0] - out - 80.0, level]);
        let fillet = Plane2::conic(p[0], [p[0][0] + p[1][0] * x, level], [edge[0] - out, level], 0.7);
        let model = model_of([&circle, &fillet, &line].map(|c| sheet(&tilted(), c, Carry::Along(50.0))).to_vec());
        let graph = graph_of(&model);
        let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        let sheets = Sheets { model: &model, domains: &domains };
        let all = fillets(&sheets, &graph);
        let station = &all.chains[0].stations[4];
        let setting = station.setting.unwrap();
        assert!((setting.balance() - up.min(out) / up.max(out)).abs() < 1e-6);
        for wanted in [0.8, 0.95] {
            let r = balanced_radius(&sheets, &graph, station, wanted).expect("a round");
            if balance(setting.equal) >= wanted {
                assert_eq!(r, setting.equal);
            } else {
                limited += 1;
                assert!((balance(r) - wanted).abs() < 1e-6, "{} for {wanted}", balance(r));
            }
        }
    }
    assert!(limited > 1, "the closed form was asked {limited} times");
}
