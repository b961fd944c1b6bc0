//! Little-endian writing and bounded reading, shared by the two packet formats.

use std::fmt;

/// Why a packet could not be read; the packet comes from our own worker, so any of these is a defect there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PacketError {
    /// The first bytes are not those of the expected packet kind.
    Kind,
    /// The layout version is not the one this build reads.
    Version(u32),
    /// The packet ends before its counts are met, or counts overflow.
    Short,
    /// An index or a code points outside what the packet holds.
    Range,
}

impl fmt::Display for PacketError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PacketError::Kind => write!(f, "not a packet of the expected kind"),
            PacketError::Version(v) => write!(f, "packet layout {v} is not known here"),
            PacketError::Short => write!(f, "packet is shorter than its counts say"),
            PacketError::Range => write!(f, "packet holds an index outside its range"),
        }
    }
}

impl std::error::Error for PacketError {}

/// A growing packet.
#[derive(Debug, Default)]
pub struct Writer {
    bytes: Vec<u8>,
}

impl Writer {
    /// Appends an integer.
    pub fn u32(&mut self, value: u32) {
        self.bytes.extend_from_slice(&value.to_le_bytes());
    }

    /// Appends integers.
    pub fn u32s(&mut self, values: &[u32]) {
        for v in values {
            self.u32(*v);
        }
    }

    /// Appends single-precision numbers.
    pub fn f32s(&mut self, values: &[f32]) {
        for v in values {
            self.bytes.extend_from_slice(&v.to_le_bytes());
        }
    }

    /// Appends double-precision numbers.
    pub fn f64s(&mut self, values: &[f64]) {
        for v in values {
            self.bytes.extend_from_slice(&v.to_le_bytes());
        }
    }

    /// The finished packet.
    pub fn finish(self) -> Vec<u8> {
        self.bytes
    }
}

/// A position in a packet; every take is checked against what is left.
#[derive(Clone, Debug)]
pub struct Reader<'a> {
    bytes: &'a [u8],
}

impl<'a> Reader<'a> {
    /// Starts at the first byte.
    pub fn new(bytes: &'a [u8]) -> Self {
        Reader { bytes }
    }

    /// Takes `count` items of `size` bytes as raw bytes.
    pub fn raw(&mut self, count: usize, size: usize) -> Result<&'a [u8], PacketError> {
        let len = count.checked_mul(size).ok_or(PacketError::Short)?;
        let (head, tail) = self.bytes.split_at_checked(len).ok_or(PacketError::Short)?;
        self.bytes = tail;
        Ok(head)
    }

    /// Takes one integer.
    pub fn u32(&mut self) -> Result<u32, PacketError> {
        self.u32s(1).and_then(|v| v.first().copied().ok_or(PacketError::Short))
    }

    /// Takes one integer used as a count.
    pub fn count(&mut self) -> Result<usize, PacketError> {
        usize::try_from(self.u32()?).map_err(|_| PacketError::Short)
    }

    /// Takes integers.
    pub fn u32s(&mut self, count: usize) -> Result<Vec<u32>, PacketError> {
        let raw = self.raw(count, 4)?;
        Ok(raw.as_chunks().0.iter().map(|c| u32::from_le_bytes(*c)).collect())
    }

    /// Takes single-precision numbers.
    pub fn f32s(&mut self, count: usize) -> Result<Vec<f32>, PacketError> {
        let raw = self.raw(count, 4)?;
        Ok(raw.as_chunks().0.iter().map(|c| f32::from_le_bytes(*c)).collect())
    }

    /// Takes double-precision numbers.
    pub fn f64s(&mut self, count: usize) -> Result<Vec<f64>, PacketError> {
        let raw = self.raw(count, 8)?;
        Ok(raw.as_chunks().0.iter().map(|c| f64::from_le_bytes(*c)).collect())
    }

    /// Takes `N` double-precision numbers.
    pub fn f64_array<const N: usize>(&mut self) -> Result<[f64; N], PacketError> {
        self.f64s(N)?.try_into().map_err(|_| PacketError::Short)
    }
}
