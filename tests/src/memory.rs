//! How much memory work takes, counted where it is asked for.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

thread_local! {
    // No destructors and constant starts: the allocator itself may use them.
    static LIVE: Cell<isize> = const { Cell::new(0) };
    static PEAK: Cell<isize> = const { Cell::new(0) };
}

/// The system's allocator, counting what each thread asks for. A binary that measures makes it its global allocator.
#[derive(Debug, Clone, Copy)]
pub struct Counting;

/// Runs `work` on this thread and gives the most bytes that lived at once because of it.
/// Always 0 in a binary whose allocator is not [`Counting`].
pub fn peak_of<T>(work: impl FnOnce() -> T) -> (T, usize) {
    let before = LIVE.get();
    PEAK.set(before);
    let result = work();
    (result, usize::try_from(PEAK.get() - before).unwrap_or(0))
}

fn add(bytes: usize) {
    let live = LIVE.get() + bytes as isize;
    LIVE.set(live);
    PEAK.set(PEAK.get().max(live));
}

fn remove(bytes: usize) {
    LIVE.set(LIVE.get() - bytes as isize);
}

#[allow(unsafe_code)] // An allocator cannot be written otherwise; each call goes on to the system's unchanged.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        add(layout.size());
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        add(layout.size());
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        remove(layout.size());
        unsafe { System.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // Both may live while the bytes are copied, as they do in a browser's one flat memory.
        add(size);
        remove(layout.size());
        unsafe { System.realloc(at, layout, size) }
    }
}
