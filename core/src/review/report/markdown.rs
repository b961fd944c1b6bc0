//! Markdown: CommonMark 0.31 with the tables that most readers know.

use super::block::{Block, Table, seen};
use super::content::content;
use super::told::{Told, rank};
use std::fmt::Write;

/// The report as Markdown. Pictures and traces are left to the page.
pub fn markdown(told: &Told<'_>) -> String {
    let mut t = format!("# Review of {}\n", escaped(&told.report.check.file));
    content(told).iter().for_each(|b| block(&mut t, b));
    t
}

fn block(t: &mut String, b: &Block<'_>) {
    // Writing to a string cannot fail.
    let _ = match b {
        Block::Chapter(title) => write!(t, "\n## {}\n", escaped(title)),
        Block::Text("", text) | Block::Aside(text) => write!(t, "\n{}\n", escaped(text)),
        Block::Text(lead, _) => write!(t, "\n**{}**\n", escaped(lead)),
        Block::List(lines) => {
            t.push('\n');
            lines.iter().try_for_each(|l| writeln!(t, "- {}", escaped(l)))
        }
        Block::Facts(facts) => {
            t.push('\n');
            facts.iter().try_for_each(|(name, what)| writeln!(t, "- **{}:** {}", escaped(name), escaped(what)))
        }
        Block::Table(table) => {
            rows(t, table);
            Ok(())
        }
        Block::Picture(_) | Block::Plot(_) => Ok(()),
        Block::Item(of, title, parts) => {
            let _ = write!(t, "\n### {} ({})\n", escaped(title), rank(*of));
            parts.iter().for_each(|p| block(t, p));
            Ok(())
        }
        Block::More(n) => write!(t, "\nAnd {n} more; the CSV and JSON forms list all.\n"),
    };
}

fn rows(t: &mut String, table: &Table) {
    let _ = write!(t, "\n**{}**\n\n", escaped(table.caption));
    let mut line = |cells: &mut dyn Iterator<Item = String>| {
        cells.for_each(|c| {
            let _ = write!(t, "| {c} ");
        });
        t.push_str("|\n");
    };
    line(&mut table.heads.iter().map(|h| escaped(h)));
    line(&mut (0..table.heads.len()).map(|k| if k >= table.figures { "---:" } else { "---" }.to_string()));
    table.rows.iter().for_each(|row| line(&mut row.iter().map(|c| escaped(c))));
}

/// A text as one line that Markdown takes for nothing but that text: every mark that means something anywhere has a backslash (CommonMark
/// 2.4), what means something at the beginning of a line has one there, and what readers make links of by themselves does too.
fn escaped(text: &str) -> String {
    let line = seen(text).split_whitespace().collect::<Vec<_>>().join(" ");
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let mut t = String::with_capacity(line.len() + 8);
    let mut before = ' ';
    for (at, c) in line.char_indices() {
        let anywhere = matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '|' | '~' | '$' | '@' | '!' | '{' | '^');
        let first = at == 0 && matches!(c, '#' | '+' | '-' | '=' | ':');
        let numbered = digits > 0 && at == digits && matches!(c, '.' | ')') && matches!(line.as_bytes().get(at + 1), None | Some(b' '));
        let address = (c == ':' && line[at..].starts_with(":/")) || (c == '.' && matches!(before, 'w' | 'W'));
        if anywhere || first || numbered || address {
            t.push('\\');
        }
        t.push(c);
        before = c;
    }
    t
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn marks_lose_their_meaning() {
        for (text, written) in [
            ("hood 2.5 mm", "hood 2.5 mm"),
            ("<b>a</b>", "\\<b\\>a\\</b\\>"),
            ("a | b", "a \\| b"),
            ("- a\n# b", "\\- a # b"),
            ("# a", "\\# a"),
            ("12. a", "12\\. a"),
            ("12.5 mm", "12.5 mm"),
            ("1) a 2. b", "1\\) a 2. b"),
            ("![a](http://b)", "\\!\\[a\\](http\\://b)"),
            ("www.a.b", "www\\.a.b"),
            ("a\u{202e}b\u{0}", "a b"),
            ("", ""),
        ] {
            assert_eq!(escaped(text), written, "{text:?}");
        }
    }
}
