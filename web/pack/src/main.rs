//! The command line of Rakelight: build, serve, check and pack.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use rakelight_pack::cli::{self, Command};
use rakelight_pack::server::{Options, PORT, Server};
use rakelight_pack::workspace::Workspace;
use rakelight_pack::{PackError, desktop, site};

/// Exit code of wrong usage, and of anything that could not be read or done.
const COULD_NOT: u8 = 2;

fn main() -> ExitCode {
    match cli::parse(std::env::args_os().skip(1)) {
        Ok(command) => run(command),
        Err(error) => fail(&error),
    }
}

fn run(command: Command) -> ExitCode {
    let done = match command {
        Command::Help => return print(cli::HELP),
        Command::Version => {
            return print(concat!("rakelight ", env!("CARGO_PKG_VERSION"), "\n"));
        }
        Command::Check { .. } => return fail(&"check is not there yet"),
        Command::Open { file } => open(file),
        Command::Pack { folder } => {
            Workspace::find().and_then(|workspace| site::pack(&workspace, &folder)).map(|()| eprintln!("wrote {}", folder.display()))
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => fail(&error),
    }
}

/// Serves until the program is ended.
fn open(file: Option<PathBuf>) -> Result<(), PackError> {
    if let Some(file) = &file {
        // Before the long build, rather than as a failed request after it.
        let metadata = std::fs::metadata(file).map_err(PackError::file("read", file))?;
        if metadata.is_dir() {
            return Err(PackError::file("read", file)(io::ErrorKind::IsADirectory.into()));
        }
    }
    let workspace = Workspace::find()?;
    site::pack(&workspace, &workspace.site())?;
    let server = Server::start(Options { site: workspace.site(), mount: String::new(), file })?;
    if server.port() != PORT {
        eprintln!("port {PORT} is taken; using {} instead. Reviews kept in the browser belong to the usual port.", server.port());
    }
    let page = server.page();
    let shown = desktop::show(&page);
    let verb = if shown { "opened" } else { "open this address in a browser:" };
    eprintln!("{verb} {page}\nCtrl+C ends it.");
    loop {
        std::thread::park();
    }
}

/// Writes to standard output; a reader that has seen enough (`| head`) is no error.
fn print(text: &str) -> ExitCode {
    match io::stdout().write_all(text.as_bytes()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => fail(&error),
        _ => ExitCode::SUCCESS,
    }
}

fn fail(error: &dyn std::fmt::Display) -> ExitCode {
    eprintln!("rakelight: {error}");
    ExitCode::from(COULD_NOT)
}
