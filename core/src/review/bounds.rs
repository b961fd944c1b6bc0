//! The box round a model, to more digits than its triangles have.

use crate::geometry::{Domain, DomainSide, Surface, TrimPoint};
use crate::math::{Point2, Point3, Vec2, Vec3};
use crate::model::{Face, FreeCurve, Model};
use crate::tessellate::FaceMesh;
use core::cell::OnceCell;

/// A box that grows with the faces taken into it.
///
/// Triangles only tell where a face reaches farthest: from there each of the six extremes is looked for on the surface
/// itself, inside the face and along its border. Faces that are shown untrimmed count by their triangles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    low: Vec3,
    high: Vec3,
}

impl Default for Bounds {
    fn default() -> Self {
        Self { low: Vec3::INFINITY, high: Vec3::NEG_INFINITY }
    }
}

impl Bounds {
    /// Takes a face in. `domain` is the face's own.
    pub fn add(&mut self, mesh: &FaceMesh, face: &Face, domain: Option<&Domain>) {
        let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
        let own = domain.is_some_and(|d| d.untrimmed.is_none());
        let points = if own { on_surface(mesh, &face.surface) } else { mesh.positions.clone() };
        for p in &points {
            (low, high) = (low.min(p.to_vec()), high.max(p.to_vec()));
        }
        (self.low, self.high) = (self.low.min(low), self.high.max(high));
        let Some(domain) = domain.filter(|d| d.untrimmed.is_none()) else { return };
        let slack = BEYOND * mesh.deviation + OF_FACE * (high - low).length();
        let reach = Reach { mesh, points: &points, surface: &face.surface, domain, slack, sides: OnceCell::new() };
        for axis in 0..3 {
            let way = Vec3::AXES[axis];
            if high[axis] + slack >= self.high[axis] {
                self.high[axis] = self.high[axis].max(reach.farthest(way, self.high[axis]));
            }
            if low[axis] - slack <= self.low[axis] {
                self.low[axis] = self.low[axis].min(-reach.farthest(-way, -self.low[axis]));
            }
        }
    }

    /// Takes a curve without a face in.
    pub fn add_curve(&mut self, piece: &FreeCurve) {
        let (a, b) = (piece.t0.min(piece.t1), piece.t0.max(piece.t1));
        let mut stops = vec![a];
        stops.extend(piece.curve.breaks_between(a, b));
        stops.push(b);
        for w in stops.windows(2) {
            let at = |k: usize| w[0] + (w[1] - w[0]) * k as f64 / LOOKS as f64;
            for k in 0..LOOKS {
                let (from, to) = (at(k), at(k + 1));
                self.take(piece.curve.point(from));
                self.take(piece.curve.point(to));
                for way in Vec3::AXES {
                    // Just inside, where derivatives are this stretch's own.
                    let slope = |t: f64| piece.curve.tangent(t).dot(way);
                    let (mut low, mut high) = (from, to - 1e-9 * (to - from));
                    let rising = slope(low) > 0.0;
                    if (slope(high) > 0.0) == rising {
                        continue;
                    }
                    for _ in 0..40 {
                        let middle = 0.5 * (low + high);
                        if (slope(middle) > 0.0) == rising { low = middle } else { high = middle }
                    }
                    self.take(piece.curve.point(0.5 * (low + high)));
                }
            }
        }
    }

    fn take(&mut self, p: Point3) {
        if p.is_finite() {
            (self.low, self.high) = (self.low.min(p.to_vec()), self.high.max(p.to_vec()));
        }
    }

    /// Takes the meshes of a model without faces in, which has no other box.
    pub fn add_references(&mut self, model: &Model) {
        if model.faces.is_empty() {
            for p in model.meshes.iter().flat_map(|mesh| &mesh.points) {
                self.low = self.low.min(p.to_vec());
                self.high = self.high.max(p.to_vec());
            }
        }
    }

    /// Least and greatest corner, mm; None while nothing is in it.
    pub fn corners(&self) -> Option<[Point3; 2]> {
        (self.low.x <= self.high.x).then(|| [Point3::from_vec(self.low), Point3::from_vec(self.high)])
    }
}

/// How far beyond its triangles a face may reach: multiples of the largest distance seen between them. Larger: more
/// faces are searched in vain; smaller: a face just short of the box by its triangles is passed over.
const BEYOND: f64 = 4.0;

/// The same as a share of the face's own size.
const OF_FACE: f64 = 1e-3;

/// Vertices the search inside starts from. Smaller: of two humps nearly as high the lower may be taken.
const STARTS: usize = 6;

/// Distance up to which vertices are one place, as a share of what a face may reach beyond its triangles. Larger: neighbours are left
/// out; smaller: rounding keeps the vertices of a pole apart.
const ONE_PLACE: f64 = 1e-6;

/// Parts an interval between two nodes of a border is cut into. Smaller: a hump between two of them is passed over.
const PARTS: usize = 4;

/// Stretches between two breaks of a free curve. Smaller: of two humps between neighbours one is passed over.
const LOOKS: usize = 12;

/// The vertices of a mesh on the surface itself. Those of its border stand on the edges that faces share, from which their
/// surfaces may lie apart by the file's own tolerance: a box of edges would be larger than what they bound.
fn on_surface(mesh: &FaceMesh, surface: &Surface) -> Vec<Point3> {
    let mut points = mesh.positions.clone();
    for &n in mesh.borders.iter().flat_map(|b| &b.vertices) {
        if let (Some(p), Some(uv)) = (points.get_mut(n as usize), mesh.uv.get(n as usize)) {
            let own = surface.point(uv.u, uv.v);
            if own.is_finite() {
                *p = own;
            }
        }
    }
    points
}

/// One face, asked how far it reaches.
struct Reach<'a> {
    mesh: &'a FaceMesh,
    /// Its vertices on the surface.
    points: &'a [Point3],
    surface: &'a Surface,
    domain: &'a Domain,
    slack: f64,
    /// Points along each side of the border, made when first needed.
    sides: OnceCell<Vec<(&'a DomainSide, Vec<TrimPoint>)>>,
}

impl<'a> Reach<'a> {
    /// The greatest p·way over the face, or `known` when that is greater.
    fn farthest(&self, way: Vec3, known: f64) -> f64 {
        let mut best = known;
        let mut starts: Vec<(f64, Point3, Point2)> = Vec::new();
        for (p, &uv) in self.points.iter().zip(&self.mesh.uv) {
            let x = p.to_vec().dot(way);
            let last = if starts.len() < STARTS { f64::NEG_INFINITY } else { starts.last().map_or(f64::NEG_INFINITY, |s| s.0) };
            // All vertices of a pole are one place, from which most of their ways lead down.
            let new = || starts.iter().all(|s| s.1.distance(*p) > ONE_PLACE * self.slack);
            if x > last && x + self.slack >= best && new() {
                starts.insert(starts.partition_point(|s| s.0 >= x), (x, *p, uv));
                starts.truncate(STARTS);
            }
        }
        for (_, _, uv) in starts {
            let (top, x) = climb(self.surface, uv, way);
            if x > best && self.domain.contains(top) {
                best = x;
            }
        }
        for (side, points) in self.sides.get_or_init(|| self.along()) {
            best = best.max(self.highest(side, points, way, best));
        }
        best
    }

    /// Points along every side.
    fn along(&self) -> Vec<(&'a DomainSide, Vec<TrimPoint>)> {
        let points = |side: &'a DomainSide| {
            let nodes = side.nodes();
            let mut shares: Vec<f64> = Vec::new();
            for w in nodes.windows(2) {
                shares.extend((0..PARTS).map(|k| w[0].0 + (w[1].0 - w[0].0) * k as f64 / PARTS as f64));
            }
            shares.extend(nodes.last().map(|n| n.0));
            (side, shares.into_iter().map(|s| side.at(self.surface, s)).collect())
        };
        self.domain.loops.iter().flat_map(|l| &l.sides).map(points).collect()
    }

    /// The highest point of a side, from the highest of its points.
    fn highest(&self, side: &DomainSide, points: &[TrimPoint], way: Vec3, known: f64) -> f64 {
        let height = |p: &TrimPoint| p.point.to_vec().dot(way);
        let mut best = points.iter().map(height).filter(|x| x.is_finite()).fold(known, f64::max);
        for w in points.windows(3) {
            let [a, b, c] = w else { continue };
            let (x, y, z) = (height(a), height(b), height(c));
            // A hump between neighbours is not much higher than they differ.
            if y < x || y < z || y + (y - x) + (y - z) + self.slack < best {
                continue;
            }
            best = best.max(hump(self.surface, side, (a.s, c.s), way));
        }
        // At the ends the hump may lie in the first or last interval.
        for w in [points.get(..2), points.len().checked_sub(2).and_then(|k| points.get(k..))].into_iter().flatten() {
            if let [a, b] = w
                && height(a).max(height(b)) + self.slack >= best
            {
                best = best.max(hump(self.surface, side, (a.s, b.s), way));
            }
        }
        best
    }
}

/// Height where the slope along a side vanishes between two shares, by halving; −∞ when it does not change its sign.
fn hump(surface: &Surface, side: &DomainSide, (mut a, mut b): (f64, f64), way: Vec3) -> f64 {
    // Tangents go by rising share, whichever way the side runs.
    if a > b {
        core::mem::swap(&mut a, &mut b);
    }
    let at = |s: f64| side.at(surface, s);
    let slope = |p: &TrimPoint| p.tangent.dot(way);
    if slope(&at(a)) <= 0.0 || slope(&at(b)) >= 0.0 {
        return f64::NEG_INFINITY;
    }
    let mut best = f64::NEG_INFINITY;
    // Halving 24 times leaves 6e-8 of an interval, over which a hump is flat to the square of that.
    for _ in 0..24 {
        let p = at(0.5 * (a + b));
        best = best.max(p.point.to_vec().dot(way));
        if slope(&p) > 0.0 { a = p.s } else { b = p.s }
    }
    best
}

/// Most steps of the climb; Newton's method needs five.
const STEPS: usize = 40;

/// The nearest place where the surface is highest in direction `way`, held to the surface's own domain: Newton's method
/// on the gradient, or along the steepest way where the surface does not bend down; steps are halved that do not rise.
fn climb(surface: &Surface, start: Point2, way: Vec3) -> (Point2, f64) {
    let (du, dv) = surface.domain();
    let (pu, pv) = surface.periods();
    let held = |uv: Point2| Point2::new(if pu.is_some() { uv.u } else { du.clamp(uv.u) }, if pv.is_some() { uv.v } else { dv.clamp(uv.v) });
    let mut uv = held(start);
    let mut d = surface.derivs(uv.u, uv.v, 2);
    let mut height = d.s.to_vec().dot(way);
    for _ in 0..STEPS {
        let mut slope = Vec2::new(d.su.dot(way), d.sv.dot(way));
        // On the domain's own side only the way along it, or back inside, is open.
        let shut = |t: f64, over: crate::math::Interval, period: Option<f64>, g: f64| {
            period.is_none() && ((t <= over.low && g < 0.0) || (t >= over.high && g > 0.0))
        };
        let (shut_u, shut_v) = (shut(uv.u, du, pu, slope.x), shut(uv.v, dv, pv, slope.y));
        if shut_u {
            slope.x = 0.0;
        }
        if shut_v {
            slope.y = 0.0;
        }
        let (a, b, c) = (d.suu.dot(way), d.suv.dot(way), d.svv.dot(way));
        let det = a * c - b * b;
        let step = if shut_u || shut_v || !(a < 0.0 && det > 0.0) {
            // Steepest in space, as long as the bend allows where it is downwards.
            let over = |g: f64, bend: f64, speed: f64| {
                if bend < 0.0 {
                    -g / bend
                } else if speed > 0.0 {
                    g / speed
                } else {
                    0.0
                }
            };
            Vec2::new(over(slope.x, a, d.su.length_squared()), over(slope.y, c, d.sv.length_squared()))
        } else {
            Vec2::new((b * slope.y - c * slope.x) / det, (b * slope.x - a * slope.y) / det)
        };
        let mut share = 1.0;
        let mut taken = None;
        for _ in 0..12 {
            let next = held(uv + step * share);
            let e = surface.derivs(next.u, next.v, 2);
            let x = e.s.to_vec().dot(way);
            if x > height {
                taken = Some((next, e, x));
                break;
            }
            share *= 0.5;
        }
        let Some((next, e, x)) = taken else { break };
        (uv, d, height) = (next, e, x);
    }
    (uv, height)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Curve, Ellipse, Sphere, Torus};
    use crate::math::Frame;
    use crate::model::{Model, PartId, Source};
    use crate::progress::Silent;
    use crate::tessellate::{Tolerance, tessellate};
    use proptest::prelude::*;

    fn boxed(surface: Surface) -> [Point3; 2] {
        let mut model = Model::default();
        model.faces.push(Face::whole(surface));
        let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        let meshes = tessellate(&model, &domains, &Tolerance::for_size(1e3), &mut Silent);
        let mut bounds = Bounds::default();
        for ((mesh, face), domain) in meshes.faces.iter().zip(&model.faces).zip(&domains) {
            bounds.add(mesh.as_ref().unwrap(), face, domain.as_ref());
        }
        bounds.corners().unwrap()
    }

    /// An ellipse about a tilted axis reaches √(a² x_i² + b² y_i²) along axis i.
    #[test]
    fn of_a_free_curve_is_its_support() {
        for tilt in [0.0, 0.3, 1.1, 2.9] {
            let frame = Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(tilt, 1.0, 0.4)), Some(Vec3::X));
            let curve = Curve::Ellipse(Ellipse { frame, semi_x: 7.0, semi_y: 2.5 });
            for (t0, t1) in [(0.0, 6.3), (1.0 + 6.3, 1.0)] {
                let mut bounds = Bounds::default();
                let (name, layers, part) = (String::new(), Vec::new(), PartId::new(0));
                bounds.add_curve(&FreeCurve { name, curve: curve.clone(), t0, t1, colour: None, layers, part, source: Source::default() });
                let [low, high] = bounds.corners().unwrap();
                for axis in 0..3 {
                    let want = (49.0 * frame.x[axis] * frame.x[axis] + 6.25 * frame.y[axis] * frame.y[axis]).sqrt();
                    assert!(((high - frame.origin)[axis] - want).abs() < 1e-12 && ((low - frame.origin)[axis] + want).abs() < 1e-12);
                }
            }
        }
    }

    /// The outermost place of the ball lies 1.7° from a pole: the vertices of the pole itself stand farther out than all others.
    #[test]
    fn of_a_ball_beside_its_pole() {
        support(-0.22902078504102666, -0.9521631487996658, 0.0, 0.1).unwrap();
    }

    /// A torus about the unit axis z reaches R √(1 − z_i²) + r from its centre along axis i: the support function
    /// of the circle of radius R square to z, plus the tube's.
    fn support(x: f64, y: f64, z: f64, radius: f64) -> Result<(), TestCaseError> {
        let centre = Point3::new(100.0 * x, 30.0, -2.0);
        let frame = Frame::from_axis(centre, Some(Vec3::new(y, z, x + 0.2)), Some(Vec3::new(z, 0.1, y)));
        let torus = boxed(Surface::Torus(Torus { frame, major: 5.0, minor: radius }));
        let ball = boxed(Surface::Sphere(Sphere { frame, radius }));
        for axis in 0..3 {
            let want = 5.0 * (1.0 - frame.z[axis] * frame.z[axis]).max(0.0).sqrt() + radius;
            for (got, sign) in torus.iter().zip([-1.0, 1.0]) {
                let off = (*got - centre)[axis] - sign * want;
                prop_assert!(off.abs() < 1e-9, "torus, axis {axis}: {off}");
            }
            for (got, sign) in ball.iter().zip([-1.0, 1.0]) {
                let off = (*got - centre)[axis] - sign * radius;
                prop_assert!(off.abs() < 1e-9, "ball, axis {axis}: {off}");
            }
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(6))]
        #[test]
        fn of_a_torus_and_a_sphere_is_their_support(x in -1.0f64..1.0, y in -1.0f64..1.0, z in -1.0f64..1.0, radius in 0.1f64..4.0) {
            support(x, y, z, radius)?;
        }
    }
}
