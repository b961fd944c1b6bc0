//! Curves and surfaces, analytic or spline, and what can be asked of them at a point.

mod analytic;
mod assemble;
mod closest;
mod conic_arcs;
mod curve;
mod curve_closest;
mod curve_spline;
mod differential;
mod domain;
mod domain_area;
mod domain_fault;
mod domain_repair;
#[cfg(test)]
mod domain_spline_tests;
#[cfg(test)]
mod domain_swept_tests;
#[cfg(test)]
mod domain_tests;
#[cfg(any(test, feature = "forms"))]
pub mod fair_forms;
mod fair_reference;
#[cfg(test)]
mod fair_reference_tests;
mod follow;
mod form;
mod intersect;
mod jet;
mod joined;
mod loop_chain;
mod loop_circle;
mod loop_contact;
mod loop_cut;
mod loop_gap;
mod loop_nest;
mod loop_order;
mod loop_parts;
mod loop_seams;
mod loop_untie;
mod offset;
mod offset_curve;
mod outer_border;
mod parameter_correction;
mod pcurve;
mod pole;
#[cfg(test)]
mod published;
mod rail;
mod region;
#[cfg(test)]
mod repair_tests;
mod search;
mod search_spans;
mod search_sweep;
mod series;
mod spline_form;
mod surface;
mod sweep;
mod sweep_section;
mod sweep_spline;
#[cfg(test)]
mod sweep_tests;
mod swept;
#[cfg(test)]
mod swept_tests;
#[cfg(test)]
pub(crate) mod test_patch;
mod trim;
mod trim_nodes;
mod twist;
mod untrimmed;

/// What the model builds domains with.
pub(crate) mod domain_of {
    pub(crate) use super::assemble::{assemble, natural};
    pub(crate) use super::loop_chain::BoundaryUse;
    pub(crate) use super::untrimmed::untrimmed;
}

pub(crate) use conic_arcs::conic_arcs;

pub use analytic::{Circle, Cone, Cylinder, Ellipse, Hyperbola, Line, Parabola, Plane, Sphere, Torus};
pub use closest::{Foot, closest_on_surface, near};
pub use curve::{Chain, ChainPiece, Curve};
pub use curve_closest::{CurveFoot, closest_on_curve};
pub use differential::{Curvatures, Principal, Section, curvatures, principal, section};
pub use domain::{Domain, DomainLoop, DomainSide, SideOrigin};
pub use domain_fault::DomainFault;
pub use domain_repair::DomainRepair;
pub use fair_reference::{FAIR_DEGREE, FairError, FairReference};
pub use follow::followed;
pub use form::{Form, FormSample, convexity, form_samples};
pub use intersect::{RayHit, ray_on_surface};
pub use joined::joined;
pub use offset::Offset;
pub use offset_curve::OffsetCurve;
pub use parameter_correction::{corrected_on_curve, corrected_on_surface};
pub use pcurve::{Conic2, Line2, Pcurve};
pub use pole::{Pole, PoleLine, closures, poles};
pub use rail::{Pairing, Stretch};
pub use region::Region;
pub use search::SurfaceSearch;
pub use spline_form::{SplineFormError, spline_form};
pub use surface::{Spans, Surface, SurfaceKind};
pub use sweep::{RailSweep, SweepError};
pub use swept::{Extrusion, Revolution, Ruled};
pub use trim::{Trim, TrimError, TrimNode, TrimPoint};
pub use twist::twist;
