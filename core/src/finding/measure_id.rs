//! The names of the measures, stable in JSON, yardsticks and links, and the words and pass that page and report have for each.

use super::Pass;

/// The unit a value is given in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Degrees.
    Degree,
    /// A share, 1 = 100 %.
    Share,
    /// A plain number.
    #[default]
    Number,
    /// Square millimetres.
    SquareMillimetre,
}

impl Unit {
    /// The stable text form; empty for plain numbers.
    pub fn text(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Degree => "deg",
            Unit::Share => "share",
            Unit::Number => "",
            Unit::SquareMillimetre => "mm2",
        }
    }

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
    ($($variant:ident $text:literal $unit:ident $pass:ident $title:literal),+ $(,)?) => {
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

            /// The pass that judges by it.
            pub fn pass(self) -> Pass {
                match self { $(MeasureId::$variant => Pass::$pass),+ }
            }

            /// What is found where it is wanting, as a heading.
            pub fn title(self) -> &'static str {
                match self { $(MeasureId::$variant => $title),+ }
            }

            /// The measure of a text form; None for an unknown one.
            pub fn from_text(text: &str) -> Option<MeasureId> {
                match text { $($text => Some(MeasureId::$variant),)+ _ => None }
            }
        }
    };
}

ids! {
    JoinPosition "join.position" Millimetre Joins "Gap at a join",
    JoinTangent "join.tangent" Degree Joins "Angle at a join",
    JoinCurvature "join.curvature" Share Joins "Curvature jump at a join",
    JoinCurvatureSlope "join.curvature_slope" Share Joins "Curvature-slope jump at a join",
    JoinCorner "join.corner" Degree Joins "Normals at a corner",
    JoinOpen "join.open" Millimetre Joins "Open join",
    CentrePosition "centre.position" Millimetre Centre "Off the centre plane",
    CentreTangent "centre.tangent" Degree Centre "Angle at the centre line",
    CentreCurvatureSlope "centre.curvature_slope" Share Centre "Curvature slope at the centre line",
    CentreMirror "centre.mirror" Millimetre Centre "Left and right differ",
    LayoutSliver "layout.sliver" Millimetre Layout "Narrow patch",
    LayoutSplit "layout.split" Number Layout "Needless split",
    LayoutDegree "layout.degree" Number Rows "Degree above need",
    LayoutSpans "layout.spans" Number Rows "Spans above need",
    LayoutTrim "layout.trim" Share Layout "Much trimmed away",
    LayoutOrientation "layout.orientation" Number Layout "Turned-over patch",
    LayoutDuplicate "layout.duplicate" Millimetre Layout "Patch on patch",
    RowsEvenness "rows.evenness" Number Rows "Uneven control row",
    RowsAgreement "rows.agreement" Number Rows "Control rows disagree",
    RowsTurning "rows.turning" Number Rows "Control row turns to and fro",
    RowsSquare "rows.square" Degree Centre "Row not square to the centre plane",
    HighlightWiggle "highlight.wiggle" Degree Highlights "Ripple",
    HighlightKink "highlight.kink" Degree Highlights "Kink of a stripe",
    HighlightGap "highlight.gap" Millimetre Highlights "Stripe across a gap",
    HighlightGapAngle "highlight.gap_angle" Degree Highlights "Turn of a stripe across a gap",
    HighlightSpread "highlight.spread" Share Highlights "Stripes spread",
    HighlightClimb "highlight.climb" Degree Highlights "Stripes climb",
    FormRidgeSign "form.ridge_sign" Degree Form "Ridge changes sign",
    FormFade "form.fade" Millimetre Form "Ridge fades out",
    FormRamp "form.ramp" Share Form "Curvature ramp",
    FormCrown "form.crown" Millimetre Form "Crown",
    FormDip "form.dip" Share Form "Flat spot",
    FormHollow "form.hollow" SquareMillimetre Form "Hollow",
    FormLowCrown "form.low_crown" SquareMillimetre Form "Low crown",
    FormRadius "form.radius" Millimetre Form "Smallest radius",
    FormOffset "form.offset" Millimetre Form "Offset-ability",
    FormDraft "form.draft" Degree Form "Draft",
    FilletRadius "fillet.radius" Millimetre Fillets "Tight fillet",
    FilletBalance "fillet.balance" Share Fillets "Unbalanced fillet",
    FilletOpening "fillet.opening" Degree Fillets "Sharp theoretical edge",
    FilletLeadIn "fillet.lead_in" Number Fillets "Lead-in of a fillet",
    GapWidth "gap.width" Millimetre Gaps "Gap width",
    GapFlush "gap.flush" Millimetre Gaps "Flush",
    GapParallel "gap.parallel" Millimetre Gaps "Gap not parallel",
    GapEdgeRadius "gap.edge_radius" Millimetre Gaps "Edge radius at a gap",
    EdgeExposed "edge.exposed" Millimetre Gaps "Exposed edge",
    EdgeTrim "edge.trim" Millimetre Gaps "Trimmed edge",
    EdgeFlange "edge.flange" Millimetre Gaps "Flange",
    EdgeLine "edge.line" Millimetre Gaps "Line offset",
    ReferenceDistance "reference.distance" Millimetre Reference "Distance to the reference",
    ReferenceMissing "reference.missing" SquareMillimetre Reference "Reference not covered",
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
