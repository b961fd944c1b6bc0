//! The report in each of its forms, over a model and a review whose every word would be more than a word if it could.

mod cli;
mod csv_form;
mod html_form;
mod json_form;
mod markdown_form;

use std::sync::OnceLock;

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::finding::{Asked, Limits, MeasureId, Yardstick, Zone};
use rakelight_core::joins::JoinGraph;
use rakelight_core::progress::Silent;
use rakelight_core::review::report::{Form, Picture, PictureOf, Report};
use rakelight_core::review::said::{CheckLine, Mark, Pin, Rank, RatingLine, Said, SaidVerdict, State, finding_key};
use rakelight_core::review::{Beside, Check, Options, run_kept};

/// Words that are markup, formulas, links or tables somewhere.
pub const HOSTILE: [&str; 21] = [
    "<script>window.__ran = 1</script>",
    "<svg/onload=alert(1)>",
    "\"><img src=x onerror=alert(1)>",
    "' autofocus onfocus='alert(1)",
    "=cmd|' /C calc'!A0",
    "| a | b |\n| --- | --- |\n| c | d |",
    "`code` **bold** _em_ ~~gone~~ $x$",
    "# head\n\n---\n\n- item\n+ item\n> said",
    "[a](javascript:alert(1)) ![b](http://example.org/c.png) [d]: http://example.org",
    "</style></title></textarea><script>alert(1)</script>",
    "&lt;b&gt; &amp; &#60;b&#62;",
    "--><!-- ]]> <![CDATA[ <?php",
    "+1+1",
    "-2;\"3\",4",
    "@sum(a1)",
    "\t=1",
    "a\\|b\\\\|c\\",
    "one\r\ntwo",
    "12. numbered http://example.org www.example.org <a@example.org> https:/x",
    "    indented\n```\nfence\n```",
    "turned \u{202e}gnp.txt {#id .class} a^b^ :::",
];

/// A picture of one pixel.
pub const PIXEL: &str =
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==";

/// What a report is told of.
pub struct Case {
    pub check: Check,
    pub said: Said,
    pub alt: String,
}

fn checked() -> &'static (Check, JoinGraph) {
    static CHECKED: OnceLock<(Check, JoinGraph)> = OnceLock::new();
    CHECKED.get_or_init(|| {
        let (a, b) = (step(Revision::A), step(Revision::B));
        let beside = Beside { reference: None, earlier: Some(("bramble-b.step", b.as_bytes())) };
        let (opened, check) =
            run_kept(a.as_bytes(), "bramble-a.step", beside, &Options::default(), &mut Silent, &mut || 0.0).expect("our own file");
        (check, opened.graph)
    })
}

/// The words, with what is no space written as `a` where they are to mean nothing.
fn words(k: usize, hostile: bool) -> String {
    let text = HOSTILE[k % HOSTILE.len()];
    if hostile { text.into() } else { text.chars().map(|c| if c.is_whitespace() { c } else { 'a' }).collect() }
}

/// All of them, one after the other.
pub fn all_words(hostile: bool) -> String {
    (0..HOSTILE.len()).map(|k| words(k, hostile)).collect::<Vec<_>>().join(" ")
}

/// Bramble with a review, and with words in every place that words come from.
pub fn case(hostile: bool, own_summary: bool) -> Case {
    let mut check = checked().0.clone();
    let word = |k: usize| words(k, hostile);
    check.file = word(1);
    check.schema = word(3);
    (check.import.writer, check.import.preprocessor, check.import.unit.stated) = (word(0), word(9), word(4));
    for (k, face) in check.faces.iter_mut().enumerate() {
        face.name = word(k);
    }
    for k in 0..HOSTILE.len() {
        check.unread.push(rakelight_core::review::UnreadRecord { id: 7, kind: word(k), line: 3, reason: word(k + 1) });
        check.import.remarks.push(rakelight_core::review::RemarkRecord { id: None, line: Some(2), text: word(k) });
    }
    if let Some(revision) = &mut check.revision {
        revision.earlier = word(2);
    }
    let mut said = Said::default();
    let states = [State::Waived, State::Fixed, State::Agreed, State::Open];
    for (k, f) in check.findings.iter_mut().enumerate() {
        f.remedy = word(k);
        let severity = (k % 5 == 3).then_some([Rank::Good, Rank::Serious, Rank::Polish][k % 3]);
        let mark = Mark { state: states[k % 4], severity, reason: word(k + 2), note: word(k + 1) };
        said.marks.insert(finding_key(f), mark);
    }
    for (k, severity) in Rank::ALL.into_iter().cycle().take(HOSTILE.len()).enumerate() {
        let title = if k % 3 == 0 { String::new() } else { word(k) };
        let (key, face) = (u32::try_from(k).expect("a few") + 1, Some(k));
        let pass = if k % 2 == 0 { "joins".into() } else { word(k) };
        said.pins.push(Pin { key, title, text: word(k + 1), severity, state: states[k % 4], place: [1.5, -0.0, 3.0], face, pass });
        said.checklist.push(CheckLine { text: word(k), state: if k % 2 == 0 { "missing".into() } else { word(k) }, note: word(k + 3) });
        let given = (k % 3 != 0).then_some(k as f64);
        said.verdict.rating.push(RatingLine { text: word(k), most: 20.0, given, note: word(k + 4) });
    }
    said.verdict = SaidVerdict { summary: own_summary.then(|| all_words(hostile)), rating: said.verdict.rating };
    Case { check, said, alt: all_words(hostile) }
}

impl Case {
    /// The report in a form, with pictures of the whole, of a few findings and of a pin.
    pub fn write(&self, form: Form) -> String {
        let picture = |of| Picture::new(of, PIXEL.into(), self.alt.clone(), [1, 1]).expect("a picture");
        let of = [PictureOf::Whole, PictureOf::Finding(0), PictureOf::Finding(2), PictureOf::Pin(1)];
        let limits = Limits { polish: Some(0.5), fix: None, serious: Some(1.5) };
        let yardstick = Yardstick::default().with(&[Asked { measure: MeasureId::GapFlush, zone: Zone::Hidden, limits }]).expect("limits");
        let report = Report {
            check: &self.check,
            graph: &checked().1,
            floors: &Options::default().joins.floors,
            hash: "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef",
            made: "1 June 2031",
            said: &self.said,
            yardstick: &yardstick,
            zone: &|faces: &[usize]| if faces.first().is_some_and(|f| f % 7 == 6) { Zone::Secondary } else { Zone::Visible },
            pictures: &of.map(picture),
        };
        report.write(form).expect("sound numbers")
    }
}

/// What is shown of a text: what is not seen is a space.
pub fn shown(text: &str) -> String {
    text.chars().map(|c| if (c.is_control() && c != '\n') || c == '\u{202e}' { ' ' } else { c }).collect()
}
