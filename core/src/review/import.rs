//! The import report as a record: what was read, what was mended, what was left out, and whether the size can be meant.

use super::number::Number;
use super::size::{self, Cause, Doubt};
use super::{FaceRepair, Prepared, Untrimmed};
use crate::exchange::Format;
use crate::math::Point3;
use crate::measure::strip_size;
use crate::model::FaceId;
use serde::Serialize;

/// How a file was read. Lengths mm. What was left out stands beside it, as `unread`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ImportRecord {
    pub format: &'static str,
    pub writer: String,
    pub preprocessor: String,
    pub entities: usize,
    pub unit: UnitRecord,
    /// How far apart points may lie and still be the same, as the file says.
    pub uncertainty: Option<Number>,
    pub size_doubt: Option<DoubtRecord>,
    pub repairs: Vec<RepairRecord>,
    pub untrimmed: Vec<UntrimmedRecord>,
    pub hidden_faces: usize,
    pub remarks: Vec<RemarkRecord>,
    /// Remarks beyond the limit, counted only.
    pub remarks_dropped: usize,
    pub free_curves: usize,
    pub meshes: Vec<MeshRecord>,
}

/// The unit of length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnitRecord {
    /// As the file states it.
    pub stated: String,
    /// Millimetres in one as the file states it.
    pub in_mm: Number,
    /// Millimetres it was taken for instead, on the word of whoever reads.
    pub read_in_mm: Option<Number>,
}

/// A doubt about the unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubtRecord {
    /// `small`, `large` or `thin`.
    pub cause: &'static str,
    /// In words.
    pub text: String,
    /// The thin face, where that is the cause.
    pub face: Option<usize>,
    /// Box diagonal as read.
    pub diagonal: Number,
    /// Units that would make the size plausible, the commonest first.
    pub guesses: Vec<GuessRecord>,
}

/// A unit the numbers may be meant in.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct GuessRecord {
    pub unit: &'static str,
    pub in_mm: Number,
    pub diagonal: Number,
}

/// Something wrong in the file that was mended; several of one kind on one face together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RepairRecord {
    /// Face, where it is one's.
    pub face: Option<usize>,
    /// Entity id; 0 where there is none.
    pub id: u64,
    /// Line, from 1; 0 when unknown.
    pub line: u32,
    /// What was mended: of several the one that was off farthest, else the first.
    pub text: String,
    /// How far off it was, where that is a length: the largest of several.
    pub size: Option<Number>,
    /// How many there are.
    pub count: usize,
}

/// A face shown without its boundary.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as above
pub struct UntrimmedRecord {
    pub face: usize,
    pub id: u64,
    pub line: u32,
    pub reason: String,
}

/// Something odd that was read around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs)] // as above
pub struct RemarkRecord {
    pub id: Option<u64>,
    pub line: Option<u32>,
    pub text: String,
}

/// A mesh kept for reference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs)] // as above
pub struct MeshRecord {
    pub name: String,
    pub points: usize,
    pub triangles: usize,
}

impl ImportRecord {
    /// The record of a prepared import whose box is known.
    pub fn new(prepared: &Prepared, bounds: Option<[Point3; 2]>) -> Self {
        let (model, report) = (&prepared.import.model, &prepared.import.report);
        let read_in_mm = report.unit_override.unwrap_or(model.unit.in_mm);
        Self {
            format: format_name(report.format),
            writer: report.writer.clone(),
            preprocessor: report.preprocessor.clone(),
            entities: report.entity_count,
            unit: UnitRecord {
                stated: model.unit.name.clone(),
                in_mm: Number(model.unit.in_mm),
                read_in_mm: report.unit_override.map(Number),
            },
            uncertainty: report.uncertainty.map(Number),
            size_doubt: size::doubt(bounds, strips(prepared), read_in_mm).as_ref().map(doubt_record),
            repairs: prepared.repairs.iter().map(repair).collect(),
            untrimmed: prepared.untrimmed.iter().map(untrimmed).collect(),
            hidden_faces: report.hidden_faces,
            remarks: report.remarks.iter().map(|r| RemarkRecord { id: r.entity, line: r.line, text: r.text.clone() }).collect(),
            remarks_dropped: report.remarks_dropped,
            free_curves: model.curves.len(),
            meshes: model
                .meshes
                .iter()
                .map(|m| MeshRecord { name: m.name.clone(), points: m.points.len(), triangles: m.triangles.len() })
                .collect(),
        }
    }
}

/// Index, width and length of every face that has both.
fn strips(prepared: &Prepared) -> impl Iterator<Item = (usize, f64, f64)> {
    let sheets = prepared.sheets();
    prepared.import.model.faces().filter_map(move |(id, _)| {
        sheets.domain(id)?;
        let (width, length) = strip_size(*prepared.areas.get(id.index())?, sheets.perimeter(id))?;
        Some((id.index(), width, length))
    })
}

fn repair(r: &FaceRepair) -> RepairRecord {
    let size = r.size.filter(|s| s.is_finite()).map(Number);
    RepairRecord { face: r.face.map(FaceId::index), id: r.entity, line: r.line, text: r.text.clone(), size, count: r.count }
}

fn untrimmed(u: &Untrimmed) -> UntrimmedRecord {
    UntrimmedRecord { face: u.face.index(), id: u.entity, line: u.line, reason: u.reason.clone() }
}

fn doubt_record(doubt: &Doubt) -> DoubtRecord {
    let (cause, face) = match doubt.cause {
        Cause::Small => ("small", None),
        Cause::Large => ("large", None),
        Cause::Thin { face, .. } => ("thin", Some(face)),
    };
    let guess = |g: &size::Guess| GuessRecord { unit: g.unit, in_mm: Number(g.in_mm), diagonal: Number(g.diagonal) };
    DoubtRecord {
        cause,
        text: doubt.to_string(),
        face,
        diagonal: Number(doubt.diagonal),
        guesses: doubt.guesses.iter().map(guess).collect(),
    }
}

fn format_name(format: Format) -> &'static str {
    match format {
        Format::Step => "STEP",
        Format::Iges => "IGES",
        Format::Stl => "STL",
        Format::Ply => "PLY",
    }
}
