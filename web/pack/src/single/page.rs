//! The page as one file: skeleton, style, scripts and module put into it, under a policy of its own.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};

use crate::style;

/// Links of a page that one file has no use for: what they lead to lies beside a page.
const LEFT_OUT: [&str; 2] = ["manifest", "apple-touch-icon"];

/// What the page is made of.
pub struct Parts<'a> {
    /// `index.html`.
    pub skeleton: &'a str,
    /// The text of a file of the front end.
    pub read: &'a dyn Fn(&str) -> Result<String, String>,
    /// The front end's modules as one script.
    pub script: &'a str,
    /// What defines `wasm_bindgen`.
    pub bindings: &'a str,
    /// The worker's script.
    pub worker: &'a str,
    /// The module, packed by gzip.
    pub wasm: &'a [u8],
}

/// The page, with nothing in the place that [`super::filled`] fills.
///
/// # Errors
/// The skeleton has something that is not known here, or a file is missing; a sentence.
pub fn assemble(parts: &Parts<'_>) -> Result<String, String> {
    let (before, rest) = parts.skeleton.split_once("<html").ok_or("there is no html element")?;
    let doctype = before.lines().next().unwrap_or_default();
    let (head, body) = rest.split_once("</head>").ok_or("there is no head")?;
    let body = body.trim_end().strip_suffix("</html>").and_then(|body| body.trim_end().strip_suffix("</body>"));
    let body = body.ok_or("the body does not end the page")?;
    let style = style::of_page(head, parts.read)?;
    let mut page = format!("{doctype}\n<html");
    for line in head.lines() {
        if line.starts_with("<meta http-equiv=\"Content-Security-Policy\"") {
            page.push_str(&policy(line, &style, &[parts.bindings, parts.script])?);
        } else if line.starts_with("<link") {
            page.push_str(&link(line, parts)?);
        } else if !line.starts_with("<script") {
            page.push_str(line);
            page.push('\n');
        }
    }
    page.push_str(&format!("<style>{style}</style>\n</head>{body}"));
    for (attributes, text) in [
        (" type=\"application/json\" id=\"packed\"", super::NOTHING),
        (" type=\"text/plain\" id=\"packed-notices\"", &(parts.read)("notices.txt")?),
        (" type=\"text/plain\" id=\"packed-wasm\"", &BASE64_STANDARD.encode(parts.wasm)),
        (" type=\"text/plain\" id=\"packed-worker\"", parts.worker),
        (" id=\"packed-bindings\"", parts.bindings),
        (" id=\"packed-script\"", parts.script),
    ] {
        let lower = text.to_ascii_lowercase();
        if lower.contains("</script") || lower.contains("<!--") {
            return Err(format!("what goes into the element{attributes} would end it"));
        }
        page.push_str(&format!("<script{attributes}>{text}</script>\n"));
    }
    page.push_str("</body>\n</html>\n");
    Ok(page)
}

fn link(line: &str, parts: &Parts<'_>) -> Result<String, String> {
    match style::attribute(line, "rel")? {
        "icon" => {
            let icon = (parts.read)(style::attribute(line, "href")?)?;
            let data = BASE64_STANDARD.encode(icon.trim_end());
            Ok(format!("<link rel=\"icon\" href=\"data:image/svg+xml;base64,{data}\" type=\"image/svg+xml\">\n"))
        }
        "stylesheet" => Ok(String::new()),
        rel if LEFT_OUT.contains(&rel) => Ok(String::new()),
        rel => Err(format!("a link that one file has no place for: {rel}")),
    }
}

/// The policy: these scripts and this style, by their hashes, a worker out of the page itself, and no network at all. The hashes that the
/// page's own policy has, of the style of reports, stay.
fn policy(line: &str, style: &str, scripts: &[&str]) -> Result<String, String> {
    let stated = style::attribute(line, "content")?;
    let styles = stated.split(';').find_map(|one| one.trim().strip_prefix("style-src ")).ok_or("the policy says nothing of styles")?;
    let kept: Vec<&str> = styles.split_whitespace().filter(|source| source.starts_with("'sha256-")).collect();
    let scripts: Vec<String> = scripts.iter().map(|text| hash(text)).collect();
    Ok(format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src {} 'wasm-unsafe-eval'; \
         style-src {} {}; img-src data: blob:; connect-src 'none'; worker-src blob:; base-uri 'none'; form-action 'none'\">\n",
        scripts.join(" "),
        hash(style),
        kept.join(" ")
    ))
}

/// How a policy names the text of an element. Source: W3C Content Security Policy Level 3, §8.4.
pub fn hash(text: &str) -> String {
    format!("'sha256-{}'", BASE64_STANDARD.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SKELETON: &str = "<!doctype html>\n<!-- hooks -->\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
        <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'self' 'sha256-r='; connect-src https:\">\n\
        <link rel=\"icon\" href=\"mark.svg\" type=\"image/svg+xml\">\n<link rel=\"stylesheet\" href=\"css/a.css\">\n\
        <link rel=\"stylesheet\" href=\"css/b.css\">\n<script src=\"rakelight.js\"></script>\n<script type=\"module\" src=\"app.js\"></script>\n\
        </head>\n<body>\n<main></main>\n</body>\n</html>\n";

    fn assembled(skeleton: &str, style: &str, worker: &str) -> Result<String, String> {
        let read = |name: &str| match name {
            "mark.svg" => Ok("<svg/>\n".to_owned()),
            "css/a.css" => Ok(style.to_owned()),
            "css/b.css" => Ok("b {}\n".to_owned()),
            "notices.txt" => Ok("thanks".to_owned()),
            _ => Err(format!("no {name}")),
        };
        assemble(&Parts { skeleton, read: &read, script: "app()", bindings: "let wasm_bindgen;", worker, wasm: b"wasm" })
    }

    #[test]
    fn everything_lies_in_the_page_under_its_hash() {
        let page = assembled(SKELETON, "a { fill: url(#c) }\n", "work()").expect("a page");
        assert!(page.starts_with("<!doctype html>\n<html lang=\"en\">\n<head>\n"), "{page}");
        assert!(!page.contains("hooks") && !page.contains("src=\"") && !page.contains("https:"), "{page}");
        let within = |from: &str, to: &str| page.split_once(from).and_then(|(_, rest)| rest.split_once(to)).expect(from).0;
        let style = within("<style>", "</style>");
        assert_eq!(style, "a{fill:url(#c)}b{}");
        let policy = within("content=\"", "\"");
        for part in [
            format!("script-src {} {} 'wasm-unsafe-eval';", hash("let wasm_bindgen;"), hash("app()")),
            format!("style-src {} 'sha256-r=';", hash(style)),
            "connect-src 'none';".to_owned(),
        ] {
            assert!(policy.contains(&part), "{part} in {policy}");
        }
        assert_eq!(within("id=\"packed-wasm\">", "<"), BASE64_STANDARD.encode("wasm"));
        assert_eq!(within("id=\"packed-worker\">", "<"), "work()");
        assert!(page.ends_with("<script id=\"packed-script\">app()</script>\n</body>\n</html>\n"), "{page}");
    }

    #[test]
    fn the_hash_of_the_standards_own_example() {
        assert_eq!(hash("alert('Hello, world.');"), "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='");
    }

    #[test]
    fn what_would_lead_out_of_the_file_is_refused() {
        for (skeleton, style, worker) in [
            (SKELETON.replace("css/a.css", "css/c.css"), "", ""),
            (SKELETON.replace("<link rel=\"icon\"", "<link rel=\"preload\""), "", ""),
            (SKELETON.replace("style-src", "img-src"), "", ""),
            (SKELETON.replace("</body>", ""), "", ""),
            (SKELETON.to_owned(), "a { fill: url(b.svg) }", ""),
            (SKELETON.to_owned(), "@import 'b.css';", ""),
            (SKELETON.to_owned(), "</STYLE>", ""),
            (SKELETON.to_owned(), "", "'</Script>'"),
            (SKELETON.to_owned(), "", "'<!--'"),
        ] {
            assert!(assembled(&skeleton, style, worker).is_err(), "{style}{worker}{skeleton}");
        }
        let manifest = SKELETON.replace("</head>", "<link rel=\"manifest\" href=\"m\">\n</head>");
        assert!(assembled(&manifest, "", "").is_ok_and(|page| !page.contains("manifest")));
    }
}
