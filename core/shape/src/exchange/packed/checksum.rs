//! The checksum of zip and gzip: CRC-32, RFC 1952, 8.

const TABLE: [u32; 256] = table();

const fn table() -> [u32; 256] {
    let mut table = [0; 256];
    let mut n = 0;
    while n < 256 {
        let mut c = n as u32;
        let mut bit = 0;
        while bit < 8 {
            c = if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 };
            bit += 1;
        }
        table[n] = c;
        n += 1;
    }
    table
}

/// The checksum of these bytes; 0 for none.
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |c, &b| TABLE.get((c as u8 ^ b) as usize).copied().unwrap_or(0) ^ (c >> 8))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value that ITU-T V.42 and every list of checksums give for this one.
    #[test]
    fn agrees_with_the_published_check_value() {
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
        assert_eq!(crc32(b""), 0);
    }
}
