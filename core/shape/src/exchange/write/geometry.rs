//! Points, curves and surfaces as entities. ISO 10303-42.

use super::emit::{Emit, Id, flag, ids, listed, real, reals};
use crate::exchange::part21::encode;
use crate::exchange::step::compressed;
use crate::geometry::{Chain, Curve, Offset, Pcurve, Surface};
use crate::math::{Frame, Point3, Vec3};
use crate::nurbs::{self, KnotVector};

impl Emit {
    pub(super) fn point(&mut self, p: Point3) -> Id {
        self.put(&format!("CARTESIAN_POINT('',{})", reals(&p.to_array())))
    }

    fn point2(&mut self, p: [f64; 2]) -> Id {
        self.put(&format!("CARTESIAN_POINT('',{})", reals(&p)))
    }

    fn direction(&mut self, d: Vec3) -> Id {
        self.put(&format!("DIRECTION('',{})", reals(&d.to_array())))
    }

    /// A placement with the frame's first two axes; its third is what they make right-handed.
    pub(super) fn placement(&mut self, frame: &Frame) -> Id {
        let (origin, axis, x) = (self.point(frame.origin), self.direction(frame.x.cross(frame.y)), self.direction(frame.x));
        self.put(&format!("AXIS2_PLACEMENT_3D('',#{origin},#{axis},#{x})"))
    }

    pub(super) fn curve(&mut self, curve: &Curve) -> Id {
        self.named_curve(curve, "")
    }

    /// A curve that bears a name.
    pub(super) fn named_curve(&mut self, curve: &Curve, name: &str) -> Id {
        let label = encode(name);
        match curve {
            Curve::Line(c) => {
                let length = c.direction.length();
                let (p, d) = (self.point(c.origin), self.direction(c.direction / length));
                let v = self.put(&format!("VECTOR('',#{d},{})", real(length)));
                self.put(&format!("LINE({label},#{p},#{v})"))
            }
            Curve::Circle(c) => {
                let at = self.placement(&c.frame);
                self.put(&format!("CIRCLE({label},#{at},{})", real(c.radius)))
            }
            Curve::Ellipse(c) => {
                let at = self.placement(&c.frame);
                self.put(&format!("ELLIPSE({label},#{at},{},{})", real(c.semi_x), real(c.semi_y)))
            }
            Curve::Nurbs(c) => {
                let points: Vec<Id> = c.points().iter().map(|&[x, y, z]| self.point(Point3::new(x, y, z))).collect();
                self.spline(&label, &points, c.knots(), c.weights())
            }
            Curve::Chain(c) => self.chain(&label, c),
            Curve::Parabola(c) => {
                let at = self.placement(&c.frame);
                self.put(&format!("PARABOLA({label},#{at},{})", real(c.focal)))
            }
            Curve::Hyperbola(c) => {
                let at = self.placement(&c.frame);
                self.put(&format!("HYPERBOLA({label},#{at},{},{})", real(c.semi_x), real(c.semi_y)))
            }
            Curve::Offset(c) => {
                let (basis, reference) = (self.curve(&c.basis), self.direction(c.reference));
                self.put(&format!("OFFSET_CURVE_3D({label},#{basis},{},.U.,#{reference})", real(c.distance)))
            }
        }
    }

    fn chain(&mut self, label: &str, chain: &Chain) -> Id {
        let mut segments = Vec::new();
        for piece in &chain.pieces {
            let basis = self.curve(&piece.curve);
            let (a, b) = (real(piece.start), real(piece.end));
            let forward = flag(piece.end > piece.start);
            let body = format!("TRIMMED_CURVE('',#{basis},(PARAMETER_VALUE({a})),(PARAMETER_VALUE({b})),{forward},.PARAMETER.)");
            let trimmed = self.put(&body);
            segments.push(self.put(&format!("COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#{trimmed})")));
        }
        self.put(&format!("COMPOSITE_CURVE({label},{},.F.)", ids(&segments)))
    }

    fn spline(&mut self, label: &str, points: &[Id], knots: &KnotVector, weights: Option<&[f64]>) -> Id {
        let (degree, points, knots) = (knots.degree(), ids(points), knot_text(&[knots]));
        match weights {
            None => self.put(&format!("B_SPLINE_CURVE_WITH_KNOTS({label},{degree},{points},.UNSPECIFIED.,.F.,.F.,{knots},.UNSPECIFIED.)")),
            Some(w) => {
                let w = reals(w);
                self.put(&format!(
                    "(BOUNDED_CURVE()B_SPLINE_CURVE({degree},{points},.UNSPECIFIED.,.F.,.F.)\
                     B_SPLINE_CURVE_WITH_KNOTS({knots},.UNSPECIFIED.)CURVE()GEOMETRIC_REPRESENTATION_ITEM()\
                     RATIONAL_B_SPLINE_CURVE({w})REPRESENTATION_ITEM({label}))"
                ))
            }
        }
    }

    /// A curve in a parameter plane; None when it is a single point.
    pub(super) fn plane_curve(&mut self, curve: &Pcurve) -> Option<Id> {
        match curve {
            Pcurve::Line(c) => {
                let length = c.direction.length();
                if length == 0.0 {
                    return None;
                }
                let d = c.direction / length;
                let (p, d) = (self.point2([c.origin.u, c.origin.v]), self.put(&format!("DIRECTION('',{})", reals(&[d.x, d.y]))));
                let v = self.put(&format!("VECTOR('',#{d},{})", real(length)));
                Some(self.put(&format!("LINE('',#{p},#{v})")))
            }
            Pcurve::Conic(_) => None,
            Pcurve::Nurbs(c) => {
                let points: Vec<Id> = c.points().iter().map(|&p| self.point2(p)).collect();
                Some(self.spline("''", &points, c.knots(), c.weights()))
            }
        }
    }

    /// A surface that bears a name. Left-handed frames, which reflections leave, are not to be written: see [`righted`].
    pub(super) fn surface(&mut self, surface: &Surface, name: &str) -> Id {
        let label = encode(name);
        match surface {
            Surface::Plane(s) => {
                let at = self.placement(&s.frame);
                self.put(&format!("PLANE({label},#{at})"))
            }
            Surface::Cylinder(s) => {
                let at = self.placement(&s.frame);
                self.put(&format!("CYLINDRICAL_SURFACE({label},#{at},{})", real(s.radius)))
            }
            Surface::Cone(s) => {
                let at = self.placement(&s.frame);
                self.put(&format!("CONICAL_SURFACE({label},#{at},{},{})", real(s.radius), real(s.half_angle)))
            }
            Surface::Sphere(s) => {
                let at = self.placement(&s.frame);
                self.put(&format!("SPHERICAL_SURFACE({label},#{at},{})", real(s.radius)))
            }
            Surface::Torus(s) => {
                let at = self.placement(&s.frame);
                let (major, minor) = (real(s.major), real(s.minor));
                if s.major < s.minor {
                    return self.put(&format!("DEGENERATE_TOROIDAL_SURFACE({label},#{at},{major},{minor},.T.)"));
                }
                self.put(&format!("TOROIDAL_SURFACE({label},#{at},{major},{minor})"))
            }
            Surface::Nurbs(s) => self.patch(s, &label),
            Surface::Revolution(s) => {
                let profile = self.curve(&s.profile);
                let (origin, axis) = (self.point(s.frame.origin), self.direction(s.frame.x.cross(s.frame.y)));
                let axis = self.put(&format!("AXIS1_PLACEMENT('',#{origin},#{axis})"));
                self.put(&format!("SURFACE_OF_REVOLUTION({label},#{profile},#{axis})"))
            }
            Surface::Extrusion(s) => {
                let length = s.direction.length();
                let (directrix, d) = (self.curve(&s.directrix), self.direction(s.direction / length));
                let vector = self.put(&format!("VECTOR('',#{d},{})", real(length)));
                self.put(&format!("SURFACE_OF_LINEAR_EXTRUSION({label},#{directrix},#{vector})"))
            }
            Surface::Offset(s) => {
                let basis = self.surface(&s.basis, "");
                self.put(&format!("OFFSET_SURFACE({label},#{basis},{},.U.)", real(s.distance)))
            }
            Surface::Ruled(_) => self.ruled(surface, name),
        }
    }

    pub(super) fn patch(&mut self, s: &nurbs::Surface, label: &str) -> Id {
        let (_, columns) = s.size();
        let points: Vec<Id> = s.points().iter().map(|&p| self.point(p)).collect();
        let net = listed(points.chunks(columns).map(ids));
        let (u, v) = (s.knots_u().degree(), s.knots_v().degree());
        let knots = knot_text(&[s.knots_u(), s.knots_v()]);
        match s.weights() {
            None => {
                self.put(&format!("B_SPLINE_SURFACE_WITH_KNOTS({label},{u},{v},{net},.UNSPECIFIED.,.F.,.F.,.F.,{knots},.UNSPECIFIED.)"))
            }
            Some(w) => {
                let w = listed(w.chunks(columns).map(reals));
                self.put(&format!(
                    "(BOUNDED_SURFACE()B_SPLINE_SURFACE({u},{v},{net},.UNSPECIFIED.,.F.,.F.,.F.)\
                     B_SPLINE_SURFACE_WITH_KNOTS({knots},.UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()\
                     RATIONAL_B_SPLINE_SURFACE({w})REPRESENTATION_ITEM({label})SURFACE())"
                ))
            }
        }
    }
}

/// Multiplicities of every direction, then knots of every direction.
fn knot_text(vectors: &[&KnotVector]) -> String {
    let (times, values): (Vec<_>, Vec<_>) = vectors.iter().map(|k| compressed(k.knots())).unzip();
    let times = times.iter().map(|m| listed(m.iter().map(ToString::to_string)));
    let values = values.iter().map(|k| reals(k));
    times.chain(values).collect::<Vec<_>>().join(",")
}

/// The surface with a right-handed frame, and whether u has changed its sign for that (and the normal with it).
pub(super) fn righted(surface: &Surface) -> (Surface, bool) {
    let mut surface = surface.clone();
    let frame = match &mut surface {
        // A plane's parameters only need its first two axes.
        Surface::Plane(_) | Surface::Nurbs(_) | Surface::Ruled(_) | Surface::Extrusion(_) => return (surface, false),
        Surface::Offset(s) => {
            // With u turned on the basis its normal points the other way, so the same surface lies at the opposite distance.
            let (basis, turned) = righted(&s.basis);
            let distance = if turned { -s.distance } else { s.distance };
            return (Surface::Offset(Offset { basis: Box::new(basis), distance }), turned);
        }
        // Its axis is written as x × y, whichever way its frame turns.
        Surface::Revolution(_) => return (surface, false),
        Surface::Cylinder(s) => &mut s.frame,
        Surface::Cone(s) => &mut s.frame,
        Surface::Sphere(s) => &mut s.frame,
        Surface::Torus(s) => &mut s.frame,
    };
    let left = frame.x.cross(frame.y).dot(frame.z) < 0.0;
    if left {
        frame.y = -frame.y;
    }
    (surface, left)
}
