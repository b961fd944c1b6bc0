//! A picture that goes into a report.

use core::fmt;

/// Sides of a picture, pixels: more is no picture of a screen.
const MOST_SIDE: u32 = 20_000;

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureOf {
    /// The whole model.
    Whole,
    /// A finding, by its index in the check.
    Finding(usize),
    /// A pin, by its key.
    Pin(u32),
}

/// A picture as a data address, which holds a PNG or JPEG and nothing else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    of: PictureOf,
    data: String,
    alt: String,
    size: [u32; 2],
}

/// Why a picture is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureError {
    /// It is no data address of a PNG or JPEG in base64.
    Data,
    /// It has no width or height, or one that no picture has.
    Size,
}

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Data => "a picture is no PNG or JPEG as a data address in base64",
            Self::Size => "a picture has no size that a picture can have",
        })
    }
}

impl std::error::Error for PictureError {}

impl Picture {
    /// A picture of `size` pixels, width and height; `alt` says what is seen.
    ///
    /// # Errors
    /// When `data` is anything but a PNG or JPEG as a data address, or the size is none.
    pub fn new(of: PictureOf, data: String, alt: String, size: [u32; 2]) -> Result<Self, PictureError> {
        if !holds_picture(&data) {
            return Err(PictureError::Data);
        }
        if size.iter().any(|&side| side == 0 || side > MOST_SIDE) {
            return Err(PictureError::Size);
        }
        Ok(Self { of, data, alt, size })
    }

    /// What it shows.
    pub fn of(&self) -> PictureOf {
        self.of
    }

    /// The data address.
    pub fn data(&self) -> &str {
        &self.data
    }

    /// What is seen, in words.
    pub fn alt(&self) -> &str {
        &self.alt
    }

    /// Width and height, pixels.
    pub fn size(&self) -> [u32; 2] {
        self.size
    }
}

/// True of the two kinds with the first bytes that each begins with: \x89PNG\r\n\x1a\n (W3C PNG, 5.2) and FF D8 FF (JFIF), in base64.
fn holds_picture(data: &str) -> bool {
    let Some(base64) = [("data:image/png;base64,", "iVBORw0KGgo"), ("data:image/jpeg;base64,", "/9j/")]
        .iter()
        .find_map(|(kind, first)| data.strip_prefix(kind).filter(|b| b.starts_with(first)))
    else {
        return false;
    };
    // RFC 4648, section 4.
    let digits = base64.strip_suffix("==").or_else(|| base64.strip_suffix('=')).unwrap_or(base64);
    base64.len().is_multiple_of(4) && digits.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'+' | b'/'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(data: &str, size: [u32; 2]) -> Result<(), PictureError> {
        Picture::new(PictureOf::Whole, data.into(), String::new(), size).map(|_| ())
    }

    #[test]
    fn only_pictures_are_taken() {
        for fine in ["data:image/png;base64,iVBORw0KGgoAAA==", "data:image/png;base64,iVBORw0KGgoA", "data:image/jpeg;base64,/9j/4AA="] {
            assert_eq!(picture(fine, [3, 2]), Ok(()), "{fine}");
        }
        for bad in [
            "",
            "https://example.org/a.png",
            "data:image/svg+xml;base64,iVBORw0KGgoA",
            "data:text/html;base64,iVBORw0KGgoA",
            "data:image/png,iVBORw0KGgoA",
            "data:image/png;base64,",
            "data:image/png;base64,/9j/4AA=",
            "data:image/png;base64,iVBORw0KGgo",
            "data:image/png;base64,iVBORw0KGgoA\" onerror=\"",
            "data:image/png;base64,iVBORw0KGgo===A=",
            " data:image/png;base64,iVBORw0KGgoA",
        ] {
            assert_eq!(picture(bad, [3, 2]), Err(PictureError::Data), "{bad}");
        }
        for size in [[0, 2], [3, 0], [3, 20_001]] {
            assert_eq!(picture("data:image/png;base64,iVBORw0KGgoA", size), Err(PictureError::Size));
        }
    }
}
