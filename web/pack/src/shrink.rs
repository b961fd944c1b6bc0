//! Drop what a browser does not need from a WebAssembly module.

use std::fmt;

/// Why bytes are not a module.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ModuleError {
    /// The first eight bytes are not those of a version 1 module.
    Header,
    /// A section's length is no LEB128 number or reaches past the end.
    Section {
        /// Byte offset of the section.
        at: usize,
    },
}

impl fmt::Display for ModuleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Header => f.write_str("not a WebAssembly module of version 1"),
            Self::Section { at } => write!(f, "the section at byte {at} is cut off"),
        }
    }
}

impl std::error::Error for ModuleError {}

/// The module without its custom sections (names, producers, features): they carry no meaning
/// for execution. Source: WebAssembly Core Specification, §5.5 (binary modules).
///
/// # Errors
/// The bytes are not a module, or are cut off.
pub fn without_custom_sections(module: &[u8]) -> Result<Vec<u8>, ModuleError> {
    const HEADER: &[u8] = b"\0asm\x01\0\0\0";
    const CUSTOM: u8 = 0;
    if !module.starts_with(HEADER) {
        return Err(ModuleError::Header);
    }
    let mut kept = HEADER.to_vec();
    let mut at = HEADER.len();
    while let Some(&id) = module.get(at) {
        let cut_off = ModuleError::Section { at };
        let (length, digits) = leb128(module.get(at + 1..).ok_or(cut_off)?).ok_or(cut_off)?;
        let end = (at + 1 + digits).checked_add(length).ok_or(cut_off)?;
        let section = module.get(at..end).ok_or(cut_off)?;
        if id != CUSTOM {
            kept.extend_from_slice(section);
        }
        at = end;
    }
    Ok(kept)
}

/// An unsigned 32-bit LEB128 number and the bytes it takes.
fn leb128(bytes: &[u8]) -> Option<(usize, usize)> {
    let mut value = 0u64;
    for (index, byte) in bytes.iter().take(5).enumerate() {
        value |= u64::from(byte & 0x7f) << (7 * index);
        if byte & 0x80 == 0 {
            return Some((usize::try_from(u32::try_from(value).ok()?).ok()?, index + 1));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section(id: u8, length_digits: &[u8], body: &[u8]) -> Vec<u8> {
        [&[id], length_digits, body].concat()
    }

    #[test]
    fn only_custom_sections_go() {
        let header = b"\0asm\x01\0\0\0".to_vec();
        let long = vec![7; 200];
        let types = section(1, &[3], &[1, 2, 3]);
        let code = section(10, &[0xc8, 1], &long);
        let names = section(0, &[0xc8, 1], &long);
        let module = [header.clone(), names.clone(), types.clone(), code.clone(), names].concat();
        assert_eq!(without_custom_sections(&module), Ok([header, types, code].concat()));
    }

    #[test]
    fn damaged_modules_are_refused() {
        assert_eq!(without_custom_sections(b"\0asm"), Err(ModuleError::Header));
        let module = [b"\0asm\x01\0\0\0".as_slice(), &[1, 4, 0]].concat();
        assert_eq!(without_custom_sections(&module), Err(ModuleError::Section { at: 8 }));
        let endless = [b"\0asm\x01\0\0\0".as_slice(), &[1, 0xff, 0xff, 0xff, 0xff, 0xff]].concat();
        assert_eq!(without_custom_sections(&endless), Err(ModuleError::Section { at: 8 }));
    }
}
