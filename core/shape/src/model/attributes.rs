//! Where things come from and how they look.

/// Where in the file an element was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub struct Source {
    /// Entity id (the number after # in Part 21; the directory line in IGES); 0 when there is none.
    pub entity: u64,
    /// Line, counted from 1; 0 when unknown.
    pub line: u32,
}

/// An sRGB colour, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)] // the three components
pub struct Colour {
    pub red: f32,
    pub green: f32,
    pub blue: f32,
}

/// The length unit a file declares.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthUnit {
    /// Name as the user would write it: mm, cm, m, inch, …
    pub name: String,
    /// Millimetres in one unit.
    pub in_mm: f64,
}

impl Default for LengthUnit {
    fn default() -> Self {
        Self { name: "mm".into(), in_mm: 1.0 }
    }
}
