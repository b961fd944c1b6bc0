//! The names of the measures, stable in JSON, yardsticks and links.

/// The unit a value is given in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Degrees.
    Degree,
    /// A share, 1 = 100 %.
    Share,
    /// A plain number.
    Number,
    /// Square millimetres.
    SquareMillimetre,
}

impl Unit {
    /// How the unit is written after a value; empty for plain numbers and shares.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Degree => "deg",
            Unit::Share | Unit::Number => "",
            Unit::SquareMillimetre => "mm²",
        }
    }
}

macro_rules! ids {
    ($($variant:ident $text:literal $unit:ident),+ $(,)?) => {
        /// A measure. Its text form never changes once published.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[allow(missing_docs)] // each is named by its text form
        pub enum MeasureId { $($variant),+ }

        impl MeasureId {
            /// Every measure, in the order of the passes.
            pub const ALL: &'static [MeasureId] = &[$(MeasureId::$variant),+];

            /// The stable text form.
            pub fn text(self) -> &'static str {
                match self { $(MeasureId::$variant => $text),+ }
            }

            /// The unit of its values.
            pub fn unit(self) -> Unit {
                match self { $(MeasureId::$variant => Unit::$unit),+ }
            }

            /// The measure of a text form; None for an unknown one.
            pub fn from_text(text: &str) -> Option<MeasureId> {
                match text { $($text => Some(MeasureId::$variant),)+ _ => None }
            }
        }
    };
}

ids! {
    JoinPosition "join.position" Millimetre,
    JoinTangent "join.tangent" Degree,
    JoinCurvature "join.curvature" Share,
    JoinCurvatureSlope "join.curvature_slope" Share,
    JoinCorner "join.corner" Degree,
    JoinOpen "join.open" Millimetre,
    CentrePosition "centre.position" Millimetre,
    CentreTangent "centre.tangent" Degree,
    CentreCurvatureSlope "centre.curvature_slope" Share,
    CentreMirror "centre.mirror" Millimetre,
    LayoutSliver "layout.sliver" Millimetre,
    LayoutSplit "layout.split" Number,
    LayoutDegree "layout.degree" Number,
    LayoutSpans "layout.spans" Number,
    LayoutTrim "layout.trim" Share,
    LayoutOrientation "layout.orientation" Number,
    LayoutDuplicate "layout.duplicate" Millimetre,
    RowsEvenness "rows.evenness" Number,
    RowsAgreement "rows.agreement" Number,
    RowsTurning "rows.turning" Number,
    RowsSquare "rows.square" Degree,
    HighlightWiggle "highlight.wiggle" Degree,
    HighlightKink "highlight.kink" Degree,
    HighlightGap "highlight.gap" Millimetre,
    HighlightGapAngle "highlight.gap_angle" Degree,
    HighlightSpread "highlight.spread" Share,
    HighlightClimb "highlight.climb" Degree,
    FormRidgeSign "form.ridge_sign" Degree,
    FormFade "form.fade" Millimetre,
    FormRamp "form.ramp" Share,
    FormCrown "form.crown" Millimetre,
    FormDip "form.dip" Share,
    FormHollow "form.hollow" SquareMillimetre,
    FormLowCrown "form.low_crown" SquareMillimetre,
    FormRadius "form.radius" Millimetre,
    FormOffset "form.offset" Millimetre,
    FormDraft "form.draft" Degree,
    FilletRadius "fillet.radius" Millimetre,
    FilletBalance "fillet.balance" Share,
    FilletOpening "fillet.opening" Degree,
    FilletLeadIn "fillet.lead_in" Number,
    GapWidth "gap.width" Millimetre,
    GapFlush "gap.flush" Millimetre,
    GapParallel "gap.parallel" Millimetre,
    GapEdgeRadius "gap.edge_radius" Millimetre,
    EdgeExposed "edge.exposed" Millimetre,
    EdgeTrim "edge.trim" Millimetre,
    EdgeFlange "edge.flange" Millimetre,
    EdgeLine "edge.line" Millimetre,
    ReferenceDistance "reference.distance" Millimetre,
    ReferenceMissing "reference.missing" SquareMillimetre,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_forms_are_distinct_and_read_back() {
        for (i, &id) in MeasureId::ALL.iter().enumerate() {
            assert_eq!(MeasureId::from_text(id.text()), Some(id));
            assert!(MeasureId::ALL[..i].iter().all(|other| other.text() != id.text()));
        }
        assert_eq!(MeasureId::from_text("join.nothing"), None);
    }
}
