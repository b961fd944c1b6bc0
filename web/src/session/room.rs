//! Memory for a model, asked for at once.

/// Bytes of memory for a byte of a file: what a model of one takes until its joins are found. Larger: phones refuse; smaller: what is missing
/// is asked for page by page, and engines take long over each.
const TIMES: usize = 4;

/// Most asked for, bytes.
const MOST: usize = 1 << 30;

/// Grows the memory by what a file of `bytes` will need, where the machine has it. Nothing of it is used before it is written to.
pub fn ask_for(bytes: usize) {
    let mut room: Vec<u8> = Vec::new();
    // What cannot be had now is asked for, and missed, where it is needed.
    let _ = room.try_reserve_exact(bytes.saturating_mul(TIMES).min(MOST));
    core::hint::black_box(&mut room);
}
