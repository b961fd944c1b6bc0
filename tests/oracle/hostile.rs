//! What fuzzing found worth keeping, run again.

use std::fs;

use rakelight_tests::hostile::TARGETS;
use rakelight_tests::{data, memory};

#[test]
fn the_kept_corpus_neither_panics_nor_takes_more_memory_than_allowed() {
    // Without this the bounds below could not fail.
    let (block, peak) = memory::peak_of(|| vec![0u8; 1 << 20]);
    assert!(peak >= block.len());
    for target in TARGETS {
        let mut bytes = 0;
        let mut files = 0;
        for entry in fs::read_dir(data::corpus(target.name)).expect("a corpus") {
            let path = entry.expect("a file").path();
            let content = fs::read(&path).expect("a file of the corpus");
            bytes += content.len();
            files += 1;
            println!("{}", path.display()); // seen when it fails
            (target.run)(&content);
        }
        println!("{}: {files} files, {bytes} bytes", target.name);
        assert!(files >= 2 && bytes <= 200_000, "{}: {files} files, {bytes} bytes", target.name);
    }
}
