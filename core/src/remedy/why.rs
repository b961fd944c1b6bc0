//! Why some findings have no trial.

use crate::finding::MeasureId;

/// None of a measure that has remedies.
pub(super) fn none(measure: MeasureId) -> Option<&'static str> {
    use MeasureId as M;
    Some(match measure {
        M::LayoutTrim => "a patch of which little is used needs another layout, not another shape",
        M::LayoutOrientation => "which way a normal points is set where the file is written; the shape stays",
        M::LayoutDuplicate => "one of the two faces is to be deleted where the model is made; no shape changes",
        M::CentreCurvatureSlope => "the curvature slope at the centre plane has no one cure: drag rows with that side locked to G3",
        M::CentreMirror => "which of the two sides is right is for you to say; then model one side and mirror it",
        M::HighlightGap | M::HighlightGapAngle | M::GapWidth | M::GapFlush | M::GapParallel => {
            "a gap is set by where two panels lie; a trial changes patches, it does not move panels"
        }
        M::GapEdgeRadius | M::EdgeExposed => "an edge gets its radius by a rounding, which is a new face",
        M::EdgeTrim => "the trimming curve is at fault, and no trial changes trims",
        M::EdgeLine => "where two edges should run is for you to say; drag the border of the face that is wrong",
        M::FormFade => "where a line should end is for you to say; drag the rows beside it so that its angle falls over a longer way",
        M::FormRamp => "how curvature should run along a panel is for you to say; give or take crown by thirds",
        M::FormRadius | M::FormOffset => "what should give way to a larger radius is for you to say; refit or drag the face",
        M::FormDraft => "draft comes from how the faces stand to the pull direction; drag or rebuild those that lean the wrong way",
        M::FilletOpening => "the theoretical edge opens only when one of the faces beside the fillet is moved",
        M::ReferenceDistance | M::ReferenceMissing => "model or reference may be the one that is wrong; that is for you to say",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::none;
    use crate::finding::MeasureId;

    #[test]
    fn what_has_no_trial_says_why_in_words_of_its_own() {
        let words: Vec<&str> = MeasureId::ALL.iter().filter_map(|&m| none(m)).collect();
        assert!(words.iter().all(|w| w.len() > 40 && !w.ends_with('.')));
        let remedied = MeasureId::ALL.iter().filter(|&&m| none(m).is_none()).count();
        // As many as the list of `remedies` names.
        assert_eq!((remedied, MeasureId::ALL.len() - remedied), (29, words.len()));
    }
}
