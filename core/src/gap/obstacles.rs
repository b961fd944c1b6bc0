//! Whether a ball that touches the model at a point is free of it everywhere else.

use crate::geometry::{Region, closest_on_surface};
use crate::joins::{JoinGraph, Sheets};
use crate::layout::{Boxes, Item};
use crate::math::{Interval, Point2, Point3, Vec3};
use crate::model::FaceId;
use std::collections::BTreeMap;

/// Size, mm, of the cells that faces are looked up by. Larger: feet are searched from too far off; smaller: slower.
const CELL: f64 = 12.0;
const CELLS: (f64, f64) = (3.0, 24.0);

/// How far, mm, faces may reach into the ball: larger, and edges in shallow grooves count as touched; smaller, and what was rounded in
/// the file blocks the ball.
const TOUCH: f64 = 0.05;

/// The faces of a model as obstacles.
pub(super) struct Obstacles<'a> {
    sheets: &'a Sheets<'a>,
    regions: Vec<Option<Region>>,
    /// Face, parameters and point of each cell.
    cells: Vec<(FaceId, Point2, Point3)>,
    of_cells: Boxes,
    /// Points of the model itself: in cells, and along borders.
    points: Boxes,
}

impl<'a> Obstacles<'a> {
    pub fn new(sheets: &'a Sheets<'a>, graph: &JoinGraph) -> Self {
        let mut regions: Vec<Option<Region>> = Vec::new();
        let (mut cells, mut boxes, mut points) = (Vec::new(), Vec::new(), Vec::new());
        let at = |p: Point3, r: f64, id: usize| Item { low: p.to_vec() - Vec3::splat(r), high: p.to_vec() + Vec3::splat(r), id };
        for (id, face) in sheets.model.faces() {
            let region = sheets.domain(id).filter(|_| !graph.is_copy(id)).map(Region::new);
            if let Some(region) = &region {
                let (u, v) = region.bounds();
                let d = face.surface.derivs(u.at(0.5), v.at(0.5), 1);
                let count = |length: f64| (length / CELL).ceil().clamp(CELLS.0, CELLS.1) as usize;
                let (nu, nv) = (count(d.su.length() * u.length()), count(d.sv.length() * v.length()));
                for (uv, half) in grid((u, v), (nu, nv)) {
                    let d = face.surface.derivs(uv.u, uv.v, 1);
                    boxes.push(at(d.s, 1.1 * (d.su.length() * half.0 + d.sv.length() * half.1), cells.len()));
                    if region.contains(uv) {
                        points.push(at(d.s, 0.0, points.len()));
                    }
                    cells.push((id, uv, d.s));
                }
            }
            regions.push(region);
        }
        for p in graph.joins.iter().flat_map(|j| &j.stations).map(|s| s.p) {
            points.push(at(p, 0.0, points.len()));
        }
        Self { sheets, regions, cells, of_cells: Boxes::new(boxes), points: Boxes::new(points) }
    }

    /// True when the ball of `radius` mm that touches at `p` from unit direction `from` holds nothing of the model: the nearest points
    /// of all faces near it are solved for.
    pub fn is_free(&self, p: Point3, from: Vec3, radius: f64) -> bool {
        let centre = p + from * radius;
        let within = radius - TOUCH;
        if self.points.any_near(centre, within) {
            return false;
        }
        let mut near: BTreeMap<FaceId, (f64, Point2)> = BTreeMap::new();
        self.of_cells.each_near(centre, within, |id| {
            let Some(&(face, uv, point)) = self.cells.get(id) else { return };
            let distance = point.distance(centre);
            let best = near.entry(face).or_insert((distance, uv));
            if distance < best.0 {
                *best = (distance, uv);
            }
        });
        !near.iter().any(|(face, (_, uv))| self.reaches(*face, *uv, centre, within))
    }

    fn reaches(&self, face: FaceId, seed: Point2, centre: Point3, within: f64) -> bool {
        let (Some(f), Some(Some(region))) = (self.sheets.face(face), self.regions.get(face.index())) else { return false };
        let foot = closest_on_surface(&f.surface, centre, seed);
        foot.distance < within && region.contains(foot.uv)
    }
}

/// Middles of a grid's cells, with half their size.
fn grid((u, v): (Interval, Interval), (nu, nv): (usize, usize)) -> impl Iterator<Item = (Point2, (f64, f64))> {
    let half = (0.5 * u.length() / nu as f64, 0.5 * v.length() / nv as f64);
    let at = move |i: usize, j: usize| Point2::new(u.at((i as f64 + 0.5) / nu as f64), v.at((j as f64 + 0.5) / nv as f64));
    (0..nu).flat_map(move |i| (0..nv).map(move |j| (at(i, j), half)))
}
