//! What can go wrong natively, by who can act on it.

use std::fmt;
use std::path::PathBuf;

/// Why a command could not be carried out.
///
/// The message of each is one line, meant for the person at the command line.
#[derive(Debug)]
#[non_exhaustive]
pub enum PackError {
    /// A file or folder could not be read or written.
    File {
        /// The file or folder.
        path: PathBuf,
        /// What was attempted: "read", "write", "create".
        action: &'static str,
        /// The system's reason.
        source: std::io::Error,
    },
    /// A tool needed for the build is missing or failed.
    Build {
        /// What failed and what the user can do about it.
        message: String,
    },
    /// A folder to pack into holds something that is not a packed site.
    NotOurFolder {
        /// The folder.
        path: PathBuf,
    },
    /// No port could be taken on 127.0.0.1.
    Port {
        /// First port tried.
        first: u16,
        /// Last port tried.
        last: u16,
        /// The system's reason for the last one.
        source: std::io::Error,
    },
    /// The system gave no random bytes for the address of the opened file.
    Random {
        /// The system's reason.
        message: String,
    },
}

impl PackError {
    /// Wraps a failed file operation on `path`.
    pub fn file(action: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.into();
        move |source| Self::File { path, action, source }
    }

    /// A build failure with its message.
    pub fn build(message: impl Into<String>) -> Self {
        Self::Build { message: message.into() }
    }
}

impl fmt::Display for PackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File { path, action, source } => write!(f, "could not {action} {}: {source}", path.display()),
            Self::Build { message } => f.write_str(message),
            Self::NotOurFolder { path } => {
                write!(f, "{} is not empty and holds no packed site; name a new or empty folder", path.display())
            }
            Self::Port { first, last, source } => write!(f, "no free port from {first} to {last} on 127.0.0.1: {source}"),
            Self::Random { message } => write!(f, "no random bytes from the system: {message}"),
        }
    }
}

impl std::error::Error for PackError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::File { source, .. } | Self::Port { source, .. } => Some(source),
            _ => None,
        }
    }
}
