//! The command line of Rakelight: build, serve, check and pack.

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = std::env::args_os().skip(1);
    rakelight_pack::command::run(arguments, &mut std::io::stdout(), &mut std::io::stderr()).into()
}
