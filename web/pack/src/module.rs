//! Compile `rakelight-web` to WebAssembly and generate the script that loads it.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};
use std::process::Command;

use wasm_bindgen_cli_support::Bindgen;

use crate::workspace::Workspace;
use crate::{PackError, order, shrink};

const TARGET: &str = "wasm32-unknown-unknown";

/// The module and its script, ready to be written beside the page.
#[derive(Debug, Clone)]
pub struct Module {
    /// `rakelight.js`: a classic script that defines the global `wasm_bindgen`.
    pub script: String,
    /// `rakelight_bg.wasm`.
    pub wasm: Vec<u8>,
}

/// Compiles the module; cargo's own messages go to the terminal.
///
/// # Errors
/// The wasm target is missing and cannot be added, the compilation fails, or the generator
/// refuses the module.
pub fn build(workspace: &Workspace) -> Result<Module, PackError> {
    require_target(workspace.root())?;
    let compiled = compile(workspace)?;
    bind(&compiled)
}

fn require_target(root: &Path) -> Result<(), PackError> {
    if target_is_installed(root) {
        return Ok(());
    }
    eprintln!("adding the Rust target {TARGET} …");
    let added = Command::new("rustup").args(["target", "add", TARGET]).current_dir(root).status();
    match added {
        Ok(status) if status.success() && target_is_installed(root) => Ok(()),
        Ok(_) => Err(PackError::build(format!("could not add the Rust target {TARGET}; try `rustup target add {TARGET}`"))),
        Err(_) => Err(PackError::build(format!(
            "the Rust target {TARGET} is missing and there is no rustup to add it; install it the way Rust was installed"
        ))),
    }
}

/// Whether the compiler has a standard library for the target, asked of the compiler itself
/// so that it also works where Rust did not come from rustup.
fn target_is_installed(root: &Path) -> bool {
    let answer = Command::new(compiler()).args(["--print", "target-libdir", "--target", TARGET]).current_dir(root).output();
    answer.is_ok_and(|output| output.status.success() && Path::new(String::from_utf8_lossy(&output.stdout).trim()).is_dir())
}

fn compiler() -> OsString {
    std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into())
}

fn compile(workspace: &Workspace) -> Result<PathBuf, PackError> {
    let target = workspace.module_target();
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    for (name, _) in std::env::vars_os() {
        if changes_the_build(&name) {
            cargo.env_remove(name);
        }
    }
    let status = cargo
        .args(["build", "--locked", "--lib", "--package", "rakelight-web"])
        .args(["--profile", "wasm", "--target", TARGET])
        .arg("--manifest-path")
        .arg(workspace.root().join("Cargo.toml"))
        .arg("--target-dir")
        .arg(&target)
        .env("CARGO_ENCODED_RUSTFLAGS", flags(workspace.root()))
        .current_dir(workspace.root())
        .status()
        .map_err(|error| PackError::build(format!("could not start cargo: {error}")))?;
    if !status.success() {
        return Err(PackError::build("compiling rakelight-web to WebAssembly failed; cargo's messages are above"));
    }
    Ok(target.join(TARGET).join("wasm/rakelight_web.wasm"))
}

/// Whether an inherited variable would make the nested build another build: flags and wrappers
/// of the outer one (clippy sets a wrapper, `cargo run` sets the outer package's variables).
/// What says how to reach registries, and how much of the machine to use, stays.
fn changes_the_build(name: &OsStr) -> bool {
    const KEPT: [&str; 8] =
        ["CARGO_HOME", "CARGO_HTTP_", "CARGO_NET_", "CARGO_REGISTR", "CARGO_SOURCE_", "CARGO_TERM_", "CARGO_BUILD_JOBS", "CARGO_RESOLVER_"];
    let name = name.to_string_lossy();
    match name.as_ref() {
        "RUSTFLAGS" | "RUSTDOCFLAGS" | "RUSTC_WORKSPACE_WRAPPER" | "MAKEFLAGS" | "CARGO" => true,
        _ => name.starts_with("CARGO_") && !KEPT.iter().any(|kept| name.starts_with(kept)),
    }
}

/// Compiler flags: vectors of 128 bits, which all current browsers have, and this machine's folders left out of the module, so that the same
/// sources give the same bytes anywhere.
fn flags(root: &Path) -> OsString {
    let mut flags = OsString::from("-Ctarget-feature=+simd128");
    let mut map = |from: &Path, to: &str| {
        flags.push("\u{1f}--remap-path-prefix=");
        flags.push(from);
        flags.push("=");
        flags.push(to);
    };
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from).or_else(|| std::env::home_dir().map(|home| home.join(".cargo")));
    if let Some(home) = home {
        map(&home, "cargo");
    }
    // The later flag wins where both match.
    map(root, ".");
    flags
}

fn bind(compiled: &Path) -> Result<Module, PackError> {
    let refused = |error: &dyn std::fmt::Display| PackError::build(format!("generating the module's script failed: {error:#}"));
    let mut output = Bindgen::new()
        .input_path(compiled)
        .out_name("rakelight")
        .no_modules(true)
        .map_err(|error| refused(&error))?
        .typescript(false)
        .keep_debug(false)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate_output()
        .map_err(|error| refused(&error))?;
    // The page's policy and the packed list of files know of one script only.
    if output.snippets().values().any(|parts| !parts.is_empty()) || !output.local_modules().is_empty() {
        return Err(PackError::build("rakelight-web brings script files of its own; the page cannot load those"));
    }
    let script = output.js().to_owned();
    let wasm = shrink::without_custom_sections(&output.wasm_mut().emit_wasm()).map_err(|error| refused(&error))?;
    let wasm = order::by_likeness(&wasm).map_err(|error| refused(&error))?;
    Ok(Module { script, wasm })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outer_build_settings_do_not_reach_the_nested_build() {
        for name in [
            "RUSTFLAGS",
            "CARGO_ENCODED_RUSTFLAGS",
            "CARGO_BUILD_TARGET",
            "CARGO_TARGET_DIR",
            "CARGO_PROFILE_WASM_LTO",
            "CARGO_PKG_NAME",
            "CARGO_MANIFEST_DIR",
            "RUSTC_WORKSPACE_WRAPPER",
        ] {
            assert!(changes_the_build(OsStr::new(name)), "{name}");
        }
        for name in [
            "PATH",
            "HOME",
            "CARGO_HOME",
            "CARGO_REGISTRIES_MIRROR_INDEX",
            "CARGO_REGISTRY_DEFAULT",
            "CARGO_HTTP_PROXY",
            "CARGO_BUILD_JOBS",
            "RUSTUP_TOOLCHAIN",
        ] {
            assert!(!changes_the_build(OsStr::new(name)), "{name}");
        }
    }
}
