//! Rows of control points of a patch, along u and along v.

use super::Subject;
use crate::finding::Place;
use crate::geometry::Surface;
use crate::joins::Role;
use crate::math::{Point2, Point3};
use crate::model::FaceId;
use crate::nurbs;

/// Spline faces whose control rows are judged, with their patches: no copies, and no transitions, whose rows follow the borders of what
/// they lie between.
pub fn judged<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (FaceId, &'a nurbs::Surface)> {
    let graph = subject.graph;
    subject.sheets.model.faces().filter_map(move |(id, face)| match &face.surface {
        Surface::Nurbs(patch) if !graph.is_copy(id) && graph.roles.get(id.index()) != Some(&Role::Transition) => Some((id, patch)),
        _ => None,
    })
}

/// One row of the net.
#[derive(Debug, Clone, PartialEq)]
pub struct NetRow {
    /// True for a row along u.
    pub along_u: bool,
    /// Which one, counted across from 0.
    pub index: usize,
    /// Its control points.
    pub points: Vec<Point3>,
    /// Their Greville abscissae.
    pub greville: Vec<f64>,
    /// The row's own, across.
    pub across: f64,
}

/// All rows of a patch along u, or along v.
pub fn net_rows(patch: &nurbs::Surface, along_u: bool) -> Vec<NetRow> {
    let (nu, nv) = patch.size();
    let (count, rows) = if along_u { (nu, nv) } else { (nv, nu) };
    let (knots, other) = if along_u { (patch.knots_u(), patch.knots_v()) } else { (patch.knots_v(), patch.knots_u()) };
    let (greville, across) = (knots.greville(), other.greville());
    let row = |index: usize| {
        let at = |i: usize| if along_u { i * nv + index } else { index * nv + i };
        let points = (0..count).filter_map(|i| patch.points().get(at(i)).copied()).collect();
        Some(NetRow { along_u, index, points, greville: greville.clone(), across: across.get(index).copied()? })
    };
    (0..rows).filter_map(row).collect()
}

impl NetRow {
    /// Sum of its legs, mm.
    pub fn length(&self) -> f64 {
        self.points.windows(2).map(|w| w[0].distance(w[1])).sum()
    }

    /// Each leg as a share of the row; none for a row without length.
    pub fn shares(&self) -> Vec<f64> {
        let length = self.length();
        if length > 0.0 { self.points.windows(2).map(|w| w[0].distance(w[1]) / length).collect() } else { Vec::new() }
    }

    /// Parameters of the patch at control point `i`.
    pub fn uv(&self, patch: &nurbs::Surface, i: usize) -> Point2 {
        let (u, v) = patch.domain();
        let along = self.greville.get(i).copied().unwrap_or(0.0);
        if self.along_u { Point2::new(u.clamp(along), v.clamp(self.across)) } else { Point2::new(u.clamp(self.across), v.clamp(along)) }
    }

    /// The place on the patch at control point `i`.
    pub fn place(&self, patch: &nurbs::Surface, face: FaceId, i: usize) -> Place {
        let uv = self.uv(patch, i);
        Place { point: patch.derivs(uv.u, uv.v, 0).s, face: Some(face), uv: Some(uv), along: None }
    }

    /// "row 3 along u", counted from 1.
    pub fn name(&self) -> String {
        format!("row {} along {}", self.index + 1, if self.along_u { "u" } else { "v" })
    }
}
