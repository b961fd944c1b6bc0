//! The style sheets of a page: what it loads is one sheet, without comments and spaces.

/// Where the packed page has its sheet.
pub const SHEET: &str = "css/page.css";

const LINK: &str = "<link rel=\"stylesheet\"";

/// An attribute of a tag.
///
/// # Errors
/// It has none of that name.
pub fn attribute<'a>(tag: &'a str, name: &str) -> Result<&'a str, String> {
    let after = tag.split_once(&format!(" {name}=\"")).map(|(_, rest)| rest);
    after.and_then(|rest| rest.split_once('"')).map(|(value, _)| value).ok_or_else(|| format!("no {name} in {tag}"))
}

/// The names of the sheets that a page has, in their order.
///
/// # Errors
/// A link without an address.
pub fn names(page: &str) -> Result<Vec<&str>, String> {
    page.lines().filter(|line| line.starts_with(LINK)).map(|line| attribute(line, "href")).collect()
}

/// All sheets of a page as one. `read` gives the text of a file of the front end.
///
/// # Errors
/// A sheet cannot be read, has an end missing, or leads to other files.
pub fn of_page(page: &str, read: &dyn Fn(&str) -> Result<String, String>) -> Result<String, String> {
    let mut style = String::new();
    for name in names(page)? {
        let text = read(name).map_err(|why| format!("{name}: {why}"))?;
        // Addresses in it would be of files beside it; those within the page begin with #.
        if text.contains("@import") || text.replace("url(#", "").contains("url(") || text.to_ascii_lowercase().contains("</style") {
            return Err(format!("{name} leads to another file, or ends a style element"));
        }
        style.push_str(&compact(&text).ok_or_else(|| format!("{name} has a text or a comment that does not end"))?);
    }
    Ok(style)
}

/// A page with one sheet in the place of all, without comments.
///
/// # Errors
/// A comment that does not end.
pub fn with_one(page: &str) -> Result<String, String> {
    let mut out = String::with_capacity(page.len());
    let mut rest = page;
    while let Some((before, after)) = rest.split_once("<!--") {
        out.push_str(before);
        rest = after.split_once("-->").ok_or("a comment that does not end")?.1;
    }
    out.push_str(rest);
    let mut linked = false;
    let mut lines = String::with_capacity(out.len());
    for line in out.lines().filter(|line| !line.trim().is_empty()) {
        let link = line.starts_with(LINK);
        if link && linked {
            continue;
        }
        let one = format!("{LINK} href=\"{SHEET}\">");
        lines.push_str(if link { &one } else { line });
        lines.push('\n');
        linked |= link;
    }
    Ok(lines)
}

/// A sheet without comments and without the spaces that part nothing. None where a text or a comment does not end.
///
/// Source: W3C CSS Syntax Module Level 3, §4 (tokenization). Spaces before a colon stay, which part a selector from what it holds; so do
/// those around signs of a sum.
pub fn compact(sheet: &str) -> Option<String> {
    let mut out = String::with_capacity(sheet.len());
    let mut space = false;
    let mut rest = sheet;
    while let Some(c) = rest.chars().next() {
        if let Some(comment) = rest.strip_prefix("/*") {
            rest = &comment[comment.find("*/")? + 2..];
            space = true;
            continue;
        }
        let length = match c {
            '"' | '\'' => text(rest, c)?,
            '\\' => 1 + rest[1..].chars().next()?.len_utf8(),
            _ => c.len_utf8(),
        };
        let (now, after) = rest.split_at(length);
        rest = after;
        if c.is_ascii_whitespace() {
            space = true;
            continue;
        }
        if c == '}' && out.ends_with(';') {
            out.pop();
        }
        if space
            && !out.is_empty()
            && !out.ends_with(['{', '}', ';', ',', '>', ':', '('])
            && !matches!(c, '{' | '}' | ';' | ',' | '>' | ')')
        {
            out.push(' ');
        }
        space = false;
        out.push_str(now);
    }
    Some(out)
}

/// The length of the text that begins here, with its marks.
fn text(rest: &str, mark: char) -> Option<usize> {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '\n' => return None,
            _ if c == mark => return Some(at + 1),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spaces_that_part_nothing_go() {
        for (sheet, wanted) in [
            ("/* a */\na,\nb > c {\n  color: red;\n  margin: 0 1px;\n}\n", "a,b>c{color:red;margin:0 1px}"),
            ("a :is(b, c) d:hover + e { }\n\nf { }", "a :is(b,c) d:hover + e{}f{}"),
            (
                "a::before { content: ' /* ; } ' ; width: calc( 1px + (2px - 1%) * 2 ); }",
                "a::before{content:' /* ; } ';width:calc(1px + (2px - 1%) * 2)}",
            ),
            (
                "@media (width > 3px) and (hover: none) {\n  a\\  b { --c: x  y; }\n}",
                "@media (width>3px) and (hover:none){a\\  b{--c:x y}}",
            ),
            ("a/**/b { }", "a b{}"),
        ] {
            assert_eq!(compact(sheet).as_deref(), Some(wanted), "{sheet}");
        }
        for cut in ["a { } /* b", "a { content: 'b", "a { content: 'b\n'; }", "a \\"] {
            assert_eq!(compact(cut), None, "{cut}");
        }
    }

    #[test]
    fn a_page_has_one_sheet_and_no_comments() {
        let page = "<!doctype html>\n<!-- a\n b -->\n<html>\n<link rel=\"stylesheet\" href=\"css/a.css\">\n\
            <link rel=\"stylesheet\" href=\"css/b.css\">\n</html>\n";
        assert_eq!(names(page), Ok(vec!["css/a.css", "css/b.css"]));
        let one = "<!doctype html>\n<html>\n<link rel=\"stylesheet\" href=\"css/page.css\">\n</html>\n";
        assert_eq!(with_one(page).as_deref(), Ok(one));
        assert!(with_one("<!-- a").is_err());
        let read = |name: &str| Ok(format!("/* own */ .{} {{ }}", &name[4..5]));
        assert_eq!(of_page(page, &read).as_deref(), Ok(".a{}.b{}"));
        assert!(of_page(page, &|_| Ok("a { b: url(c) }".into())).is_err());
    }
}
