//! How often things are timed, and which time counts.

use std::time::Instant;

/// Runs of which the best counts: others are those in which the machine did something else.
pub const RUNS: usize = 5;

/// The middle one of some times.
pub fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

/// The least of some times.
pub fn best(times: impl IntoIterator<Item = f64>) -> f64 {
    times.into_iter().fold(f64::INFINITY, f64::min)
}

/// How long something takes, ms.
pub fn timed<T>(work: impl FnOnce() -> T) -> f64 {
    let from = Instant::now();
    std::hint::black_box(work());
    from.elapsed().as_secs_f64() * 1e3
}
