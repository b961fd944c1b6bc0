//! What fuzzing found worth keeping, run again.

use std::fs;

use rakelight_core::exchange::{self, Limits};
use rakelight_core::progress::Silent;
use rakelight_tests::hostile::{TARGETS, allowed_memory, allowed_time, own_time};
use rakelight_tests::{damaged, data, memory};

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

/// Fuzzed files are small, and hide in the fixed part of what is allowed; these are large and as dense as text can be.
/// Copies that are meant (instances of a part, faces on one surface) are not among them: `Limits` bounds those by number.
#[test]
fn memory_and_time_grow_with_the_file_whatever_it_repeats() {
    const SIZE: usize = 3_000_000;
    let mut wrong = Vec::new();
    for (name, head, piece, tail) in dense() {
        let mut bytes = head.into_bytes();
        let mut number = 1000;
        while bytes.len() < SIZE {
            bytes.extend(piece.replace('N', &number.to_string()).bytes());
            number += 1;
        }
        bytes.extend(tail.bytes());
        let began = own_time();
        let (result, peak) = memory::peak_of(|| exchange::read(&bytes, name, &Limits::default(), &mut Silent));
        let took = own_time() - began;
        let outcome = result.map_or_else(|e| e.to_string(), |import| format!("{} left out", import.report.unread.len()));
        let outcome: String = outcome.chars().take(120).collect();
        let line =
            format!("{name}: {:.1} bytes of memory a byte, {:.2} s; {outcome}", peak as f64 / bytes.len() as f64, took.as_secs_f64());
        println!("{line}");
        if peak > allowed_memory(bytes.len()) || took > allowed_time(bytes.len()) {
            wrong.push(line);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What a file may repeat: a name, what stands before, the piece with N for its number, and what stands behind.
fn dense() -> Vec<(&'static str, String, &'static str, String)> {
    let sound = damaged::one_face("#20=PLANE('',#21);");
    let (head, tail) = sound.split_at(sound.find("#1=").expect("the first entity"));
    let within = |entity: &str| format!("{head}{entity}");
    let closed = |rest: &str| format!("{rest}\n{tail}");
    let without_shell = |rest: &str| format!("{rest}\n{}", tail.replace("#2=OPEN_SHELL('',(#3));", ""));
    vec![
        ("entities", head.into(), "#N=A();", tail.into()),
        ("points", head.into(), "#N=CARTESIAN_POINT('',(0,0,0));", tail.into()),
        ("one list", within("#999=A((1"), ",1", closed("));")),
        ("one text", within("#999=A('"), "x''", closed("');")),
        ("nesting", within("#999=A("), "(", closed(");")),
        ("nested faces", within("#999=OPEN_SHELL('',("), "(#3),", closed("#3));")),
        ("faces without anything", head.into(), "#N=ADVANCED_FACE('',(),$,.T.);", tail.into()),
        ("one face many times", within("#2=OPEN_SHELL('',(#3"), ",#3", without_shell("));")),
        ("one missing face many times", within("#2=OPEN_SHELL('',(#3"), ",#9", without_shell("));")),
        ("missing faces", within("#2=OPEN_SHELL('',(#3"), ",#N", without_shell("));")),
        ("one bound many times", within("#3=ADVANCED_FACE('',(#4"), ",#4", closed("),#20,.T.);")),
        ("missing bounds", within("#3=ADVANCED_FACE('',(#4"), ",#9", closed("),#20,.T.);")),
        ("one shell many times", within("#1=SHELL_BASED_SURFACE_MODEL('',(#2"), ",#2", closed("));")),
        ("one edge many times", within("#5=EDGE_LOOP('',(#160"), ",#160", closed("));")),
        ("broken text", head.into(), "nonsense;", tail.into()),
        ("repeated numbers", head.into(), "#3=A();", tail.into()),
        ("styles", head.into(), "#N=STYLED_ITEM('',(#N),#3);", tail.into()),
        ("units", head.into(), "#N=REPRESENTATION('',(#1),#201);", tail.into()),
        ("solid words", "solid\n".into(), "facet ", String::new()),
        ("facets", "solid\n".into(), "facet normal 0 0 1 outer loop vertex 0 0 N vertex 1 0 0 vertex 0 1 0 endloop endfacet ", String::new()),
        ("one facet", "solid\nfacet normal 0 0 1 outer loop ".into(), "vertex N 0 1 ", "vertex 0 0 1 endloop endfacet endsolid".into()),
        ("solids", String::new(), "solid\nendsolid\n", String::new()),
        ("elements", "ply\nformat ascii 1.0\n".into(), "element N 0\n", "end_header\n".into()),
        ("properties", "ply\nformat ascii 1.0\nelement vertex 0\n".into(), "property char x\n", "end_header\n".into()),
        (
            "corners",
            "ply\nformat ascii 1.0\nelement vertex 499000\nproperty char x\nproperty char y\nproperty char z\nelement face 1\nproperty list int int vertex_index\nend_header\n".into(),
            "1 0 ",
            "3 0 1 2".into(),
        ),
        (
            "one polygon",
            "ply\nformat ascii 1.0\nelement vertex 3\nproperty char x\nproperty char y\nproperty char z\nelement face 1\nproperty list int int vertex_index\nend_header\n0 0 0 1 0 0 0 1 0 1499000 ".into(),
            "0 1 2 ",
            "0 1 2 0 1 2 0 1 2 0 1 2 0 1 2".into(),
        ),
    ]
}
