//! The programs of the paint pass, one for each kind of picture, linked when the first such picture is painted.
//!
//! One program with branches would do on graphics devices; in software rendering each pixel pays for the branches it does not
//! take (seven times the time of plain paint was measured).

use super::Gl;
use super::program::Program;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use wasm_bindgen::JsValue;

/// What colours the surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Content {
    /// Paint alone.
    Paint,
    /// Paint and stripes of a family: 1 isophotes, 2 highlight lines, 3 reflection lines.
    Stripes(u8),
    /// Curvatures.
    Form,
    /// A colour a face.
    Classes,
}

/// A kind of picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ShadeKind {
    /// What colours the surfaces.
    pub content: Content,
    /// Some faces are seen near, relative to a base.
    pub near: bool,
    /// At rest: stripes smoothed from neighbours on the same face.
    pub fine: bool,
}

/// The programs linked so far.
#[derive(Default)]
pub struct ShadePrograms {
    made: BTreeMap<ShadeKind, Program>,
}

impl ShadeKind {
    fn defines(self) -> String {
        let content = match self.content {
            Content::Paint => String::new(),
            Content::Stripes(family) => format!("#define STRIPES\n#define FAMILY {family}\n"),
            Content::Form => "#define FORM\n".into(),
            Content::Classes => "#define CLASSED\n".into(),
        };
        let near = if self.near { "#define NEAR\n" } else { "" };
        let fine = if self.fine { "#define FINE\n" } else { "" };
        content + near + fine
    }
}

impl ShadePrograms {
    /// Links the program of a kind, once.
    pub fn need(&mut self, gl: &Gl, kind: ShadeKind) -> Result<(), JsValue> {
        if let Entry::Vacant(place) = self.made.entry(kind) {
            let stripe = include_str!("../shaders/stripe.glsl");
            let form = include_str!("../shaders/form.glsl");
            let parts = [stripe, form, include_str!("../shaders/shade.frag")];
            place.insert(Program::link_with(gl, &kind.defines(), include_str!("../shaders/screen.vert"), &parts)?);
        }
        Ok(())
    }

    /// The program of a kind, once it is linked.
    pub fn of(&self, kind: ShadeKind) -> Option<&Program> {
        self.made.get(&kind)
    }
}
