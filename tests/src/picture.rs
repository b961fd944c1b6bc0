//! Pictures taken of a page.

use std::io::Cursor;
use std::path::Path;

/// A picture of 8-bit RGBA pixels, rows from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Four bytes a pixel.
    pub rgba: Vec<u8>,
}

impl Picture {
    /// Decodes a PNG file.
    ///
    /// # Panics
    /// The bytes are no PNG of 8-bit colours, which is what a browser's screenshot is.
    pub fn from_png(bytes: &[u8]) -> Self {
        let mut reader = png::Decoder::new(Cursor::new(bytes)).read_info().expect("a PNG file");
        let mut buffer = vec![0; reader.output_buffer_size().expect("a size that fits")];
        let info = reader.next_frame(&mut buffer).expect("a picture");
        assert_eq!(info.bit_depth, png::BitDepth::Eight);
        buffer.truncate(info.buffer_size());
        let rgba = match info.color_type {
            png::ColorType::Rgba => buffer,
            png::ColorType::Rgb => buffer.chunks_exact(3).flat_map(|c| [c[0], c[1], c[2], 255]).collect(),
            other => panic!("a screenshot of colour type {other:?}"),
        };
        Self { width: info.width as usize, height: info.height as usize, rgba }
    }

    /// Writes a PNG file, for a person to look at after a failure.
    ///
    /// # Panics
    /// The file cannot be written.
    pub fn save(&self, path: &Path) {
        let file = std::fs::File::create(path).expect("a file");
        let width = u32::try_from(self.width).expect("a width");
        let height = u32::try_from(self.height).expect("a height");
        let mut encoder = png::Encoder::new(file, width, height);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.write_header().and_then(|mut writer| writer.write_image_data(&self.rgba)).expect("a picture written");
    }

    /// Red, green, blue and alpha of the pixel in column `x` of row `y`.
    ///
    /// # Panics
    /// The pixel lies outside.
    pub fn pixel(&self, x: usize, y: usize) -> [u8; 4] {
        assert!(x < self.width && y < self.height, "({x}, {y}) is outside");
        let at = 4 * (y * self.width + x);
        [self.rgba[at], self.rgba[at + 1], self.rgba[at + 2], self.rgba[at + 3]]
    }

    /// The part from column `x` and row `y`.
    ///
    /// # Panics
    /// The part reaches outside.
    pub fn crop(&self, x: usize, y: usize, width: usize, height: usize) -> Self {
        assert!(x + width <= self.width && y + height <= self.height);
        let rgba = (y..y + height)
            .flat_map(|row| {
                let at = 4 * (row * self.width + x);
                &self.rgba[at..at + 4 * width]
            })
            .copied()
            .collect();
        Self { width, height, rgba }
    }

    /// Number of distinct colours; 1 says that nothing was drawn.
    pub fn colours(&self) -> usize {
        let mut colours: Vec<&[u8]> = self.rgba.chunks_exact(4).collect();
        colours.sort_unstable();
        colours.dedup();
        colours.len()
    }

    /// Share of pixels (0 to 1) in which some channel differs by more than `tolerance`.
    ///
    /// # Panics
    /// The pictures differ in size.
    pub fn difference(&self, other: &Self, tolerance: u8) -> f64 {
        assert_eq!((self.width, self.height), (other.width, other.height));
        let differing = self
            .rgba
            .chunks_exact(4)
            .zip(other.rgba.chunks_exact(4))
            .filter(|(a, b)| a.iter().zip(*b).any(|(a, b)| a.abs_diff(*b) > tolerance))
            .count();
        differing as f64 / (self.width * self.height) as f64
    }
}
