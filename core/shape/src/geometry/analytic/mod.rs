//! Analytic curves and surfaces with the parametrisations of ISO 10303-42.

mod cone;
mod conics;
mod cylinder;
mod line;
mod plane;
mod ring;
mod sphere;
mod torus;

pub use cone::Cone;
pub use conics::{Circle, Ellipse, Hyperbola, Parabola};
pub use cylinder::Cylinder;
pub use line::Line;
pub use plane::Plane;
pub use sphere::Sphere;
pub use torus::Torus;
