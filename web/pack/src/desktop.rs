//! Open the browser.

use std::process::{Command, Stdio};

/// Asks the desktop to show an address; false where there is no desktop to ask.
///
/// Does not wait for the browser, and says nothing about what it then does.
pub fn show(address: &str) -> bool {
    opener(address).is_some_and(|mut command| command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().is_ok())
}

#[cfg(target_os = "macos")]
fn opener(address: &str) -> Option<Command> {
    let mut command = Command::new("open");
    command.arg(address);
    Some(command)
}

#[cfg(target_os = "windows")]
fn opener(address: &str) -> Option<Command> {
    // The empty string is the window title; without it a quoted address would be taken for one.
    let mut command = Command::new("cmd");
    command.args(["/c", "start", "", address]);
    Some(command)
}

#[cfg(not(any(target_os = "macos", target_os = "windows")))]
fn opener(address: &str) -> Option<Command> {
    let display = ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()));
    display.then(|| {
        let mut command = Command::new("xdg-open");
        command.arg(address);
        command
    })
}
