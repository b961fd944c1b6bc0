//! What a page calls: numbers in, numbers out.
#![allow(unsafe_code)] // A name that the page can call is no Rust name; nothing here is unsafe otherwise.

use crate::Case;
use std::sync::Mutex;

static CASE: Mutex<Option<Case>> = Mutex::new(None);

/// Makes the case that the others work on.
#[unsafe(no_mangle)]
pub extern "C" fn prepare(degree: usize, spans: usize, points: usize) {
    *CASE.lock().expect("one thread") = Some(Case::new(degree, spans, points));
}

/// Evaluates it by the core, so many times.
#[unsafe(no_mangle)]
pub extern "C" fn ours(times: usize) {
    with(|case| (0..times).for_each(|_| case.ours()));
}

/// Evaluates it by the tight loop, so many times.
#[unsafe(no_mangle)]
pub extern "C" fn tight(times: usize) {
    with(|case| (0..times).for_each(|_| case.tight()));
}

fn with(work: impl FnOnce(&mut Case)) {
    if let Some(case) = CASE.lock().expect("one thread").as_mut() {
        work(case);
    }
}
