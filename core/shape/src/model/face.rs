//! Faces and their boundaries.

use super::{Colour, EdgeId, PartId, Source};
use crate::geometry::{Pcurve, Surface};
use crate::math::Point3;

/// A trimmed face.
#[derive(Debug, Clone)]
pub struct Face {
    /// Name from the file, often empty.
    pub name: String,
    /// The surface.
    pub surface: Surface,
    /// True when the face's normal is Su × Sv, false when it is the opposite.
    pub same_sense: bool,
    /// Boundary loops; the outer one first where the file says which. Empty: the surface's whole domain.
    pub loops: Vec<Loop>,
    /// Why part of the boundary could not be read, in words for the user; None when all of it was. `loops` then holds
    /// what could be read, often nothing, and does not bound the face.
    pub boundary_lost: Option<String>,
    /// Colour from the file.
    pub colour: Option<Colour>,
    /// Names of the layers it lies on.
    pub layers: Vec<String>,
    /// The part (instance) it belongs to.
    pub part: PartId,
    /// Where it was written.
    pub source: Source,
}

/// A closed boundary.
#[derive(Debug, Clone, PartialEq)]
pub enum Loop {
    /// Edges end to end, the face on the left seen against the face's normal.
    Edges(Vec<EdgeUse>),
    /// The boundary has shrunk to a point (an apex or pole).
    Vertex(Point3),
}

/// An edge as one face uses it.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeUse {
    /// The edge.
    pub edge: EdgeId,
    /// True when the loop runs along the edge, false against it.
    pub forward: bool,
    /// The file's own curve in the surface's (u, v), running along the edge (start to end), if it gives one.
    pub pcurve: Option<TrimCurve>,
}

/// A bounded piece of a parameter-plane curve.
#[derive(Debug, Clone, PartialEq)]
pub struct TrimCurve {
    /// The curve.
    pub curve: Pcurve,
    /// Parameter at the edge's start.
    pub t0: f64,
    /// Parameter at the edge's end.
    pub t1: f64,
}

impl Face {
    /// The whole of a surface, its normal Su × Sv, of the first part and with no name.
    pub fn whole(surface: Surface) -> Self {
        Self {
            name: String::new(),
            surface,
            same_sense: true,
            loops: Vec::new(),
            boundary_lost: None,
            colour: None,
            layers: Vec::new(),
            part: PartId::new(0),
            source: Source::default(),
        }
    }
}

impl Loop {
    /// The edge uses; none for a point.
    pub fn uses(&self) -> &[EdgeUse] {
        match self {
            Loop::Edges(uses) => uses,
            Loop::Vertex(_) => &[],
        }
    }

    /// Runs it the other way, as a face turned over needs it.
    pub fn turn_over(&mut self) {
        if let Loop::Edges(uses) = self {
            uses.reverse();
            uses.iter_mut().for_each(|u| u.forward = !u.forward);
        }
    }
}
