use super::*;
use std::io::Read;
use std::sync::atomic::AtomicU32;

/// A site of two files in a folder of its own, removed at the end.
struct Site(PathBuf);

impl Site {
    fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let folder = std::env::temp_dir().join(format!("rakelight-server-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::SeqCst)));
        fs::create_dir_all(folder.join("site/app")).expect("a folder");
        fs::write(folder.join("site/index.html"), "page").expect("a page");
        fs::write(folder.join("site/app/a.js"), "script").expect("a script");
        fs::write(folder.join("site/sw.js"), "service").expect("a service worker");
        fs::write(folder.join("part 1%.stp"), "model").expect("a model");
        Self(folder)
    }

    fn serve(&self, mount: &str, file: Option<&str>) -> Server {
        Server::start_anywhere(Options { site: self.0.join("site"), mount: mount.into(), file: file.map(|name| self.0.join(name)) })
            .expect("a server")
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn send(server: &Server, text: &str) -> String {
    let mut stream = TcpStream::connect(server.address).expect("a connection");
    stream.write_all(text.as_bytes()).expect("a request");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    answer
}

fn get(server: &Server, target: &str) -> String {
    let host = server.address;
    send(server, &format!("GET {target} HTTP/1.1\r\nHost: {host}\r\n\r\n"))
}

#[test]
fn files_with_type_and_policy() {
    let site = Site::new();
    let server = site.serve("", None);
    for (target, media, body) in [
        ("/", "text/html; charset=utf-8", "page"),
        ("/index.html?x=/../y", "text/html; charset=utf-8", "page"),
        ("/app/a.js", "text/javascript; charset=utf-8", "script"),
        // Refused as a service worker under another type, and out of date from a cache.
        ("/sw.js", "text/javascript; charset=utf-8", "service"),
    ] {
        let answer = get(&server, target);
        assert!(answer.starts_with("HTTP/1.1 200 OK\r\n"), "{answer}");
        assert!(answer.ends_with(&format!("\r\n\r\n{body}")), "{answer}");
        for header in [
            format!("Content-Type: {media}"),
            format!("Content-Length: {}", body.len()),
            "Cache-Control: no-store".into(),
            "X-Content-Type-Options: nosniff".into(),
            format!("Content-Security-Policy: {POLICY}"),
        ] {
            assert!(answer.contains(&format!("\r\n{header}\r\n")), "{header} in {answer}");
        }
    }
    let host = server.address;
    let head = send(&server, &format!("HEAD / HTTP/1.1\r\nHost: {host}\r\n\r\n"));
    assert!(head.contains("Content-Length: 4\r\n") && head.ends_with("\r\n\r\n"), "{head}");
}

#[test]
fn refusals() {
    let site = Site::new();
    fs::write(site.0.join("secret"), "secret").expect("a file");
    let server = site.serve("", None);
    let host = server.address;
    let port = server.port();
    for (text, status) in [
        (format!("GET / HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n"), "200"),
        (format!("GET / HTTP/1.1\r\nHost: attacker.example:{port}\r\n\r\n"), "403"),
        ("GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n".into(), "403"),
        (format!("GET / HTTP/1.1\r\nHost: {host}.attacker.example\r\n\r\n"), "403"),
        ("GET / HTTP/1.1\r\n\r\n".into(), "400"),
        (format!("GET /../secret HTTP/1.1\r\nHost: {host}\r\n\r\n"), "400"),
        (format!("GET /%2e%2e/secret HTTP/1.1\r\nHost: {host}\r\n\r\n"), "400"),
        (format!("GET /none HTTP/1.1\r\nHost: {host}\r\n\r\n"), "404"),
        (format!("GET /app HTTP/1.1\r\nHost: {host}\r\n\r\n"), "404"),
        (format!("GET /open/0/a HTTP/1.1\r\nHost: {host}\r\n\r\n"), "404"),
        (format!("POST / HTTP/1.1\r\nHost: {host}\r\n\r\n"), "405"),
        ("nonsense\r\n\r\n".into(), "400"),
    ] {
        let answer = send(&server, &text);
        assert!(answer.starts_with(&format!("HTTP/1.1 {status} ")), "{text} gave {answer}");
    }
}

#[test]
fn other_origins_may_have_the_site_and_nothing_else() {
    let site = Site::new();
    let server = site.serve("", Some("part 1%.stp"));
    let (_, query) = server.page().split_once("?open=").map(|(a, b)| (a.to_owned(), b.replace("%25", "%"))).expect("a query");
    for (target, open) in [("/", true), ("/app/a.js", true), ("/none", false), (format!("/{query}").as_str(), false)] {
        let answer = get(&server, target);
        assert_eq!(answer.contains("\r\nAccess-Control-Allow-Origin: *\r\n"), open, "{answer}");
        let policy = if open { "cross-origin" } else { "same-origin" };
        assert!(answer.contains(&format!("\r\nCross-Origin-Resource-Policy: {policy}\r\n")), "{answer}");
        assert!(!answer.contains("Allow-Credentials"), "{answer}");
    }
    assert!(get(&server, &format!("/{query}")).ends_with("\r\n\r\nmodel"), "the opened file itself");
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_site_is_not_followed() {
    let site = Site::new();
    fs::write(site.0.join("secret"), "secret").expect("a file");
    std::os::unix::fs::symlink(site.0.join("secret"), site.0.join("site/way-out")).expect("a link");
    let server = site.serve("", None);
    assert!(get(&server, "/way-out").starts_with("HTTP/1.1 404 "));
}

#[test]
fn the_opened_file_only_by_its_whole_name() {
    let site = Site::new();
    let server = site.serve("", Some("part 1%.stp"));
    let page = server.page();
    let (folder, query) = page.split_once("?open=").expect("a query");
    assert_eq!(folder, server.folder());
    // What the page gets from its query is the relative address, still encoded once.
    let target = query.replace("%25", "%");
    assert!(target.ends_with("/part%201%25.stp"), "{target}");
    let token = query.split('/').nth(1).expect("a token");
    assert_eq!(token.len(), 32);
    let answer = get(&server, &format!("/open/{token}/part%201%25.stp"));
    assert!(answer.starts_with("HTTP/1.1 200 ") && answer.ends_with("\r\n\r\nmodel"), "{answer}");
    for wrong in [
        format!("/open/{token}"),
        format!("/open/{token}/"),
        format!("/open/{token}/other.stp"),
        format!("/open/{}/part%201%25.stp", "0".repeat(32)),
        "/open//part%201%25.stp".into(),
        "/part%201%25.stp".into(),
    ] {
        assert!(!get(&server, &wrong).starts_with("HTTP/1.1 200 "), "{wrong}");
    }
    let again = site.serve("", Some("part 1%.stp"));
    assert_ne!(page.split('/').nth(4), again.page().split('/').nth(4));
}

#[test]
fn a_sub_folder() {
    let site = Site::new();
    let server = site.serve("courses/form 2", None);
    assert!(server.folder().ends_with("/courses/form%202/"));
    assert!(get(&server, "/courses/form%202/app/a.js").ends_with("script"));
    assert!(get(&server, "/courses/form%202/").ends_with("page"));
    assert!(get(&server, "/").starts_with("HTTP/1.1 404 "));
    assert!(get(&server, "/app/a.js").starts_with("HTTP/1.1 404 "));
}

#[test]
fn a_taken_port_gives_the_next() {
    let site = Site::new();
    let options = Options { site: site.0.join("site"), mount: String::new(), file: None };
    let first = Server::start(options.clone()).expect("a server");
    let second = Server::start(options).expect("another");
    assert!(first.port() >= PORT && second.port() > first.port());
    let stopped = first.address;
    drop(first);
    for _ in 0..100 {
        if TcpListener::bind(stopped).is_ok() {
            return;
        }
        thread::sleep(Duration::from_millis(20));
    }
    panic!("the port is still taken after the server has stopped");
}
