//! Joins of faces that have changed, looked for anew beside faces that have not.

use super::judge::Role;
use super::pair::Strands;
use super::paired::{Paired, Tick, paired};
use super::sheets::Sheets;
use super::strand::Strand;
use super::stretch::Cover;
use super::track::Track;
use super::{JoinGraph, Options, SideRef};
use crate::model::FaceId;
use crate::progress::Silent;

impl JoinGraph {
    /// The joins, outlines and broken knot lines that changed faces have now. `sheets`: the model now, with the domains of these faces
    /// and of all that had a join with one, others as one likes; `origin`: for each face now the one it was; `changed`: ids now, rising;
    /// `areas` in mm², one a face.
    ///
    /// What is a matter of the whole model stays as it was: the search distance, copies, roles, sides of the skins, the centre plane.
    pub fn again(&self, sheets: &Sheets<'_>, origin: &[FaceId], changed: &[FaceId], areas: &[f64], options: &Options) -> Self {
        let is_changed = |f: FaceId| changed.binary_search(&f).is_ok();
        let was = |f: FaceId| origin.get(f.index()).copied();
        let own = |at: &SideRef| is_changed(at.face) || was(at.face).is_some_and(|f| !self.is_copy(f));
        let all = sheets.sides().into_iter().filter(own).filter_map(|s| Strand::new(sheets, s)).collect();
        let strands = Strands::new(all, Some(changed));
        let (mut graph, search) = (Self { search: self.search, open: options.open * self.search, ..Self::default() }, self.search);
        let spoken = self.spoken(&strands, origin, changed);
        let mut silent = Silent;
        let Ok(Paired { mut found, alone }) = paired(sheets, &strands, search, options, &spoken, &mut Tick::new(&mut silent, 0)) else {
            return graph;
        };
        found.add_alone(sheets, alone, self.mirror.as_ref(), search, options);
        changed.iter().for_each(|&face| found.add_broken(sheets, face, options));
        graph.mirror = self.mirror.clone();
        graph.orientation = self.orientation.carried(origin);
        graph.roles = origin.iter().map(|f| self.roles.get(f.index()).copied().unwrap_or(Role::Detail)).collect();
        graph.take(found, areas, &options.reach);
        graph.require(sheets);
        graph.settle();
        graph
    }

    /// What the joins of faces that are as they were speak for.
    fn spoken(&self, strands: &Strands<'_>, origin: &[FaceId], changed: &[FaceId]) -> Cover {
        let mut cover = Cover::new(strands.all.len());
        let gone = |f: FaceId| origin.binary_search(&f).map_or(true, |now| changed.binary_search(&FaceId::new(now)).is_ok());
        for join in 0..self.joins.len() {
            for track in self.tracks(join) {
                let Track::Facing { a, on_a, b, on_b } = *track else { continue };
                if gone(a.face) || gone(b.face) {
                    continue;
                }
                for (side, on) in [(a, on_a), (b, on_b)] {
                    let Ok(now) = origin.binary_search(&side.face) else { continue };
                    let at = SideRef { face: FaceId::new(now), ..side };
                    if let Ok(strand) = strands.all.binary_search_by(|s| s.at.cmp(&at)) {
                        cover.add(strand, on);
                    }
                }
            }
        }
        cover
    }
}
