//! What the report is about, and what the review comes to.

use super::chapter;
use crate::review::report::block::{Block, Table};
use crate::review::report::told::Told;
use crate::review::report::{PictureOf, VERSION};
use crate::review::size::shown;
use crate::review::{Number, Paragraph, PassScore};

/// Digits of a hash that are shown: enough to tell files apart by eye, and few enough to be read aloud.
const DIGITS: usize = 16;

/// The facts at the top, and a picture of the whole.
pub fn heading<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let (report, check) = (told.report, told.report.check);
    let size = check.bbox.as_ref().map_or_else(String::new, |[low, high]| {
        let side = |k: usize| shown(high[k].0 - low[k].0);
        format!("{} × {} × {}", side(0), side(1), side(2))
    });
    let digits: String = report.hash.chars().take(DIGITS).collect();
    let facts = [
        ("File", check.file.clone()),
        ("SHA-256 begins with", digits),
        ("Reviewed", report.made.to_string()),
        ("Yardstick", format!("{} surfaces", (report.zone)(&[]).text())),
        ("Size", size),
        ("Faces", check.faces.len().to_string()),
        ("Joins", check.joins.len().to_string()),
        ("Made by", format!("Rakelight {VERSION}")),
    ];
    let facts = facts.into_iter().filter(|f| !f.1.is_empty()).collect();
    let picture = report.picture(PictureOf::Whole).map(Block::Picture);
    std::iter::once(Block::Facts(facts)).chain(picture).collect()
}

/// The summary, the scores and the rating.
pub fn verdict<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let mut blocks = match &told.report.said.verdict.summary {
        Some(own) => own.lines().filter(|l| !l.trim().is_empty()).map(|l| Block::Text("", l.into())).collect(),
        None => made(told),
    };
    let passes = &told.verdict.passes;
    let table = Table {
        caption: "Scores by pass",
        heads: &["Pass", "Score of 100", "Made of", "Waived", "Fixed"],
        figures: 3,
        rows: passes.iter().map(score).collect(),
    };
    blocks.extend(Block::table(table, usize::MAX));
    if told.verdict.elsewhere > 0 {
        blocks.push(Block::Aside(format!("Pins of the Overview that stand and have no score: {}.", told.verdict.elsewhere).into()));
    }
    blocks.push(Block::Aside(format!("Where points are: {}", told.verdict.formula).into()));
    blocks.extend(rating(told));
    chapter("Verdict", blocks)
}

fn made<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let lead = |of: &str| match of {
        "good" => "Done well",
        "serious" => "Serious",
        "fix" => "To fix",
        _ => "For polish",
    };
    let paragraph = |p: &Paragraph| match p.of {
        "whole" => vec![Block::Text("", p.sentences.join(" ").into())],
        of => vec![Block::Text(lead(of), "".into()), Block::List(p.sentences.clone())],
    };
    told.verdict.summary.iter().flat_map(paragraph).collect()
}

fn score(p: &PassScore) -> Vec<String> {
    let count = |n: usize| if n == 0 { "–".into() } else { n.to_string() };
    let made = match (p.score, p.parts.is_empty()) {
        (None, _) => p.without.to_string(),
        (_, true) => "nothing stands open".into(),
        _ => {
            let part = |q: &crate::review::PartRecord| format!("{} {} {} × {}", q.count, q.severity, q.zone, plain(q.each));
            format!(
                "{} = {} {}",
                p.parts.iter().map(part).collect::<Vec<_>>().join(" + "),
                plain(p.points),
                if p.points.0 == 1.0 { "point" } else { "points" }
            )
        }
    };
    vec![p.title.into(), p.score.map_or_else(|| "–".into(), |s| s.to_string()), made, count(p.waived), count(p.fixed)]
}

fn rating<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let Some(sum) = &told.verdict.rating else { return Vec::new() };
    let lines = &told.report.said.verdict.rating;
    let points = |x: Option<f64>| x.map_or_else(|| "not yet".into(), |x| plain(Number(x)));
    let mut rows: Vec<Vec<String>> =
        lines.iter().map(|l| vec![l.text.clone(), l.note.clone(), points(l.given), plain(Number(l.most))]).collect();
    let open = if sum.open > 0 { format!("{} lines not rated", sum.open) } else { String::new() };
    rows.push(vec!["Sum of what was rated".into(), open, plain(sum.given), plain(sum.of)]);
    let table = Table { caption: "Rating", heads: &["What is rated", "Note", "Points", "Of"], figures: 2, rows };
    Block::table(table, usize::MAX)
}

/// A number without digits that say nothing.
fn plain(x: Number) -> String {
    format!("{}", (x.0 * 100.0).round() / 100.0)
}
