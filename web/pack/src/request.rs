//! Read one HTTP request, and refuse what is not plain.
//!
//! Source: RFC 9112 (HTTP/1.1 messages), §3 and §5; RFC 3986 §2.1 (percent-encoding).

use std::io::{self, BufRead};

/// Longest request line and header block read, in bytes. Smaller would refuse the cookies some
/// other program on 127.0.0.1 has set; larger would let a stray client hold more memory.
const LONGEST_HEAD: u64 = 64 * 1024;

/// What a request asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Only the head of the answer is wanted.
    pub head_only: bool,
    /// Decoded path segments after the leading slash; the last is empty for a folder.
    pub path: Vec<String>,
    /// The Host header, as sent.
    pub host: String,
}

/// Why a request is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// Not an HTTP/1 request, or one with a path that is no plain file name.
    Malformed,
    /// A method other than GET and HEAD.
    Method,
    /// The connection closed, or the client waited too long.
    Gone,
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::InvalidData => Self::Malformed,
            _ => Self::Gone,
        }
    }
}

/// Reads the head of a request; a body, which GET and HEAD do not have, is not read.
///
/// # Errors
/// See [`Refusal`].
pub fn read(stream: impl BufRead) -> Result<Request, Refusal> {
    let mut stream = stream.take(LONGEST_HEAD);
    let mut first = String::new();
    stream.read_line(&mut first)?;
    if first.is_empty() {
        return Err(Refusal::Gone);
    }
    let mut parts = first.trim_end().split(' ');
    let (Some(method), Some(target), Some(version), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return Err(Refusal::Malformed);
    };
    if !version.starts_with("HTTP/1.") {
        return Err(Refusal::Malformed);
    }
    let mut host = None;
    loop {
        let mut line = String::new();
        stream.read_line(&mut line)?;
        if !line.ends_with('\n') {
            return Err(Refusal::Malformed);
        }
        let line = line.trim_end();
        if line.is_empty() {
            break;
        }
        let (name, value) = line.split_once(':').ok_or(Refusal::Malformed)?;
        if name.eq_ignore_ascii_case("host") {
            // Two hosts: the one checked might not be the one meant.
            if host.replace(value.trim().to_owned()).is_some() {
                return Err(Refusal::Malformed);
            }
        }
    }
    let head_only = match method {
        "GET" => false,
        "HEAD" => true,
        _ => return Err(Refusal::Method),
    };
    Ok(Request { head_only, path: path_segments(target)?, host: host.ok_or(Refusal::Malformed)? })
}

/// The decoded segments of an origin-form target without its query. Segments that could lead
/// out of a folder (`..`, a separator after decoding, a drive letter) or to a hidden file are
/// refused rather than resolved.
fn path_segments(target: &str) -> Result<Vec<String>, Refusal> {
    let path = target.split(['?', '#']).next().unwrap_or_default();
    let path = path.strip_prefix('/').ok_or(Refusal::Malformed)?;
    let segments: Vec<String> =
        path.split('/').map(|segment| percent_decode(segment).ok_or(Refusal::Malformed)).collect::<Result<_, _>>()?;
    let last = segments.len() - 1;
    for (index, segment) in segments.iter().enumerate() {
        let empty_inside = segment.is_empty() && index != last;
        if empty_inside || segment.starts_with('.') || segment.contains(['/', '\\', ':', '\0']) {
            return Err(Refusal::Malformed);
        }
    }
    Ok(segments)
}

fn percent_decode(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let mut digit = || char::from(rest.next()?).to_digit(16);
            bytes.push(u8::try_from(16 * digit()? + digit()?).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

/// Encodes one path segment so that any file name survives in an address.
pub fn percent_encode(segment: &str) -> String {
    let mut text = String::new();
    for byte in segment.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            text.push(char::from(byte));
        } else {
            text.push_str(&format!("%{byte:02X}"));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(target: &str) -> Result<Vec<String>, Refusal> {
        let text = format!("GET {target} HTTP/1.1\r\nHost: 127.0.0.1:7391\r\n\r\n");
        read(text.as_bytes()).map(|request| request.path)
    }

    #[test]
    fn plain_paths() {
        assert_eq!(ask("/"), Ok(vec![String::new()]));
        assert_eq!(ask("/?open=open/t/a.stp"), Ok(vec![String::new()]));
        assert_eq!(ask("/app/main.js"), Ok(vec!["app".into(), "main.js".into()]));
        assert_eq!(ask("/a%20b%c3%a4.stp"), Ok(vec!["a bä.stp".into()]));
    }

    #[test]
    fn paths_that_could_lead_elsewhere() {
        for target in [
            "",
            "app",
            "/..",
            "/../a",
            "/app/../../a",
            "/%2e%2e/a",
            "/a%2f..%2fb",
            "/..%5ca",
            "/a%5cb",
            "/c:/a",
            "/%00",
            "/.git/config",
            "//etc/passwd",
            "/a//b",
            "/%",
            "/%4",
            "/%zz",
            "/%ff",
            "http://127.0.0.1/",
        ] {
            assert_eq!(ask(target), Err(Refusal::Malformed), "{target}");
        }
    }

    #[test]
    fn heads() {
        let read = |text: &str| read(text.as_bytes());
        assert_eq!(read(""), Err(Refusal::Gone));
        assert_eq!(read("\r\n"), Err(Refusal::Malformed));
        assert_eq!(read("GET / HTTP/2\r\nHost: a\r\n\r\n"), Err(Refusal::Malformed));
        assert_eq!(read("GET / HTTP/1.1\r\n\r\n"), Err(Refusal::Malformed));
        assert_eq!(read("GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n"), Err(Refusal::Malformed));
        assert_eq!(read("GET / HTTP/1.1\r\nHost: a\r\n"), Err(Refusal::Malformed));
        assert_eq!(read("POST / HTTP/1.1\r\nHost: a\r\n\r\n"), Err(Refusal::Method));
        assert!(read("HEAD / HTTP/1.1\r\nhOST: a\r\n\r\n").is_ok_and(|request| request.head_only));
        let endless = format!("GET / HTTP/1.1\r\nX: {}\r\n\r\n", "a".repeat(100_000));
        assert_eq!(read(&endless), Err(Refusal::Malformed));
    }

    #[test]
    fn names_survive_an_address() {
        for name in ["a b.stp", "50%.step", "ä#?&=.stp", "quote'\".stp"] {
            assert_eq!(ask(&format!("/{}", percent_encode(name))), Ok(vec![name.into()]));
        }
    }
}
