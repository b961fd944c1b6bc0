//! Findings as the page takes them: the records of `check --json` with what is drawn for each.

use rakelight_core::finding::Finding;
use rakelight_core::review::FindingRecord;
use serde::Serialize;

/// A finding's record and its polylines, each x, y, z after x, y, z in mm.
#[derive(Serialize)]
pub struct PageFinding {
    #[serde(flatten)]
    record: FindingRecord,
    drawn: Vec<Vec<f64>>,
}

impl PageFinding {
    /// The page's record of a finding.
    pub fn new(finding: &Finding) -> Self {
        let flat = |line: &Vec<rakelight_core::math::Point3>| line.iter().flat_map(|p| [p.x, p.y, p.z]).collect();
        PageFinding { record: FindingRecord::new(finding), drawn: finding.drawn.iter().map(flat).collect() }
    }
}
