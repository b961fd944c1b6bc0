//! Triangle meshes (STL and PLY) to a model that holds them for reference: they bound nothing and are not measured.
//!
//! Neither format has a published standard; what is read here is common practice. Neither names a unit, so numbers are
//! taken as millimetres and a remark says so. Deliberately absent: colours, normals, texture coordinates, and clouds of
//! points without faces.

mod gather;
mod place;
mod ply;
mod stl;
mod words;

use super::Limits;
use super::report::{Format, Import, ReadError, Remark, Report};
use crate::math::Point3;
use crate::model::{Mesh, Model, Source};
use crate::progress::{Progress, Stage};

pub(super) use ply::read as read_ply;
pub(super) use stl::{has_facets, has_whole_size, read as read_stl};

/// What a mesh file gave before it becomes a model.
#[derive(Debug, Default)]
struct Found {
    meshes: Vec<Mesh>,
    remarks: Vec<Remark>,
    /// Facets or rows in the file.
    entities: usize,
}

impl Found {
    fn remark(&mut self, text: String) {
        self.remarks.push(Remark { entity: None, line: None, text });
    }

    /// The model of a file called `name`; an error when no triangle is left.
    fn import(mut self, format: Format, schema: &str, name: &str, limits: &Limits) -> Result<Import, ReadError> {
        self.meshes.retain(|mesh| !mesh.triangles.is_empty());
        if self.meshes.is_empty() {
            let why = self.remarks.first().map_or(String::new(), |remark| format!(": {}", remark.text));
            return Err(ReadError::file(Source::default(), format!("the file holds no triangle with an area{why}")));
        }
        let in_mm = limits.in_mm(1.0);
        if in_mm == 1.0 {
            self.remark("the file names no unit; its numbers are taken as millimetres".into());
        }
        for point in self.meshes.iter_mut().flat_map(|mesh| &mut mesh.points) {
            *point = Point3::from_vec(point.to_vec() * in_mm);
        }
        let mut report = Report { format, entity_count: self.entities, ..Report::default() };
        report.remarks_dropped = self.remarks.len().saturating_sub(limits.remarks);
        self.remarks.truncate(limits.remarks);
        report.remarks = self.remarks;
        let model = Model { name: name.into(), schema: schema.into(), meshes: self.meshes, ..Model::default() };
        Ok(Import { model, report })
    }
}

/// Steps between two reports. Larger: Cancel answers late; smaller: reports cost as much as reading.
const REPORT_EACH: usize = 1 << 16;

/// Reports now and then, and says when to stop.
fn step(progress: &mut dyn Progress, done: usize, total: usize) -> Result<(), ReadError> {
    if done.is_multiple_of(REPORT_EACH) {
        progress.report(Stage::Read, done, total);
        if progress.cancelled() {
            return Err(ReadError::cancelled());
        }
    }
    Ok(())
}
