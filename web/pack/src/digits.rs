//! Bytes as hexadecimal digits: what names a file's content, and what nobody can guess.

use sha2::{Digest, Sha256};

use crate::PackError;

/// Two digits a byte.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// SHA-256 in 64 digits.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// 32 random digits.
///
/// # Errors
/// The system gives no random bytes.
pub fn random() -> Result<String, PackError> {
    let mut bytes = [0u8; 16];
    getrandom::fill(&mut bytes).map_err(|error| PackError::Random { message: error.to_string() })?;
    Ok(hex(&bytes))
}
