//! What was mended, one line a face and kind: a loop that is open at every corner is one thing to tell, not six.

use crate::exchange::Import;
use crate::geometry::DomainRepair;
use crate::model::{FaceId, Source};
use std::collections::BTreeMap;

/// Something wrong in the file that was mended because its intent was plain; several of one kind on one face together.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceRepair {
    /// The face, where it was one that was mended.
    pub face: Option<FaceId>,
    /// Entity id of the face, or of what was mended.
    pub entity: u64,
    /// Its line, from 1; 0 when unknown.
    pub line: u32,
    /// What was mended, in words for the user: of several the one that was off farthest, else the first.
    pub text: String,
    /// How far off it was, mm, where that is a length: the largest of several.
    pub size: Option<f64>,
    /// How many there are.
    pub count: usize,
}

impl FaceRepair {
    /// Takes in another one of the same kind.
    fn add(&mut self, text: impl FnOnce() -> String, size: Option<f64>) {
        self.count += 1;
        if size > self.size {
            (self.text, self.size) = (text(), size);
        }
    }
}

/// What reading mended, in file order.
pub(super) fn of_reading(import: &Import) -> Vec<FaceRepair> {
    let mut faces: BTreeMap<(u64, u32), FaceId> = BTreeMap::new();
    for (id, face) in import.model.faces() {
        // Of the instances of a part the first stands for all.
        faces.entry((face.source.entity, face.source.line)).or_insert(id);
    }
    let mut all: Vec<FaceRepair> = Vec::new();
    let mut known: BTreeMap<(u64, u32, &str), usize> = BTreeMap::new();
    for r in &import.report.repairs {
        let place = *known.entry((r.entity, r.line, &r.text)).or_insert(all.len());
        match all.get_mut(place) {
            Some(one) => one.add(|| r.text.clone(), r.size),
            None => all.push(FaceRepair {
                face: faces.get(&(r.entity, r.line)).copied(),
                entity: r.entity,
                line: r.line,
                text: r.text.clone(),
                size: r.size,
                count: 1,
            }),
        }
    }
    all
}

/// What was mended in the trims of a face, in order of the first of each kind.
pub(super) fn of_domain(face: FaceId, at: Source, repairs: &[DomainRepair]) -> Vec<FaceRepair> {
    let mut all: Vec<(&DomainRepair, FaceRepair)> = Vec::new();
    for r in repairs {
        let size = r.size().filter(|x| x.is_finite());
        match all.iter_mut().find(|(first, _)| core::mem::discriminant(*first) == core::mem::discriminant(r)) {
            Some((_, one)) => one.add(|| r.to_string(), size),
            None => {
                let one = FaceRepair { face: Some(face), entity: at.entity, line: at.line, text: r.to_string(), size, count: 1 };
                all.push((r, one));
            }
        }
    }
    all.into_iter().map(|(_, one)| one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::{Repair, Report};
    use crate::model::Model;

    #[test]
    fn one_line_a_kind_counts_all_and_tells_of_the_largest() {
        let gap = |use_index, gap| DomainRepair::Bridged { loop_index: 0, use_index, gap };
        let short = |use_index| DomainRepair::NoLength { loop_index: 1, use_index };
        let off = |distance| DomainRepair::OffSurface { loop_index: 0, use_index: 7, distance };
        let repairs = [gap(5, 0.1), short(2), gap(4, 0.3), off(f64::INFINITY), gap(3, 0.2), short(6)];
        let got = of_domain(FaceId::new(4), Source { entity: 361, line: 9 }, &repairs);
        let told: Vec<_> = got.iter().map(|r| (r.count, r.size, r.text.clone())).collect();
        let want = [(3, Some(0.3), gap(4, 0.3)), (2, None, short(2)), (1, None, off(f64::INFINITY))];
        assert_eq!(told, want.map(|(count, size, r)| (count, size, r.to_string())));
        assert!(got.iter().all(|r| (r.face, r.entity, r.line) == (Some(FaceId::new(4)), 361, 9)));
    }

    #[test]
    fn reading_tells_the_same_of_one_entity_once() {
        let repair = |entity, text: &str, size| Repair { entity, line: 3, text: text.into(), size };
        let repairs = vec![
            repair(7, "turned", None),
            repair(8, "turned", None),
            repair(7, "turned", None),
            repair(7, "moved", Some(1.0)),
            repair(7, "moved", Some(2.5)),
        ];
        let got = of_reading(&Import { model: Model::default(), report: Report { repairs, ..Report::default() } });
        let told: Vec<_> = got.iter().map(|r| (r.entity, r.text.as_str(), r.count, r.size)).collect();
        assert_eq!(told, [(7, "turned", 2, None), (8, "turned", 1, None), (7, "moved", 2, Some(2.5))]);
    }
}
