//! Carry out what the arguments ask for.

use std::ffi::OsString;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use rakelight_core::exchange;
use rakelight_core::progress::Silent;

use crate::cli::{self, Command};
use crate::review::{self, Outcome, Reviewed};
use crate::scripts::Scripts;
use crate::server::{Options, PORT, Server};
use crate::single::{self, Contents};
use crate::workspace::Workspace;
use crate::{PackError, desktop, module, said, site};

/// Done, and nothing serious found.
pub const DONE: u8 = 0;
/// `check` found something serious.
pub const SERIOUS: u8 = 1;
/// Wrong usage, or something could not be read, built or written.
pub const COULD_NOT: u8 = 2;

/// Runs the command that the arguments after the program's name make, and gives its exit code.
///
/// Results go to `out`, everything said about them to `err`. `open` serves until the program is ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let code = match cli::parse(arguments) {
        Err(error) => Err(error.to_string()),
        Ok(command) => carry_out(command, out, err),
    };
    code.unwrap_or_else(|message| {
        // Where standard error is closed too, the exit code is all that is left to say it with.
        let _ = writeln!(err, "rakelight: {message}");
        COULD_NOT
    })
}

fn carry_out(command: Command, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, String> {
    match command {
        Command::Help => print(out, cli::HELP).map(|()| DONE),
        Command::Version => print(out, concat!("rakelight ", env!("CARGO_PKG_VERSION"), "\n")).map(|()| DONE),
        Command::Check { file, print: form, yardstick, rules, reading, others } => {
            let Reviewed { text, outcome, unread, warnings } = review::check(file.as_deref(), form, (yardstick, rules), reading, &others)?;
            print(out, &text)?;
            warnings.iter().for_each(|w| say(err, &format!("rakelight: {w}")));
            if unread > 0 {
                // A script that reads only the exit code must not take a part for the whole.
                say(err, &format!("rakelight: entities not read, so not reviewed: {unread}"));
            }
            Ok(match outcome {
                Outcome::Clean => DONE,
                Outcome::Serious => SERIOUS,
                Outcome::Nothing => COULD_NOT,
            })
        }
        Command::Pack { folder } => {
            let packed = Workspace::find().and_then(|workspace| site::pack(&workspace, &folder));
            packed.map_err(|error| error.to_string())?;
            say(err, &format!("wrote {}", folder.display()));
            Ok(DONE)
        }
        Command::PackOne { file, model, review } => pack_one(&file, model.as_deref(), review.as_deref(), err).map(|()| DONE),
        Command::Open { file } => open(file, err).map(|()| DONE).map_err(|error| error.to_string()),
    }
}

/// Builds the page as one file, with nothing in it.
fn template() -> Result<String, PackError> {
    let workspace = Workspace::find()?;
    let (module, front_end) = (module::build(&workspace)?, workspace.front_end());
    single::template(&front_end, &module, &Scripts::of(&front_end, &module)?)
}

/// Writes the page as one file and tells its size.
fn pack_one(file: &Path, model: Option<&Path>, review: Option<&Path>, err: &mut dyn Write) -> Result<(), String> {
    // Before the long build: what cannot be read, and what is no model.
    let model = model.map(review::read).transpose()?;
    if let Some((name, bytes)) = &model {
        exchange::read(bytes, name, &exchange::Limits::default(), &mut Silent).map_err(|error| review::unread(name, &error))?;
    }
    let said = review.map(|path| said::along(path, model.as_ref().map(|(_, bytes)| bytes.as_slice()))).transpose()?;
    let (review, warning) = said.map_or((None, None), |(text, warning)| (Some(text), warning));
    let page = template().map_err(|error| error.to_string())?;
    let contents = Contents { key: single::key().map_err(|error| error.to_string())?, model, review };
    let whole = single::filled(&page, &contents).ok_or("the page has no place for a model")?;
    std::fs::write(file, &whole).map_err(|error| PackError::file("write", file)(error).to_string())?;
    warning.iter().for_each(|w| say(err, &format!("rakelight: {w}")));
    let mb = |bytes: usize| format!("{:.1} MB", bytes as f64 / 1024.0 / 1024.0);
    let added = whole.len() - page.len();
    say(err, &format!("wrote {}, {}: the inspector {}, model and review {}", file.display(), mb(whole.len()), mb(page.len()), mb(added)));
    Ok(())
}

/// Serves until the program is ended.
fn open(file: Option<PathBuf>, err: &mut dyn Write) -> Result<(), PackError> {
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
        let port = server.port();
        say(err, &format!("port {PORT} is taken; using {port} instead. What the browser keeps belongs to the usual port."));
    }
    let page = server.page();
    let verb = if desktop::show(&page) { "opened" } else { "open this address in a browser:" };
    say(err, &format!("{verb} {page}\nCtrl+C ends it."));
    loop {
        std::thread::park();
    }
}

/// Writes a result; a reader that has seen enough (`| head`) is no error.
fn print(out: &mut dyn Write, text: &str) -> Result<(), String> {
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(format!("could not write the result: {error}")),
        _ => Ok(()),
    }
}

fn say(err: &mut dyn Write, text: &str) {
    // The work is done whether or not anybody reads about it.
    let _ = writeln!(err, "{text}");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run_line(line: &str) -> (u8, String, String) {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let code = run(line.split_whitespace().map(OsString::from), &mut out, &mut err);
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
        (code, text(out), text(err))
    }

    #[test]
    fn results_and_complaints_go_to_their_own_streams() {
        let (code, out, err) = run_line("--help");
        assert_eq!((code, out.as_str(), err.as_str()), (DONE, cli::HELP, ""));
        let (code, out, _) = run_line("--version");
        assert_eq!((code, out), (DONE, format!("rakelight {}\n", env!("CARGO_PKG_VERSION"))));
        let manifest = format!("pack-one out.html --model {}/Cargo.toml", env!("CARGO_MANIFEST_DIR"));
        let one = ["pack-one out.html --model no-such-file.stp", "pack-one out.html --review no-such-file.json", &manifest];
        for line in ["--nonsense", "check no-such-file.stp", "open no-such-file.stp", "open .", "pack"].into_iter().chain(one) {
            let (code, out, err) = run_line(line);
            assert_eq!((code, out.as_str()), (COULD_NOT, ""), "{line}");
            assert!(err.starts_with("rakelight: ") && err.lines().count() == 1, "{line}: {err}");
        }
    }

    #[test]
    fn a_reader_that_has_seen_enough_is_no_error() {
        struct Closed(io::ErrorKind);
        impl Write for Closed {
            fn write(&mut self, _: &[u8]) -> io::Result<usize> {
                Err(self.0.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let help = || [OsString::from("--help")];
        assert_eq!(run(help(), &mut Closed(io::ErrorKind::BrokenPipe), &mut Vec::new()), DONE);
        assert_eq!(run(help(), &mut Closed(io::ErrorKind::StorageFull), &mut Vec::new()), COULD_NOT);
    }
}
