//! A static web host as they are: it lets any page read its files, or none of another origin, and says no more of them than their type.
//!
//! Our own server says more of them, and keeps the user's model to its own origin.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;

use rakelight_pack::media;

/// Gives a folder out, and pages of a test beside it, until the test process ends.
#[derive(Debug)]
pub struct OpenHost {
    port: u16,
}

impl OpenHost {
    /// Serves `folder`; `pages` are paths ("/frame.html") with their HTML.
    ///
    /// # Panics
    /// No port is to be had.
    pub fn start(folder: &Path, pages: Vec<(&'static str, String)>) -> Self {
        Self::start_under("", folder, pages)
    }

    /// The same with a policy (Content-Security-Policy) for the pages of the test.
    ///
    /// # Panics
    /// No port is to be had.
    pub fn start_under(policy: &str, folder: &Path, pages: Vec<(&'static str, String)>) -> Self {
        let policy = if policy.is_empty() { String::new() } else { format!("Content-Security-Policy: {policy}\r\n") };
        Self::give(Given { folder: folder.to_owned(), pages, policy, read_by: "Access-Control-Allow-Origin: *\r\n" })
    }

    /// Serves `folder` to no page of another origin.
    ///
    /// # Panics
    /// No port is to be had.
    pub fn start_closed(folder: &Path) -> Self {
        Self::give(Given { folder: folder.to_owned(), pages: Vec::new(), policy: String::new(), read_by: "" })
    }

    fn give(given: Given) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a free port");
        let port = listener.local_addr().expect("an address").port();
        let given = Arc::new(given);
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let given = Arc::clone(&given);
                // A browser that goes away is no concern of the test.
                thread::spawn(move || answer(&stream, &given));
            }
        });
        Self { port }
    }

    /// Address of a path.
    pub fn at(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }
}

/// What a host gives out, and what it says of it.
struct Given {
    folder: PathBuf,
    pages: Vec<(&'static str, String)>,
    policy: String,
    read_by: &'static str,
}

fn answer(stream: &TcpStream, given: &Given) -> std::io::Result<()> {
    let Given { folder, pages, policy, read_by } = given;
    let mut lines = BufReader::new(stream).lines();
    let first = lines.next().transpose()?.unwrap_or_default();
    while lines.next().transpose()?.is_some_and(|line| !line.is_empty()) {}
    let path = first.split(' ').nth(1).unwrap_or("/").split('?').next().unwrap_or("/");
    let policy = if pages.iter().any(|(name, _)| *name == path) { policy.as_str() } else { "" };
    let page = pages.iter().find(|(name, _)| *name == path).map(|(_, page)| ("text/html; charset=utf-8", page.clone().into_bytes()));
    let name = if path == "/" { "index.html" } else { path.trim_start_matches('/') };
    let found = page.or_else(|| if name.contains("..") { None } else { Some((media::type_of(name), fs::read(folder.join(name)).ok()?)) });
    let (status, media, body) = found.map_or(("404 Not Found", "text/plain", Vec::new()), |(media, body)| ("200 OK", media, body));
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {media}\r\nContent-Length: {}\r\n{read_by}{policy}Connection: close\r\n\r\n",
        body.len()
    );
    let mut out = stream;
    out.write_all(head.as_bytes())?;
    out.write_all(&body)
}
