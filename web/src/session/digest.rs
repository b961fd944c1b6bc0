//! What tells one file from another: the SHA-256 of its bytes. The browser has one of its own, but not in every frame that the page runs in.

use sha2::{Digest, Sha256};

/// Bytes taken at once: an engine compiles a loop better only between two calls of it.
const AT_ONCE: usize = 16 * 1024;

/// In 64 hexadecimal digits.
pub fn digest(bytes: &[u8]) -> String {
    let mut hash = Sha256::new();
    bytes.chunks(AT_ONCE).for_each(|some| hash.update(some));
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: FIPS 180-2, appendix B, and its empty message; the long one is its appendix B.3.
    #[test]
    fn published_digests_come_out() {
        for (bytes, known) in [
            (Vec::new(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            (b"abc".to_vec(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (vec![b'a'; 1_000_000], "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
        ] {
            assert_eq!(digest(&bytes), known, "{} bytes", bytes.len());
        }
    }
}
