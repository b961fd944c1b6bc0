//! One headless Chromium for a test binary, driven over the DevTools protocol.
//!
//! The protocol runs over two pipes (`--remote-debugging-pipe`): no port, no web-socket crate,
//! and the browser ends by itself when the test process does, however that ends.

mod app;
mod connection;
mod frame;
mod input;
mod page;

pub use page::{Page, Rect};

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::{Mutex, MutexGuard, OnceLock};

use connection::Connection;

/// Names under which distributions install Chromium.
const NAMES: [&str; 2] = ["chromium", "chromium-browser"];

/// A new page in a profile of its own, 1024 × 768.
///
/// Pages are handed out one at a time: software rendering uses every core, so that two at once
/// would only make time limits fail.
///
/// # Panics
/// Chromium is missing or does not start.
pub fn page() -> Page {
    static TURN: Mutex<()> = Mutex::new(());
    let turn: MutexGuard<'static, ()> = TURN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    Page::new(chromium(), turn)
}

/// Memory of the largest page process of the browser, kB: what is resident, memory that processes share divided among
/// them. 0 where the system does not tell (it needs Linux's proc folder).
pub fn page_memory() -> u64 {
    largest_page("Pss:")
}

/// The same with memory that processes share counted whole.
pub fn page_resident() -> u64 {
    largest_page("Rss:")
}

fn largest_page(kind: &str) -> u64 {
    let read = |pid: u32, what: &str| std::fs::read_to_string(format!("/proc/{pid}/{what}")).ok();
    // After the name in brackets, which may hold anything, come the state and the parent.
    let parent = |pid: u32| read(pid, "stat")?.rsplit_once(')')?.1.split_whitespace().nth(1)?.parse::<u32>().ok();
    let ours = |pid: u32| std::iter::successors(Some(pid), |pid| parent(*pid)).take(16).any(|pid| pid == std::process::id());
    let resident = |pid: u32| {
        let smaps = read(pid, "smaps_rollup")?;
        smaps.lines().find_map(|line| line.strip_prefix(kind)?.trim().strip_suffix(" kB")?.parse().ok())
    };
    let entries = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let all = entries.filter_map(|entry| entry.file_name().into_string().ok()?.parse::<u32>().ok());
    let pages = all.filter(|pid| read(*pid, "cmdline").is_some_and(|line| line.contains("--type=renderer")) && ours(*pid));
    pages.filter_map(resident).max().unwrap_or(0)
}

fn chromium() -> &'static Connection {
    static CHROMIUM: OnceLock<Connection> = OnceLock::new();
    CHROMIUM.get_or_init(launch)
}

fn launch() -> Connection {
    let program = program();
    let profile = std::env::temp_dir().join(format!("rakelight-chromium-{}", std::process::id()));
    std::fs::create_dir_all(&profile).expect("a folder for the browser's profile");
    // The shell connects the pipes to descriptors 3 and 4, where Chromium expects them, and
    // removes the profile once Chromium has ended.
    let script = r#"profile=$1; shift; "$@" 3<&0 4>&1 </dev/null >/dev/null 2>"$profile/log"; rm -rf "$profile""#;
    let mut command = Command::new("sh");
    command.args(["-c", script, "sh"]).arg(&profile).arg(&program);
    command.arg(format!("--user-data-dir={}", profile.display()));
    command.args([
        "--remote-debugging-pipe",
        "--headless",
        "--enable-unsafe-swiftshader",
        "--disable-gpu-sandbox",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
        "--force-color-profile=srgb",
        "--force-device-scale-factor=1",
    ]);
    if is_root() {
        command.arg("--no-sandbox");
    }
    let child = command.arg("about:blank").stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("a shell");
    Connection::new(child, profile.join("log"))
}

fn program() -> PathBuf {
    if let Some(program) = std::env::var_os("RAKELIGHT_CHROMIUM") {
        return program.into();
    }
    let folders: Vec<PathBuf> = std::env::var_os("PATH").map(|path| std::env::split_paths(&path).collect()).unwrap_or_default();
    NAMES
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|program| program.is_file())
        .expect("Chromium is not installed; `bash tests/run` installs it, or name one in RAKELIGHT_CHROMIUM")
}

/// Chromium refuses its sandbox to root. Asked of the system, since the standard library does
/// not tell.
fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}
