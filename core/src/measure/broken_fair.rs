//! Forms designed to depart from their fair reference by a known amount, and forms that do not.
//!
//! A height over (ξ, s) that is a polynomial of degree 5 at most is its own reference. A Legendre polynomial of degree 6 to 8 across
//! stays outside it: it is orthogonal to all of lower degree (Abramowitz & Stegun, 22.2.10, from memory; checked below). What
//! stripes do on either is then known in closed form: spacing 1/|∇f| and tangent from the first and second derivatives of the
//! heights (elementary differential geometry), without the spline, its derivatives or the tracing.

use super::broken_stripes::findings;
use super::fair::fair_stripes;
use super::fair_stripes::Stripe;
use super::{Memo, Subject};
use crate::finding::{Finding, MeasureId, Severity};
use crate::geometry::{Domain, Surface};
use crate::highlight::LampRig;
use crate::joins::{JoinGraph, Options, Sheets};
use crate::math::{Interval, Point3, Vec3, real};
use crate::model::{Face, Model};
use crate::nurbs::KnotVector;
use crate::nurbs::fit::{SurfaceGrid, fit_grid};
use crate::progress::Silent;

const SIDE: f64 = 600.0;
const WHOLE: Interval = Interval { low: 0.0, high: 1.0 };

/// z = ½κ ξ² (1 + τ s) + h P(ξ/300) sᵐ over 600 mm by a side, ξ = x − 300, s = y/side, m 1 or 2.
#[derive(Clone, Copy)]
struct Panel {
    curvature: f64,
    taper: f64,
    height: f64,
    degree: usize,
    power: usize,
    /// Length along the stripes, mm.
    side: f64,
}

/// P, P′ and P″ by Bonnet's recursion.
fn legendre(n: usize, x: f64) -> [f64; 3] {
    let (mut before, mut here) = ([1.0, 0.0, 0.0], [x, 1.0, 0.0]);
    for k in 1..n {
        let (a, b) = ((2 * k + 1) as f64 / (k + 1) as f64, k as f64 / (k + 1) as f64);
        let next = [
            a * x * here[0] - b * before[0],
            a * (here[0] + x * here[1]) - b * before[1],
            a * (2.0 * here[1] + x * here[2]) - b * before[2],
        ];
        (before, here) = (here, next);
    }
    here
}

/// Orthonormal, lit from a direction that leans by 40° across the rulings, where the usual rig's light stands.
fn axes() -> [Vec3; 3] {
    let light = LampRig::usual().direction;
    let along = light.cross(Vec3::new(0.3, -0.2, 0.8)).normalize();
    let across = along.cross(light);
    let (sin, cos) = real::sin_cos(f64::to_radians(40.0));
    // Towards the light: −sin x + cos z.
    [across * cos - light * sin, along, across * sin + light * cos]
}

fn world(p: Vec3) -> Point3 {
    let [x, y, z] = axes();
    Point3::new(-70.0, 40.0, 900.0) + x * p.x + y * p.y + z * p.z
}

fn local(p: Point3) -> Vec3 {
    let d = p - Point3::new(-70.0, 40.0, 900.0);
    let [x, y, z] = axes();
    Vec3::new(d.dot(x), d.dot(y), d.dot(z))
}

/// A stripe at a place of a height field.
struct Seen {
    value: f64,
    spacing: f64,
    tangent: Vec3,
    normal: Vec3,
}

impl Panel {
    fn sound(self) -> Panel {
        Panel { height: 0.0, ..self }
    }

    /// z, zx, zy, zxx, zxy, zyy.
    fn heights(&self, x: f64, y: f64) -> [f64; 6] {
        let (xi, s, half) = (x - 300.0, y / self.side, 300.0);
        let [p, p1, p2] = legendre(self.degree, xi / half);
        let (k, t, h) = (self.curvature, self.taper, self.height);
        let (q, q1, q2) = if self.power == 1 { (s, 1.0, 0.0) } else { (s * s, 2.0 * s, 2.0) };
        [
            0.5 * k * xi * xi * (1.0 + t * s) + h * p * q,
            k * xi * (1.0 + t * s) + h * p1 / half * q,
            (0.5 * k * xi * xi * t + h * p * q1) / self.side,
            k * (1.0 + t * s) + h * p2 / (half * half) * q,
            (k * xi * t + h * p1 / half * q1) / self.side,
            h * p * q2 / (self.side * self.side),
        ]
    }

    fn surface(&self) -> Surface {
        let (ku, kv) = (KnotVector::bezier(8).unwrap(), KnotVector::bezier(2).unwrap());
        let shares = |n: usize| (0..=n).map(|i| i as f64 / n as f64).collect::<Vec<f64>>();
        let (u, v) = (shares(24), shares(6));
        let place = |a: f64, b: f64| world(Vec3::new(SIDE * a, self.side * b, self.heights(SIDE * a, self.side * b)[0]));
        let points = u.iter().flat_map(|&a| v.iter().map(move |&b| place(a, b))).collect();
        Surface::Nurbs(fit_grid(&ku, &kv, &SurfaceGrid { u, v, points, weights_u: None, weights_v: None }, None, &[]).unwrap())
    }

    /// The isophote through a place.
    fn seen(&self, x: f64, y: f64) -> Seen {
        let (sin, cos) = real::sin_cos(f64::to_radians(40.0));
        let light = Vec3::new(-sin, 0.0, cos);
        let [_, zx, zy, zxx, zxy, zyy] = self.heights(x, y);
        let up = Vec3::new(-zx, -zy, 1.0);
        let length = up.length();
        let facing = up.dot(light) / length;
        let value = real::acos(facing);
        let change = |d: Vec3| -(d.dot(light) / length - up.dot(light) * up.dot(d) / (length * length * length)) / real::sin(value);
        let (fx, fy) = (change(Vec3::new(-zxx, -zxy, 0.0)), change(Vec3::new(-zxy, -zyy, 0.0)));
        let (tx, ty) = (Vec3::new(1.0, 0.0, zx), Vec3::new(0.0, 1.0, zy));
        let (e, f, g) = (tx.dot(tx), tx.dot(ty), ty.dot(ty));
        let square = (g * fx * fx - 2.0 * f * fx * fy + e * fy * fy) / (e * g - f * f);
        let spacing = LampRig::usual().spacing / square.sqrt();
        Seen { value, spacing, tangent: (tx * fy - ty * fx).normalize(), normal: up / length }
    }

    /// x of the isophote of a value near another x, at y.
    fn at(&self, value: f64, near: f64, y: f64) -> f64 {
        let excess = |x: f64| self.seen(x, y).value - value;
        let (mut low, mut high) = (near - 120.0, near + 120.0);
        assert!((excess(low) > 0.0) != (excess(high) > 0.0), "no isophote of {value} beside {near}");
        let rising = excess(high) > 0.0;
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if (excess(middle) > 0.0) == rising { high = middle } else { low = middle }
        }
        0.5 * (low + high)
    }

    /// Spread and climb against the sound panel, of the isophote through places from end to end, at even lengths.
    fn wanted(&self, line: &[Vec3]) -> (f64, f64) {
        let sound = self.sound();
        let own: Vec<Seen> = line.iter().map(|p| self.seen(p.x, p.y)).collect();
        let value = own[0].value;
        assert!(own.iter().all(|s| (s.value - value).abs() < 1e-9), "one stripe");
        let beside: Vec<(f64, f64)> = line.iter().map(|p| (sound.at(value, p.x, p.y), p.y)).collect();
        let fair: Vec<Seen> = beside.iter().map(|&(x, y)| sound.seen(x, y)).collect();
        let lift = |(x, y): (f64, f64)| Vec3::new(x, y, sound.heights(x, y)[0]);
        let chord = lift(beside[beside.len() - 1]) - lift(beside[0]);
        let angle = |s: &Seen| {
            let flat = chord - s.normal * chord.dot(s.normal);
            let a = real::atan2(s.normal.dot(flat.cross(s.tangent)), flat.dot(s.tangent));
            (a - real::PI * (a / real::PI).round()).to_degrees()
        };
        // Means over the first and the last fifth: six of 26 places.
        let parts = |all: &[Seen], of: &dyn Fn(&Seen) -> f64| {
            let mean = |over: &[Seen]| over.iter().map(of).sum::<f64>() / over.len() as f64;
            (mean(&all[..6]), mean(&all[all.len() - 6..]))
        };
        let spacing = |s: &Seen| s.spacing;
        let (a, b) = (parts(&own, &spacing), parts(&fair, &spacing));
        let (c, d) = (parts(&own, &angle), parts(&fair, &angle));
        let ratio = (a.1 / a.0) / (b.1 / b.0);
        (ratio.max(1.0 / ratio), ((c.1 - c.0) - (d.1 - d.0)).abs())
    }
}

fn stripes_of(surface: Surface) -> Vec<Stripe> {
    let domains = [Domain::rectangle(&surface, WHOLE, WHOLE).ok()];
    let areas = [domains[0].as_ref().unwrap().area(&surface)];
    let model = Model { faces: vec![Face::whole(surface)], parts: vec!["one".into()], ..Model::default() };
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).unwrap();
    let subject = Subject { sheets, areas: &areas, graph: &graph, memo: &Memo::default(), reference: None };
    fair_stripes(&subject).to_vec()
}

/// But for how they are built: splines of a high degree that a sound form does not need.
fn bad(surface: Surface) -> Vec<Finding> {
    let built = |f: &Finding| ["rows.", "layout."].iter().any(|kind| f.measure.text().starts_with(kind));
    findings(vec![(surface, WHOLE, WHOLE)]).into_iter().filter(|f| f.severity != Severity::Good && !built(f)).collect()
}

const PANELS: [Panel; 5] = [
    Panel { curvature: 1e-3, taper: 0.0, height: 0.3, degree: 7, power: 1, side: 600.0 },
    Panel { curvature: 1e-3, taper: 0.0, height: 0.4, degree: 8, power: 2, side: 600.0 },
    Panel { curvature: 8e-4, taper: 0.25, height: -0.3, degree: 7, power: 2, side: 500.0 },
    Panel { curvature: 1.2e-3, taper: -0.2, height: 0.4, degree: 8, power: 1, side: 600.0 },
    Panel { curvature: 9e-4, taper: 0.4, height: 0.35, degree: 7, power: 1, side: 700.0 },
];

/// Stripes turn along it more than they spread: it is short.
const TURNING: Panel = Panel { curvature: 1e-3, taper: 0.0, height: 0.11, degree: 7, power: 2, side: 200.0 };

#[test]
fn spread_and_climb_are_those_of_the_design() {
    let (mut count, mut off) = (0, [0.0f64; 3]);
    for panel in PANELS.into_iter().chain([TURNING]) {
        for s in stripes_of(panel.surface()) {
            let line = &s.drawn[0];
            let (spread, climb) = panel.wanted(&line.iter().map(|&p| local(p)).collect::<Vec<_>>());
            let now = [
                (s.spread / spread - 1.0).abs(),
                (s.climb - climb).abs() / climb.max(1.0),
                (s.spread - spread).abs() / (spread - 1.0).max(0.2),
            ];
            off = [0, 1, 2].map(|k| off[k].max(now[k]));
            count += 1;
        }
    }
    println!(
        "{count} stripes; spread off by {:.2} % ({:.2} % of what is beyond 1), climb by {:.2} %",
        100.0 * off[0],
        100.0 * off[2],
        100.0 * off[1]
    );
    assert!(count >= 40, "{count}");
    assert!(off[0] < 0.05 && off[1] < 0.05, "{off:?}");
}

#[test]
fn a_panel_that_opens_or_turns_more_than_its_reference_is_listed_once() {
    for (panel, measure) in [(PANELS[0], MeasureId::HighlightSpread), (TURNING, MeasureId::HighlightClimb)] {
        assert!(bad(panel.sound().surface()).is_empty());
        let mut found = bad(panel.surface());
        // The one that opens is hollow in a corner, which is a finding of its own.
        found.retain(|f| f.measure != MeasureId::FormHollow);
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!(one.measure, measure);
        let worst = stripes_of(panel.surface())
            .iter()
            .map(|s| if measure == MeasureId::HighlightClimb { s.climb } else { s.spread })
            .fold(0.0, f64::max);
        assert_eq!(one.value, worst);
        assert!(one.drawn.len() == 2 && one.drawn.iter().all(|l| l.len() == 26) && one.extent > 0.9 * panel.side);
    }
}

/// A form over shares of a square, as a spline of six spans of degree 5 each way.
fn form(height: impl Fn(f64, f64) -> Vec3) -> Surface {
    let k = KnotVector::uniform(5, 6).unwrap();
    let shares: Vec<f64> = (0..=40).map(|i| f64::from(i) / 40.0).collect();
    let points = shares.iter().flat_map(|&a| shares.iter().map(|&b| world(height(a, b))).collect::<Vec<Point3>>()).collect();
    let grid = SurfaceGrid { u: shares.clone(), v: shares, points, weights_u: None, weights_v: None };
    Surface::Nurbs(fit_grid(&k, &k, &grid, None, &[]).unwrap())
}

#[test]
fn sound_forms_give_nothing() {
    let flat = |a: f64, b: f64, z: f64| Vec3::new(SIDE * a, SIDE * b, z);
    let s_shaped = form(|a, b| flat(a, b, 140.0 * (2.0 * a - 1.0) * ((2.0 * a - 1.0) * (2.0 * a - 1.0) - 0.6) * (0.7 + 0.6 * b)));
    let twisted = form(|a, b| flat(a, b, 180.0 * (a - 0.5) * (b - 0.5) + 40.0 * a * a));
    let tapered = form(|a, b| flat(a, b, 300.0 * (a - 0.5) * (a - 0.5) * (1.0 - 0.5 * b)));
    let stepped = form(|a, b| flat(a, b, 15.0 * real::sinh(6.0 * (a - 0.5)) / real::cosh(6.0 * (a - 0.5)) + 60.0 * b * (1.0 - b)));
    let ball = form(|a, b| {
        let ((sa, ca), (sb, cb)) = (real::sin_cos(0.8 * (a - 0.5)), real::sin_cos(0.7 * (b - 0.5)));
        Vec3::new(sa * cb, sb, ca * cb) * 700.0
    });
    let cone = form(|a, b| {
        let (sin, cos) = real::sin_cos(0.9 * (a - 0.5));
        let r = 300.0 + 150.0 * b;
        Vec3::new(r * sin, SIDE * b, r * cos)
    });
    for (name, s) in [("S", s_shaped), ("twist", twisted), ("taper", tapered), ("step", stepped), ("ball", ball), ("cone", cone)] {
        let found: Vec<_> = bad(s).into_iter().filter(|f| f.measure.text().starts_with("highlight")).collect();
        assert!(found.is_empty(), "{name}: {found:#?}");
    }
}
