//! One HTML page with its style in it: no script, nothing fetched, whatever the texts in it hold.

use super::block::{Block, Table, seen};
use super::content::content;
use super::draw::draw;
use super::told::{Told, rank};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What the page may load: its own style, and pictures that are in it.
const POLICY: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/// Rows of a table that is kept on one page.
const SHORT: usize = 12;

const STYLE: &str = concat!(include_str!("report.css"), include_str!("print.css"));

/// The report as a page.
pub fn html(told: &Told<'_>) -> String {
    let title = format!("Review of {}", seen(&told.report.check.file));
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    h1 { (title) }
                    (all(&content(told)))
                }
            }
        }
    };
    page.into_string()
}

fn all(blocks: &[Block<'_>]) -> Markup {
    html! { @for b in blocks { (block(b)) } }
}

fn block(b: &Block<'_>) -> Markup {
    match b {
        Block::Chapter(title) => html! { h2 { (title) } },
        Block::Text(lead, text) => html! { p class=[lead_of(lead, text)] { @if !lead.is_empty() { b { (lead) } " " } (seen(text)) } },
        Block::Aside(text) => html! { p.aside { (seen(text)) } },
        Block::List(lines) => html! { ul { @for l in lines { li { (seen(l)) } } } },
        Block::Facts(facts) => html! { dl { @for (name, what) in facts { div { dt { (name) } dd { (seen(what)) } } } } },
        Block::Table(t) => table(t),
        Block::Picture(p) => {
            let [width, height] = p.size();
            html! { figure.picture { img src=(p.data()) alt=(seen(p.alt())) width=(width) height=(height); } }
        }
        Block::Plot(p) => html! { figure.plot { (draw(p)) figcaption { (p.caption) } } },
        Block::Item(of, title, parts) => {
            let (figures, words): (Vec<&Block<'_>>, Vec<&Block<'_>>) =
                parts.iter().partition(|p| matches!(p, Block::Picture(_) | Block::Plot(_)));
            html! {
                section class={ "item " (of.text()) } {
                    h3 { span.mark { (rank(*of)) } " " (seen(title)) }
                    div class=[(!figures.is_empty()).then_some("sides")] {
                        div { @for b in words { (block(b)) } }
                        @if !figures.is_empty() { div { @for b in figures { (block(b)) } } }
                    }
                }
            }
        }
        Block::More(n) => html! { p.aside { "And " (n) " more; the CSV and JSON forms list all." } },
    }
}

/// A word alone leads what follows, and stays with it.
fn lead_of(lead: &str, text: &str) -> Option<&'static str> {
    (!lead.is_empty() && text.is_empty()).then_some("lead")
}

fn table(t: &Table) -> Markup {
    let figure = |k: usize| (k >= t.figures).then_some("figure");
    html! {
        table class=[(t.rows.len() <= SHORT).then_some("short")] {
            caption { (t.caption) }
            thead { tr { @for (k, head) in t.heads.iter().enumerate() { th scope="col" class=[figure(k)] { (head) } } } }
            tbody {
                @for row in &t.rows {
                    tr {
                        @for (k, cell) in row.iter().enumerate() {
                            @if k == 0 { th scope="row" { (seen(cell)) } } @else { td class=[figure(k)] { (seen(cell)) } }
                        }
                    }
                }
            }
        }
    }
}
