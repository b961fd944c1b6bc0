//! What any bytes at all must not do to a reader: panic, hang, or take memory without measure.
//!
//! The same bodies are fuzzed (`tests/fuzz`) and replayed on the kept corpus by the oracle suite.

use std::sync::OnceLock;
use std::time::{Duration, Instant};

use rakelight_core::exchange::{self, Format, Import, Limits, ReadError, ReadErrorKind};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_core::review::link::Link;

use crate::memory::peak_of;

/// A body to run on bytes, by the name of its corpus and its words.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// Folder below `tests/data/corpus`, and file in `tests/fuzz/words`.
    pub name: &'static str,
    /// Panics when something is wrong.
    pub run: fn(&[u8]),
}

/// Every target. A new one is a line here, a folder of seeds and a file of words.
pub const TARGETS: [Target; 6] = [
    Target { name: "part21", run: |bytes| model(Some(Format::Step), bytes) },
    Target { name: "iges", run: |bytes| model(Some(Format::Iges), bytes) },
    Target { name: "stl", run: |bytes| model(Some(Format::Stl), bytes) },
    Target { name: "ply", run: |bytes| model(Some(Format::Ply), bytes) },
    Target { name: "packed", run: |bytes| model(None, bytes) },
    Target { name: "link", run: link },
];

/// Most bytes that reading a file of `length` bytes may hold at once.
pub const fn allowed_memory(length: usize) -> usize {
    20 * length + 64_000_000
}

/// Longest that reading a file of `length` bytes may take: 2 s for each MB, at least 2 s.
pub fn allowed_time(length: usize) -> Duration {
    Duration::from_secs_f64(2.0 * (length as f64 / 1e6).max(1.0))
}

/// Processor time of this thread, where the system tells it, since another program may hold the processor; wall time
/// elsewhere.
pub fn own_time() -> Duration {
    static START: OnceLock<Instant> = OnceLock::new();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| START.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

/// Limits that suit files of a few kilobytes: copies of parts would otherwise multiply beyond any measure of the file.
/// What is unpacked is held within the same bound, though its measure is the packed file.
pub fn limits() -> Limits {
    Limits { placed: 20_000, points: 500_000, ..Limits::default() }
}

/// Reads bytes as `format`, or as what they look like, within the memory allowed, and holds what comes out to what is promised of it.
///
/// # Panics
/// When memory is exceeded, when an error names no place, or when a mesh names a corner that it lacks.
pub fn read(format: Option<Format>, bytes: &[u8]) -> Result<Import, ReadError> {
    let (result, peak) = peak_of(|| match format {
        Some(format) => exchange::read_as(format, bytes, "fuzzed", &limits(), &mut Silent),
        None => exchange::read(bytes, "fuzzed", &limits(), &mut Silent),
    });
    assert!(peak <= allowed_memory(bytes.len()), "reading {} bytes took {peak} bytes of memory", bytes.len());
    match &result {
        Ok(import) => {
            for mesh in &import.model.meshes {
                let corners = mesh.points.len();
                assert!(mesh.triangles.iter().flatten().all(|&corner| (corner as usize) < corners));
            }
            assert!(import.report.remarks.len() <= limits().remarks);
        }
        Err(error) => assert!(has_place(error), "no place in: {error}"),
    }
    result
}

/// True when an error says where: an entity, a line, a byte, or that it is about the file as a whole.
pub fn has_place(error: &ReadError) -> bool {
    let whole = ["the file holds no", "no face could be read"].iter().any(|start| error.message.starts_with(start));
    error.kind == ReadErrorKind::Limit || error.line.is_some() || error.entity.is_some() || error.message.starts_with("at byte") || whole
}

/// As the text of a link, and as the body of one, which no check sum keeps away: what is read is written again and read as the same.
fn link(bytes: &[u8]) {
    let (read, peak) = peak_of(|| match str::from_utf8(bytes) {
        Ok(text) if text.starts_with("v1.") => Link::read(text),
        _ => Link::from_bytes(bytes),
    });
    assert!(peak <= allowed_memory(bytes.len()), "reading {} bytes took {peak} bytes of memory", bytes.len());
    let Ok(mut link) = read else { return };
    // Strokes go in steps of a camera's distance, which may be anything here.
    let again = link.to_bytes().and_then(|body| Link::from_bytes(&body)).expect("what was read can be written");
    link.pins.iter_mut().zip(again.pins.iter()).for_each(|(pin, other)| pin.strokes.clone_from(&other.strokes));
    assert_eq!(link, again);
}

fn model(format: Option<Format>, bytes: &[u8]) {
    // More faces only repeat what a few can do, and slow the search.
    const MOST_FACES: usize = 8;
    if let Ok(import) = read(format, bytes)
        && import.model.faces.len() <= MOST_FACES
    {
        let (_, peak) = peak_of(|| Prepared::new(import));
        assert!(peak <= allowed_memory(bytes.len()), "preparing {} bytes took {peak} bytes of memory", bytes.len());
    }
}
