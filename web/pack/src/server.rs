//! Give the static folder, and one file by a secret name, out on 127.0.0.1.

use std::fs;
use std::io::{self, BufReader, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

use crate::request::{self, Refusal, Request, percent_encode};
use crate::{PackError, digits, media};

/// The port asked for first. Fixed, because what the page stores belongs to its port as well.
pub const PORT: u16 = 7391;

/// Ports tried after the first; more than this in use is no accident any more.
const FURTHER_PORTS: u16 = 20;

/// Connections served at once; a page needs about six, and each costs a thread.
const MOST_CONNECTIONS: usize = 64;

/// How long a silent client is waited for. Shorter would cut off a suspended laptop's browser;
/// longer would let idle connections fill the number allowed.
const PATIENCE: Duration = Duration::from_secs(10);

/// The policy of every answer, the same as in the page itself: own files only, but for a model
/// address that the user has agreed to, and the style of reports, which a frame of the page shows (by its hash: what is put into such a
/// frame goes by the page's policy).
pub const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
    style-src 'self' 'sha256-UQk8ogixWSuUGfoMHk6KMmU5zFK2CpcEtThoc1erLEk='; img-src 'self' data: blob:; connect-src 'self' https: http:; \
    worker-src 'self' blob:; manifest-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'";

/// A running server; stops taking connections when dropped.
#[derive(Debug)]
pub struct Server {
    address: SocketAddr,
    shared: Arc<Shared>,
}

#[derive(Debug)]
struct Shared {
    site: PathBuf,
    mount: Vec<String>,
    opened: Option<Opened>,
    address: SocketAddr,
    stopping: AtomicBool,
    connections: AtomicUsize,
}

/// A file given out under a name nobody can guess.
#[derive(Debug, Clone)]
struct Opened {
    token: String,
    name: String,
    path: PathBuf,
}

/// What to serve.
#[derive(Debug, Clone)]
pub struct Options {
    /// The packed site.
    pub site: PathBuf,
    /// The sub-folder the site appears under, without slashes at the ends; empty for the root.
    pub mount: String,
    /// A file to give out beside it.
    pub file: Option<PathBuf>,
}

impl Server {
    /// Takes the usual port, or the next free one, and starts serving.
    ///
    /// # Errors
    /// No port is free, or the system gives no random bytes.
    pub fn start(options: Options) -> Result<Self, PackError> {
        let last = PORT + FURTHER_PORTS;
        let mut taken = None;
        for port in PORT..=last {
            match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
                Ok(listener) => return Self::serve(listener, options),
                Err(source) => taken = Some(source),
            }
        }
        Err(PackError::Port { first: PORT, last, source: taken.unwrap_or_else(|| io::ErrorKind::AddrInUse.into()) })
    }

    /// Takes any free port and starts serving; for tests.
    ///
    /// # Errors
    /// The system gives no port or no random bytes.
    pub fn start_anywhere(options: Options) -> Result<Self, PackError> {
        Self::start_at(0, options)
    }

    /// Takes one port (0 for any that is free) and starts serving; for tests that come back to an address.
    ///
    /// # Errors
    /// The port is not free, or the system gives no random bytes.
    pub fn start_at(port: u16, options: Options) -> Result<Self, PackError> {
        let taken = |source| PackError::Port { first: port, last: port, source };
        Self::serve(TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(taken)?, options)
    }

    /// The port taken.
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// Address of the site's folder, with a slash at the end.
    pub fn folder(&self) -> String {
        let mut address = format!("http://{}/", self.address);
        for segment in &self.shared.mount {
            address.push_str(&percent_encode(segment));
            address.push('/');
        }
        address
    }

    /// Address to show: the site, told to open the file if there is one.
    pub fn page(&self) -> String {
        match &self.shared.opened {
            None => self.folder(),
            Some(opened) => format!("{}?open=open/{}/{}", self.folder(), opened.token, percent_encode(&percent_encode(&opened.name))),
        }
    }

    fn serve(listener: TcpListener, options: Options) -> Result<Self, PackError> {
        let address = listener.local_addr().map_err(PackError::file("read", "the port taken"))?;
        let opened = options.file.map(Opened::new).transpose()?;
        let shared = Arc::new(Shared {
            site: options.site,
            mount: options.mount.split('/').filter(|segment| !segment.is_empty()).map(str::to_owned).collect(),
            opened,
            address,
            stopping: AtomicBool::new(false),
            connections: AtomicUsize::new(0),
        });
        let accepting = Arc::clone(&shared);
        thread::spawn(move || accept(&listener, &accepting));
        Ok(Self { address, shared })
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.shared.stopping.store(true, Ordering::SeqCst);
        // Wakes the thread that waits for a connection; should it fail, the thread stays
        // waiting and serves nothing.
        drop(TcpStream::connect(self.address));
    }
}

impl Opened {
    fn new(path: PathBuf) -> Result<Self, PackError> {
        let name = path.file_name().map_or_else(|| "model".into(), |name| name.to_string_lossy().into_owned());
        Ok(Self { token: digits::random()?, name, path })
    }
}

fn accept(listener: &TcpListener, shared: &Arc<Shared>) {
    for stream in listener.incoming() {
        if shared.stopping.load(Ordering::SeqCst) {
            return;
        }
        let Ok(stream) = stream else { continue };
        if shared.connections.fetch_add(1, Ordering::SeqCst) >= MOST_CONNECTIONS {
            shared.connections.fetch_sub(1, Ordering::SeqCst);
            continue;
        }
        let shared = Arc::clone(shared);
        thread::spawn(move || {
            // A client that has gone away is no concern of the others.
            let _ = talk(&stream, &shared);
            shared.connections.fetch_sub(1, Ordering::SeqCst);
        });
    }
}

fn talk(stream: &TcpStream, shared: &Shared) -> io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let answer = match request::read(BufReader::new(stream)) {
        Ok(request) => answer(&request, shared),
        Err(Refusal::Malformed) => Answer::text("400 Bad Request"),
        Err(Refusal::Method) => Answer { allow: true, ..Answer::text("405 Method Not Allowed") },
        Err(Refusal::Gone) => return Ok(()),
    };
    answer.send(stream)
}

/// One answer: status line, type, body.
struct Answer {
    status: &'static str,
    media: &'static str,
    body: Vec<u8>,
    head_only: bool,
    allow: bool,
    /// Any page may read it and run it: a file of the site, which holds nothing of the user's. Never the opened file.
    shared: bool,
}

impl Answer {
    fn text(status: &'static str) -> Self {
        Self {
            status,
            media: "text/plain; charset=utf-8",
            body: format!("{status}\n").into_bytes(),
            head_only: false,
            allow: false,
            shared: false,
        }
    }

    fn send(&self, mut stream: &TcpStream) -> io::Result<()> {
        let allow = if self.allow { "Allow: GET, HEAD\r\n" } else { "" };
        // Pages of other origins, and frames without one, show models by our element; no answer goes by who asks, so none needs credentials.
        let whose = if self.shared { "cross-origin\r\nAccess-Control-Allow-Origin: *" } else { "same-origin" };
        let head = format!(
            "HTTP/1.1 {}\r\nContent-Type: {}\r\nContent-Length: {}\r\n{allow}\
             Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\n\
             Referrer-Policy: no-referrer\r\nCross-Origin-Resource-Policy: {whose}\r\n\
             Content-Security-Policy: {POLICY}\r\nConnection: close\r\n\r\n",
            self.status,
            self.media,
            self.body.len(),
        );
        stream.write_all(head.as_bytes())?;
        if !self.head_only {
            stream.write_all(&self.body)?;
        }
        stream.flush()
    }
}

fn answer(request: &Request, shared: &Shared) -> Answer {
    let mut answer = if own_host(&request.host, shared.address.port()) {
        file_for(request, shared).map_or_else(
            || Answer::text("404 Not Found"),
            |(name, body, shared)| Answer { status: "200 OK", media: media::type_of(&name), body, head_only: false, allow: false, shared },
        )
    } else {
        Answer::text("403 Forbidden")
    };
    answer.head_only = request.head_only;
    answer
}

/// Whether the page asked for this machine by one of its own names. Another name means that a
/// foreign page has pointed its own host name here (DNS rebinding) to read the user's files.
fn own_host(host: &str, port: u16) -> bool {
    ["127.0.0.1", "localhost"].iter().any(|name| host.eq_ignore_ascii_case(&format!("{name}:{port}")))
}

/// Name and bytes of what was asked for, and whether any page may have it.
fn file_for(request: &Request, shared: &Shared) -> Option<(String, Vec<u8>, bool)> {
    let path = request.path.strip_prefix(shared.mount.as_slice())?;
    if let [folder, token, name] = path
        && folder == "open"
    {
        let opened = shared.opened.as_ref()?;
        if *token != opened.token || *name != opened.name {
            return None;
        }
        return fs::read(&opened.path).ok().map(|body| (name.clone(), body, false));
    }
    let mut file = shared.site.clone();
    let (last, folders) = path.split_last()?;
    file.extend(folders);
    let name = if last.is_empty() { "index.html" } else { last };
    file.push(name);
    if !inside(&file, &shared.site) {
        return None;
    }
    fs::read(&file).ok().map(|body| (name.to_owned(), body, true))
}

/// Whether a file lies in the folder once links are followed.
fn inside(file: &Path, folder: &Path) -> bool {
    match (file.canonicalize(), folder.canonicalize()) {
        (Ok(file), Ok(folder)) => file.starts_with(folder),
        _ => false,
    }
}

#[cfg(test)]
mod tests;
