//! Deflate (RFC 1951) undone into memory whose size was settled before.

use crate::exchange::{Limits, ReadError};
use miniz_oxide::inflate::TINFLStatus;
use miniz_oxide::inflate::core::inflate_flags::TINFL_FLAG_USING_NON_WRAPPING_OUTPUT_BUF;
use miniz_oxide::inflate::core::{DecompressorOxide, decompress};

/// Bytes that any packed file may unpack to, whatever the ratio: a few blanks pack to almost nothing.
const ALWAYS_ALLOWED: u64 = 1 << 16;

/// An error when `packed` bytes that say they hold `size` are beyond the limits. `what` names them.
pub(super) fn allow(what: &str, packed: usize, size: u64, limits: &Limits) -> Result<(), ReadError> {
    let most = limits.unpacked.min(limits.bytes);
    if size > most as u64 {
        return Err(ReadError::limit(format!("{what} unpacks to {size} bytes; the limit is {most}")));
    }
    let ratio = (packed as u64).saturating_mul(limits.ratio as u64);
    if size > ratio.max(ALWAYS_ALLOWED) {
        return Err(ReadError::limit(format!("{what} unpacks to more than {} times its packed size, the limit", limits.ratio)));
    }
    Ok(())
}

/// All of the bytes; the caller has asked [`allow`] for `size`. None when they are damaged or of another size.
pub(super) fn whole(packed: &[u8], size: usize) -> Option<Vec<u8>> {
    let mut out = vec![0; size];
    let (status, written) = run(packed, &mut out);
    (status == TINFLStatus::Done && written == size).then_some(out)
}

/// The first bytes, at most `most`; None when they are damaged.
pub(super) fn start(packed: &[u8], most: usize) -> Option<Vec<u8>> {
    let mut out = vec![0; most];
    let (status, written) = run(packed, &mut out);
    out.truncate(written);
    matches!(status, TINFLStatus::Done | TINFLStatus::HasMoreOutput).then_some(out)
}

fn run(packed: &[u8], out: &mut [u8]) -> (TINFLStatus, usize) {
    let mut state = Box::<DecompressorOxide>::default();
    let (status, _, written) = decompress(&mut state, packed, out, 0, TINFL_FLAG_USING_NON_WRAPPING_OUTPUT_BUF);
    (status, written)
}
