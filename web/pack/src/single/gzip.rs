//! Bytes as a gzip member, which browsers unpack by themselves.
//!
//! Source: RFC 1952.

use miniz_oxide::deflate::compress_to_vec;

/// As small as the coder makes it: packed once, sent often.
const LEVEL: u8 = 10;

/// One member without a name or a time, so that the same bytes always give the same.
pub fn gzip(bytes: &[u8]) -> Vec<u8> {
    const DEFLATE: u8 = 8;
    const SLOWEST: u8 = 2;
    const SYSTEM_UNKNOWN: u8 = 255;
    let mut out = vec![0x1f, 0x8b, DEFLATE, 0, 0, 0, 0, 0, SLOWEST, SYSTEM_UNKNOWN];
    out.extend(compress_to_vec(bytes, LEVEL));
    out.extend(crc32(bytes).to_le_bytes());
    // The length modulo 2³², as the format has it.
    out.extend((bytes.len() as u32).to_le_bytes());
    out
}

/// The check sum of RFC 1952, §8.
fn crc32(bytes: &[u8]) -> u32 {
    const TABLE: [u32; 256] = table();
    !bytes.iter().fold(!0, |sum, byte| TABLE[((sum ^ u32::from(*byte)) & 0xff) as usize] ^ (sum >> 8))
}

const fn table() -> [u32; 256] {
    let mut table = [0; 256];
    let mut index = 0;
    while index < 256 {
        let mut value = index as u32;
        let mut bit = 0;
        while bit < 8 {
            value = if value & 1 == 1 { 0xedb8_8320 ^ (value >> 1) } else { value >> 1 };
            bit += 1;
        }
        table[index] = value;
        index += 1;
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_sum_of_the_standards_own_test_text() {
        // CRC-32/ISO-HDLC of "123456789", in every catalogue of check sums.
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
        assert_eq!(crc32(b""), 0);
    }

    #[test]
    fn what_is_packed_unpacks_to_the_same() {
        for bytes in [Vec::new(), b"a".to_vec(), (0..200_000u32).map(|i| (i.wrapping_mul(i) >> 7) as u8).collect::<Vec<u8>>()] {
            let packed = gzip(&bytes);
            let body = &packed[10..packed.len() - 8];
            assert_eq!(miniz_oxide::inflate::decompress_to_vec(body).as_deref().ok(), Some(bytes.as_slice()));
            assert_eq!(packed[packed.len() - 4..], u32::try_from(bytes.len()).expect("short").to_le_bytes());
        }
    }
}
