//! What a report is made of, whatever form it is written in: words, tables and figures in their order.

use super::Picture;
use super::plot::Plot;
use crate::review::said::Rank;
use std::borrow::Cow;

/// A part of a report. Texts may come from files; who writes them escapes them.
#[derive(Debug)]
pub enum Block<'a> {
    /// The heading of a chapter.
    Chapter(Cow<'static, str>),
    /// A paragraph; or a bold word over what follows, and no text.
    Text(&'static str, Cow<'a, str>),
    /// How the above is to be read.
    Aside(Cow<'a, str>),
    /// Lines that stand alone.
    List(Vec<String>),
    /// Names with what they are.
    Facts(Vec<(&'static str, String)>),
    /// A table.
    Table(Table),
    /// A picture.
    Picture(&'a Picture),
    /// A measure along a join.
    Plot(Plot),
    /// A finding or pin, kept together on a page.
    Item(Rank, String, Vec<Block<'a>>),
    /// A chapter's end: this many more are not shown.
    More(usize),
}

/// A table; the first cell of a row names it.
#[derive(Debug)]
pub struct Table {
    /// What it shows.
    pub caption: &'static str,
    /// Headings of the columns.
    pub heads: &'static [&'static str],
    /// The column from which on there are figures.
    pub figures: usize,
    /// Cells.
    pub rows: Vec<Vec<String>>,
}

impl<'a> Block<'a> {
    /// The blocks of a table that is cut after `most` rows; none without rows.
    pub fn table(table: Table, most: usize) -> Vec<Block<'a>> {
        let Table { mut rows, .. } = table;
        if rows.is_empty() {
            return Vec::new();
        }
        let more = rows.len().saturating_sub(most);
        rows.truncate(most);
        let table = Block::Table(Table { rows, ..table });
        if more > 0 { vec![table, Block::More(more)] } else { vec![table] }
    }
}

/// What is not seen, or turns the direction of what stands beside it, as a space: words from files must not pose as others.
pub fn seen(text: &str) -> String {
    let unseen =
        |c: char| (c.is_control() && c != '\n') || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().map(|c| if unseen(c) { ' ' } else { c }).collect()
}
