//! Curves and surfaces, analytic or spline, and what can be asked of them at a point.

mod analytic;
mod curve;
mod differential;
mod pcurve;
mod surface;

pub use analytic::{Circle, Cone, Cylinder, Ellipse, Line, Plane, Sphere, Torus};
pub use curve::{Chain, ChainPiece, Curve};
pub use differential::{Curvatures, Section, curvatures, section};
pub use pcurve::{Conic2, Line2, Pcurve};
pub use surface::{Surface, SurfaceKind};
