//! From borders to measured joins: pairing them, following the pairs, surveying.

use super::Options;
use super::centre::{Centre, parted};
use super::chain::{Link, linked, with_loop};
use super::graph::Cancelled;
use super::knots::broken_lines;
use super::pair::{Rule, Strands};
use super::sheets::Sheets;
use super::strand::Strand;
use super::stretch::{Cover, Stretch, stretches};
use super::survey::{Survey, survey};
use super::track::Track;
use crate::layout::{Mirror, MirrorExtent};
use crate::math::Arrange;
use crate::model::FaceId;
use crate::progress::{Progress, Stage};

/// How a join came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Together,
    Crowded,
    Apart,
    Alone,
    Mirrored,
    Inside,
}

/// What was found, not yet judged.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub all: Vec<(Survey, Vec<Track>, Kind)>,
}

/// Borders that run together, and those that face nothing.
pub(super) struct Paired {
    pub found: Found,
    pub alone: Vec<(Survey, Vec<Track>)>,
}

/// Tells how far the work is.
pub(super) struct Tick<'p> {
    progress: &'p mut dyn Progress,
    done: usize,
    total: usize,
}

impl<'p> Tick<'p> {
    pub fn new(progress: &'p mut dyn Progress, total: usize) -> Self {
        Self { progress, done: 0, total }
    }

    /// Reports every few steps; true when cancelled.
    fn at(&mut self, done: usize) -> bool {
        if done >= self.done + 16 || done < self.done {
            self.done = done;
            self.progress.report(Stage::Joins, done.min(self.total), self.total);
            return self.progress.cancelled();
        }
        false
    }
}

/// Pairs borders, those within the search distance before those that gape. `spoken`: what is spoken for by joins that are not looked for.
pub(super) fn paired(
    sheets: &Sheets<'_>,
    strands: &Strands<'_>,
    search: f64,
    options: &Options,
    spoken: &Cover,
    tick: &mut Tick<'_>,
) -> Result<Paired, Cancelled> {
    let count = strands.all.len();
    let angle = options.parallel.to_radians();
    let close = Rule { radius: search, angle, facing: false, touching: 0.0 };
    let joined = stretches(strands, &close, &Cover::new(count), &mut |i| tick.at(i)).ok_or(Cancelled)?;
    let mut cover = spoken.clone();
    joined.iter().for_each(|s| cover_both(&mut cover, s));
    let mut cover = shut_ends(strands, &cover, search);
    let wide = Rule { radius: options.open * search, angle, facing: true, touching: search };
    let open = stretches(strands, &wide, &cover, &mut |i| tick.at(count + i)).ok_or(Cancelled)?;
    open.iter().for_each(|s| cover_both(&mut cover, s));
    let link = Link { distance: 0.05 * search, angle };
    let wide_link = Link { distance: options.open * link.distance, angle };
    let mut found = Found::default();
    let mut done = 2 * count;
    for (list, kind, link) in [(joined, Kind::Together, link), (open, Kind::Apart, wide_link)] {
        for (crowded, tracks) in chains(sheets, strands, list, &link) {
            done += tracks.len();
            if tick.at(done) {
                return Err(Cancelled);
            }
            found.add(sheets, tracks, if crowded { Kind::Crowded } else { kind }, options);
        }
    }
    let alone = outlines(sheets, strands, &cover, search, &link)
        .into_iter()
        .filter_map(|tracks| Some((survey(sheets, &tracks, &options.floors)?, tracks)))
        .collect();
    Ok(Paired { found, alone })
}

impl Found {
    fn add(&mut self, sheets: &Sheets<'_>, tracks: Vec<Track>, kind: Kind, options: &Options) {
        if let Some(s) = survey(sheets, &tracks, &options.floors) {
            self.all.push((s, tracks, kind));
        }
    }

    /// Adds outlines, those of a half model on its centre plane as joins with their own image.
    pub fn add_alone(
        &mut self,
        sheets: &Sheets<'_>,
        alone: Vec<(Survey, Vec<Track>)>,
        mirror: Option<&Mirror>,
        search: f64,
        options: &Options,
    ) {
        let angle = options.parallel.to_radians();
        let link = Link { distance: 0.05 * search, angle };
        let half = mirror.filter(|m| m.extent == MirrorExtent::Half);
        let centre = half.map(|m| Centre { plane: m.plane, gap: search, angle, smooth: options.reach.angle });
        for (whole, tracks) in alone {
            let split = centre.map(|c| parted(sheets, &tracks, &c, &link, search)).filter(|(_, on_plane)| !on_plane.is_empty());
            let Some((outside, on_plane)) = split else {
                self.all.push((whole, tracks, Kind::Alone));
                continue;
            };
            for (list, kind) in [(outside, Kind::Alone), (on_plane, Kind::Mirrored)] {
                list.into_iter().for_each(|tracks| self.add(sheets, tracks, kind, options));
            }
        }
    }

    /// Adds the knot lines of a face that break.
    pub fn add_broken(&mut self, sheets: &Sheets<'_>, face: FaceId, options: &Options) {
        for track in broken_lines(sheets, face, &options.floors, &options.reach) {
            self.add(sheets, vec![track], Kind::Inside, options);
        }
    }
}

fn cover_both(cover: &mut Cover, s: &Stretch) {
    cover.add(s.a, s.on_a);
    cover.add(s.b, s.on_b);
}

/// The cover with leftovers too short to be an outline added: corners where tolerances leave a bit of a border.
fn shut_ends(strands: &Strands<'_>, cover: &Cover, search: f64) -> Cover {
    let mut shut = cover.clone();
    for (i, s) in strands.all.iter().enumerate() {
        let least = least_outline(s, search);
        for (low, high) in cover.free(i, s.low, s.high, 0.0) {
            if (high - low) * s.speed() < least {
                shut.add(i, (low, high));
            }
        }
    }
    shut
}

/// Length below which what is left of a border is no outline, mm: tolerances leave such bits at corners, and files hold
/// edges shorter than that.
fn least_outline(s: &Strand<'_>, search: f64) -> f64 {
    search.min(0.5 * s.length).max(0.02 * search)
}

/// Stretches as tracks, grouped by their faces and linked end to end; with each whether a third border runs along.
fn chains(sheets: &Sheets<'_>, strands: &Strands<'_>, list: Vec<Stretch>, link: &Link) -> Vec<(bool, Vec<Track>)> {
    let mut tracks: Vec<(FaceId, FaceId, bool, Track)> = Vec::new();
    for s in list {
        let (Some(a), Some(b)) = (strands.all.get(s.a), strands.all.get(s.b)) else { continue };
        let track = with_loop(sheets, Track::Facing { a: a.at, on_a: s.on_a, b: b.at, on_b: s.on_b });
        tracks.push((a.at.face, b.at.face, s.crowded, track));
    }
    tracks.arrange_by_key(|t| (t.0, t.1, t.2));
    let mut all = Vec::new();
    for group in tracks.chunk_by(|x, y| (x.0, x.1, x.2) == (y.0, y.1, y.2)) {
        let crowded = group.first().is_some_and(|g| g.2);
        all.extend(linked(sheets, group.iter().map(|g| g.3).collect(), link).into_iter().map(|c| (crowded, c)));
    }
    all
}

/// What no partner covers, linked round each face.
fn outlines(sheets: &Sheets<'_>, strands: &Strands<'_>, cover: &Cover, search: f64, link: &Link) -> Vec<Vec<Track>> {
    let mut tracks: Vec<(FaceId, Track)> = Vec::new();
    for (i, s) in strands.all.iter().enumerate().filter(|(i, _)| strands.is_wanted(*i)) {
        let least = least_outline(s, search) / s.speed();
        for on_a in cover.free(i, s.low, s.high, least) {
            tracks.push((s.at.face, with_loop(sheets, Track::Alone { a: s.at, on_a })));
        }
    }
    tracks.chunk_by(|x, y| x.0 == y.0).flat_map(|group| linked(sheets, group.iter().map(|g| g.1).collect(), link)).collect()
}
