//! The steps of a review that judge by measures.

/// A pass with measures of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // each is named by its title
pub enum Pass {
    Layout,
    Rows,
    Joins,
    Centre,
    Highlights,
    Form,
    Fillets,
    Gaps,
    Reference,
}

impl Pass {
    /// Every one, in the order of a review.
    pub const ALL: [Pass; 9] =
        [Pass::Layout, Pass::Rows, Pass::Joins, Pass::Centre, Pass::Highlights, Pass::Form, Pass::Fillets, Pass::Gaps, Pass::Reference];

    /// The stable text form.
    pub fn text(self) -> &'static str {
        match self {
            Pass::Layout => "layout",
            Pass::Rows => "rows",
            Pass::Joins => "joins",
            Pass::Centre => "centre",
            Pass::Highlights => "highlights",
            Pass::Form => "form",
            Pass::Fillets => "fillets",
            Pass::Gaps => "gaps",
            Pass::Reference => "reference",
        }
    }

    /// Its name, as a heading.
    pub fn title(self) -> &'static str {
        match self {
            Pass::Layout => "Layout",
            Pass::Rows => "Control rows",
            Pass::Joins => "Joins",
            Pass::Centre => "Centre line",
            Pass::Highlights => "Highlights",
            Pass::Form => "Form",
            Pass::Fillets => "Fillets",
            Pass::Gaps => "Gaps",
            Pass::Reference => "Reference",
        }
    }

    /// The pass of a text form; None for one without measures.
    pub fn from_text(text: &str) -> Option<Pass> {
        Pass::ALL.into_iter().find(|p| p.text() == text)
    }
}
