//! Markdown, read by a parser of CommonMark with every extension that could make more of a word.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, TextMergeStream};
use rakelight_core::review::report::Form;

use super::{HOSTILE, case, shown};

/// What there is beside texts, and the texts of cells, paragraphs and headings.
fn read(markdown: &str) -> (Vec<String>, Vec<String>) {
    let (mut built, mut texts) = (Vec::new(), Vec::new());
    let mut text = String::new();
    for event in TextMergeStream::new(Parser::new_ext(markdown, Options::all().difference(Options::ENABLE_SMART_PUNCTUATION))) {
        match event {
            Event::Text(t) => text.push_str(&t),
            other => {
                let sentence = matches!(&other, Event::Start(Tag::Strong) | Event::End(TagEnd::Strong));
                if !sentence && !text.is_empty() {
                    texts.push(std::mem::take(&mut text));
                }
                built.push(format!("{other:?}"));
            }
        }
    }
    (built, texts)
}

#[test]
fn words_never_become_markup() {
    for own_summary in [false, true] {
        let (built, texts) = read(&case(true, own_summary).write(Form::Markdown));
        let (plain, _) = read(&case(false, own_summary).write(Form::Markdown));
        assert!(built.len() > 1000);
        for (k, (one, other)) in built.iter().zip(&plain).enumerate() {
            assert_eq!(one, other, "at {k}, near {:?}", texts.get(k / 8));
        }
        assert_eq!(built.len(), plain.len());
        for never in ["Html", "InlineHtml", "Code", "Link", "Image", "Rule", "Math", "Footnote", "Metadata"] {
            assert!(!built.iter().any(|b| b.contains(never)), "{never}");
        }
        // Cells give back what went into them, but for breaks of lines and runs of spaces.
        for words in HOSTILE {
            let one_line = shown(words).split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(texts.contains(&one_line), "{one_line}");
        }
    }
}

#[test]
fn it_says_what_the_page_says() {
    let markdown = case(false, false).write(Form::Markdown);
    let html = case(false, false).write(Form::Html);
    for line in markdown.lines().filter_map(|l| l.strip_prefix("## ")) {
        assert!(html.contains(&format!("<h2>{line}</h2>")), "{line}");
    }
    assert_eq!(markdown.matches("\n### ").count(), html.matches("<h3>").count());
}
