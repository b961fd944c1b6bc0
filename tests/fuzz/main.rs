//! libFuzzer on the bodies of `tests/src/hostile.rs`; RAKELIGHT_TARGET names the one to run.
#![no_main]

#[path = "../src/hostile.rs"]
mod hostile;
#[path = "../src/memory.rs"]
mod memory;

use std::fs::File;
use std::io::{Seek, Write};
use std::sync::OnceLock;
use std::time::Instant;

use hostile::{TARGETS, Target, allowed_time, own_time};

#[global_allocator]
static MEMORY: memory::Counting = memory::Counting;

/// How much the marks of coverage and the checks of arithmetic slow numeric loops (7 tenths of the time go to them there).
/// Larger: a real hang is not told; smaller: an honest integral is taken for one.
const SLOWED: u32 = 3;

static TARGET: OnceLock<Target> = OnceLock::new();

libfuzzer_sys::fuzz_target!(
    init: {
        let name = std::env::var("RAKELIGHT_TARGET").expect("RAKELIGHT_TARGET names a target");
        let target = TARGETS.into_iter().find(|target| target.name == name).expect("a known target");
        TARGET.set(target).expect("the first start");
    },
    |bytes: &[u8]| {
        let target = TARGET.get().expect("chosen at the start");
        keep(bytes);
        let began = Instant::now();
        (target.run)(bytes);
        // Another program may have held the processor: only this thread's own time counts, and that is asked for rarely.
        let allowed = allowed_time(bytes.len()) * SLOWED;
        if began.elapsed() > allowed {
            let before = own_time();
            (target.run)(bytes);
            let took = own_time() - before;
            assert!(took <= allowed, "{} bytes took {took:?}", bytes.len());
        }
    }
);

/// Writes the input to the file that RAKELIGHT_LAST_INPUT names, before it is run: a stack that overflows ends the process
/// without a word, and would take the input with it.
fn keep(bytes: &[u8]) {
    static LAST: OnceLock<Option<File>> = OnceLock::new();
    let last = LAST.get_or_init(|| std::env::var_os("RAKELIGHT_LAST_INPUT").map(|path| File::create(path).expect("a file to write")));
    if let Some(mut file) = last.as_ref() {
        file.rewind().and_then(|()| file.write_all(bytes)).and_then(|()| file.set_len(bytes.len() as u64)).expect("a file to write");
    }
}
