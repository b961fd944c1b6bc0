//! The page, read by a parser of HTML.

use std::cell::RefCell;
use std::collections::BTreeMap;

use html5ever::tendril::StrTendril;
use html5ever::tokenizer::states::RawKind;
use html5ever::tokenizer::{BufferQueue, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer, TokenizerOpts};
use rakelight_core::review::report::{Form, SAFETY};

use super::{HOSTILE, PIXEL, all_words, case, shown};

/// Elements of the template.
const ELEMENTS: [&str; 35] = [
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "main",
    "h1",
    "h2",
    "h3",
    "p",
    "b",
    "ul",
    "li",
    "dl",
    "dt",
    "dd",
    "table",
    "caption",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "section",
    "span",
    "div",
    "figure",
    "img",
    "figcaption",
    "svg",
    "line",
    "path",
    "circle",
    "text",
];

/// Attributes of the template, and where each may stand.
const ATTRIBUTES: [(&str, &[&str]); 16] = [
    ("lang", &["html"]),
    ("charset", &["meta"]),
    ("http-equiv", &["meta"]),
    ("name", &["meta"]),
    ("content", &["meta"]),
    ("scope", &["th"]),
    ("src", &["img"]),
    ("alt", &["img"]),
    ("width", &["img"]),
    ("height", &["img"]),
    ("viewbox", &["svg"]),
    ("role", &["svg"]),
    ("aria-label", &["svg"]),
    ("d", &["path"]),
    ("r", &["circle"]),
    ("class", &[]),
];

#[derive(Debug, Clone, PartialEq)]
struct Seen {
    name: String,
    start: bool,
    attributes: BTreeMap<String, String>,
}

#[derive(Default)]
struct Page {
    tags: RefCell<Vec<Seen>>,
    /// The text after each tag.
    texts: RefCell<Vec<String>>,
    odd: RefCell<Vec<String>>,
}

impl TokenSink for Page {
    type Handle = ();

    fn process_token(&self, token: Token, _: u64) -> TokenSinkResult<()> {
        match token {
            Token::TagToken(tag) => {
                let attributes = tag.attrs.iter().map(|a| (a.name.local.to_string(), a.value.to_string())).collect();
                let start = tag.kind == TagKind::StartTag;
                self.tags.borrow_mut().push(Seen { name: tag.name.to_string(), start, attributes });
                self.texts.borrow_mut().push(String::new());
                match &*tag.name {
                    "style" if start => return TokenSinkResult::RawData(RawKind::Rawtext),
                    "title" if start => return TokenSinkResult::RawData(RawKind::Rcdata),
                    _ => {}
                }
            }
            Token::CharacterTokens(text) => {
                if let Some(last) = self.texts.borrow_mut().last_mut() {
                    last.push_str(&text);
                }
            }
            Token::DoctypeToken(_) | Token::EOFToken => {}
            other => self.odd.borrow_mut().push(format!("{other:?}")),
        }
        TokenSinkResult::Continue
    }
}

fn read(html: &str) -> (Vec<Seen>, Vec<String>) {
    let input = BufferQueue::default();
    input.push_back(StrTendril::from(html));
    let tokenizer = Tokenizer::new(Page::default(), TokenizerOpts::default());
    let _ = tokenizer.feed(&input);
    tokenizer.end();
    let page = tokenizer.sink;
    // Comments, null characters and errors of syntax.
    assert_eq!(page.odd.into_inner(), Vec::<String>::new());
    (page.tags.into_inner(), page.texts.into_inner())
}

#[test]
fn words_never_become_elements_or_attributes() {
    for own_summary in [false, true] {
        let (tags, texts) = read(&case(true, own_summary).write(Form::Html));
        let (plain, _) = read(&case(false, own_summary).write(Form::Html));
        let strip = |tags: &[Seen]| {
            let strip = |t: &Seen| {
                let mut t = t.clone();
                t.attributes.get_mut("alt").map(std::mem::take);
                t
            };
            tags.iter().map(strip).collect::<Vec<_>>()
        };
        assert!(tags.len() > 1000);
        assert_eq!(strip(&tags), strip(&plain));
        for t in &tags {
            assert!(ELEMENTS.contains(&t.name.as_str()), "{t:?}");
            for name in t.attributes.keys() {
                let lines = matches!(name.as_str(), "x" | "y" | "x1" | "x2" | "y1" | "y2" | "cx" | "cy");
                let known = ATTRIBUTES.iter().find(|a| a.0 == name);
                assert!(lines || known.is_some_and(|a| a.1.is_empty() || a.1.contains(&t.name.as_str())), "{name} of {t:?}");
            }
        }
        let all = texts.join("\u{0}");
        for words in HOSTILE {
            // A list of pins breaks its paragraphs where lines break.
            for line in words.lines() {
                assert!(all.contains(shown(line).trim()), "{words}");
            }
        }
        let alts: Vec<&String> = tags.iter().filter_map(|t| t.attributes.get("alt")).collect();
        assert_eq!(alts, vec![&shown(&all_words(true)); alts.len()]);
        assert!(alts.len() >= 3);
        let style = tags.iter().position(|t| t.name == "style").expect("a style");
        assert!(!texts[style].contains("__ran") && texts[style].contains("@page"));
    }
}

#[test]
fn the_page_is_whole_and_can_be_read_aloud() {
    let html = case(false, false).write(Form::Html);
    assert!(html.starts_with("<!DOCTYPE html>"));
    assert!(html.len() < 700_000, "{} bytes", html.len());
    let (tags, texts) = read(&html);
    let mut open: Vec<&str> = Vec::new();
    for t in tags.iter().filter(|t| !["meta", "img"].contains(&t.name.as_str())) {
        if t.start {
            open.push(&t.name);
        } else {
            assert_eq!(open.pop(), Some(t.name.as_str()));
        }
    }
    assert!(open.is_empty());
    let starts = |name: &str| tags.iter().filter(move |t| t.start && t.name == name).collect::<Vec<_>>();
    let levels: Vec<u8> =
        tags.iter().filter(|t| t.start && ["h1", "h2", "h3"].contains(&t.name.as_str())).map(|t| t.name.as_bytes()[1]).collect();
    assert!(levels[0] == b'1' && levels[1..].iter().all(|l| *l > b'1') && levels.windows(2).all(|w| w[1] <= w[0] + 1));
    assert_eq!(starts("table").len(), starts("caption").len());
    assert!(starts("th").iter().all(|t| t.attributes.contains_key("scope")));
    assert!(starts("img").iter().all(|t| t.attributes["src"] == PIXEL && !t.attributes["alt"].is_empty()));
    assert!(
        !starts("svg").is_empty() && starts("svg").iter().all(|t| t.attributes["role"] == "img" && !t.attributes["aria-label"].is_empty())
    );
    let policy = &starts("meta")[1].attributes;
    assert_eq!(policy["http-equiv"], "Content-Security-Policy");
    assert_eq!(policy["content"], "default-src 'none'; img-src data:; style-src 'unsafe-inline'");
    assert!(texts.iter().any(|t| t == SAFETY));
    let chapters: Vec<&str> = tags
        .iter()
        .zip(&texts)
        .filter(|(t, _)| t.start && t.name == "h2")
        .map(|(_, text)| text.split(" (").next().expect("words"))
        .collect();
    assert_eq!(
        chapters,
        [
            "Verdict",
            "Serious findings",
            "Findings to fix",
            "Findings for polish",
            "The reviewer's pins",
            "Done well",
            "Waived and fixed",
            "Checklist",
            "Since the earlier revision",
            "Joins",
            "The yardstick",
            "How the file was read",
            "Caution",
        ]
    );
}

/// A model with thousands of findings gives a page that a browser still opens.
#[test]
fn long_lists_are_cut_and_say_so() {
    let mut case = case(false, false);
    let few = case.check.findings.clone();
    case.check.findings = few.iter().cycle().take(5000).cloned().collect();
    case.said.marks.clear();
    let html = case.write(Form::Html);
    assert!(html.len() < 1_000_000, "{} bytes", html.len());
    let (_, texts) = read(&html);
    assert!(texts.iter().filter(|t| t.starts_with("And ") && t.ends_with("the CSV and JSON forms list all.")).count() >= 3);
    assert_eq!(case.write(Form::Findings).matches(",finding,").count(), 5000);
}

#[test]
fn the_caution_is_worded_the_same_everywhere() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for file in ["www/texts/overview.js", "README.md"] {
        let text = std::fs::read_to_string(root.join(file)).expect("a file of ours");
        assert!(text.contains(SAFETY), "{file}");
    }
}
