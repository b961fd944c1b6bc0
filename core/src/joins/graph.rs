//! All joins of a model.

use super::join::Join;
use super::judge::{Floors, Reach, Role, class};
use super::orientation::{Orientation, orient};
use super::pair::Strands;
use super::paired::{Found, Kind, Paired, Tick, paired};
use super::role::roles;
use super::sheets::Sheets;
use super::strand::Strand;
use super::stretch::Cover;
use super::survey::Survey;
use super::track::{Meeting, Track};
use super::{Class, Measures, Order};
use crate::layout::{Cover as Lap, Field, Mirror, MirrorPlane, Overlap, mirror, overlaps};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;
use crate::progress::{Progress, Stage};

/// How joins are looked for and judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Search distance, mm: borders farther apart are no join. Larger: separate parts pair up; smaller: gaps to be
    /// mended are taken for outlines. Common practice, no source.
    pub search: f64,
    /// Most that the search distance may be of the model's size, so that small models keep their faces apart.
    pub search_share: f64,
    /// Largest angle between the tangents of borders that run together, degrees. Common practice, no source.
    pub parallel: f64,
    /// How many times the search distance an open join may gape. Common practice, no source.
    pub open: f64,
    /// Part of the search distance within which faces lie on each other. Larger: the skins of thin sheets become one;
    /// smaller: copies made by different writers go unseen. Common practice, no source.
    pub lap: f64,
    /// The centre plane; None: found.
    pub plane: Option<MirrorPlane>,
    /// Absolute jumps below which relative ones do not count.
    pub floors: Floors,
    /// Up to what values an order counts as reached.
    pub reach: Reach,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            search: 0.5,
            search_share: 5e-3,
            parallel: 10.0,
            open: 5.0,
            lap: 0.1,
            plane: None,
            floors: Floors::default(),
            reach: Reach::default(),
        }
    }
}

/// Where a piece of a join starts and ends on one of its faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JoinEnd {
    /// The face.
    pub face: FaceId,
    /// Index among the loops of its domain.
    pub loop_index: usize,
    /// Both ends, on that face.
    pub points: [Point3; 2],
}

/// The work was cancelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

/// The joins and outlines of a model, with the roles of its faces.
#[derive(Debug, Clone, Default)]
pub struct JoinGraph {
    /// Joins between faces in the order of their faces, then open joins, outlines with the borders on the centre plane of
    /// a half model, and knot lines that break.
    pub joins: Vec<Join>,
    /// One a face.
    pub roles: Vec<Role>,
    /// The search distance used, mm.
    pub search: f64,
    /// Largest gap of an open join, mm.
    pub open: f64,
    /// Faces that lie on one another, by faces.
    pub overlaps: Vec<Overlap>,
    /// One a face: the face it is a copy of. Copies have no joins here: each would run along the original's, and
    /// every border of both would be one of three faces or more.
    pub twin_of: Vec<Option<FaceId>>,
    /// One side for every face.
    pub orientation: Orientation,
    /// How the model lies to its centre plane; None for a model without faces.
    pub mirror: Option<Mirror>,
    pub(super) tracks: Vec<Vec<Track>>,
}

impl JoinGraph {
    /// Finds and measures all joins. `areas` in mm², one a face.
    ///
    /// # Errors
    /// When cancelled.
    pub fn find(sheets: &Sheets<'_>, areas: &[f64], options: &Options, progress: &mut dyn Progress) -> Result<Self, Cancelled> {
        let mut all: Vec<Strand<'_>> = sheets.sides().into_iter().filter_map(|s| Strand::new(sheets, s)).collect();
        let search = options.search.min(options.search_share * size(&all));
        progress.report(Stage::Joins, 0, 4 * all.len());
        if progress.cancelled() {
            return Err(Cancelled);
        }
        let field = Field::new(sheets.model, sheets.domains, search);
        let overlaps = overlaps(&field, areas, options.lap * search);
        let twin_of = twins(sheets.model.faces.len(), &overlaps);
        all.retain(|s| twin_of.get(s.at.face.index()).is_none_or(Option::is_none));
        let strands = Strands::new(all, None);
        let mut tick = Tick::new(progress, 4 * strands.all.len());
        let none = Cover::new(strands.all.len());
        let Paired { mut found, alone } = paired(sheets, &strands, search, options, &none, &mut tick)?;
        let points: Vec<Vec<Point3>> = alone.iter().map(|(s, _)| s.stations.iter().map(|s| s.p).collect()).collect();
        let mirror = (!sheets.model.faces.is_empty()).then(|| mirror(&field, areas, &points, search, options.plane));
        found.add_alone(sheets, alone, mirror.as_ref(), search, options);
        sheets.model.faces().for_each(|(face, _)| found.add_broken(sheets, face, options));
        let mut graph = Self { search, open: options.open * search, overlaps, twin_of, mirror, ..Self::default() };
        graph.take(found, areas, &options.reach);
        graph.roles = roles(sheets, &graph.joins, areas);
        graph.require(sheets);
        graph.orientation = orient(sheets, &graph, areas, &field);
        graph.settle();
        Ok(graph)
    }

    /// True for a face that is a whole copy of an earlier one and has no joins of its own.
    pub fn is_copy(&self, face: FaceId) -> bool {
        self.twin_of.get(face.index()).is_some_and(Option::is_some)
    }

    /// Says which joins lie on the centre plane, and gives the measures their sides.
    pub(super) fn settle(&mut self) {
        let (search, plane) = (self.search, self.mirror.as_ref().map(|m| m.plane));
        for join in &mut self.joins {
            let on = |plane: MirrorPlane| join.stations.iter().all(|s| plane.height(s.p).abs() <= search);
            join.centre = join.mirrored || join.faces.len() == 2 && !join.interior && plane.is_some_and(on);
            let sign = join.faces.first().map_or(1.0, |f| self.orientation.sign(*f));
            join.stations.iter_mut().for_each(|s| s.measures = s.measures.seen_from(sign));
        }
    }

    /// Takes what was found, in its order.
    pub(super) fn take(&mut self, found: Found, areas: &[f64], reach: &Reach) {
        found.all.into_iter().for_each(|(survey, tracks, kind)| self.push(survey, tracks, kind, areas, reach));
    }

    fn push(&mut self, s: Survey, tracks: Vec<Track>, kind: Kind, areas: &[f64], reach: &Reach) {
        let search = self.search;
        let Some(first) = tracks.first() else { return };
        let faces: Vec<FaceId> = [Some(first.first_face()), first.second_face()].into_iter().flatten().collect();
        let gap = s.summaries.gap.map_or(0.0, |g| g.mean);
        let class = match kind {
            Kind::Together | Kind::Inside | Kind::Mirrored => class(&s.stations, &s.summaries, reach, search),
            // Close enough to be a join, yet its partner has another: a third face on the stretch.
            Kind::Apart if gap <= search => Class::NonManifold,
            Kind::Apart => Class::Open,
            Kind::Crowded => Class::NonManifold,
            Kind::Alone => Class::Outline,
        };
        let area = |f: FaceId| areas.get(f.index()).copied().unwrap_or(0.0);
        let larger = match faces.as_slice() {
            &[a, b] => Some(if area(b) > area(a) { b } else { a }),
            _ => None,
        };
        let Survey { stations, length, mid, edges, summaries } = s;
        let (interior, mirrored) = (kind == Kind::Inside, kind == Kind::Mirrored);
        self.joins.push(Join {
            faces,
            stations,
            length,
            mid,
            class,
            required: Order::G0,
            larger,
            edges,
            summaries,
            interior,
            mirrored,
            centre: false,
        });
        self.tracks.push(tracks);
    }

    /// Measures a join at the place nearest to a point, with the distance of the point from the join. None for an
    /// unknown join.
    pub fn measure_at(&self, sheets: &Sheets<'_>, join: usize, p: Point3) -> Option<(Measures, f64)> {
        self.meeting_at(sheets, join, p).map(|(m, d)| (m.measures(), d))
    }

    /// Both borders of a join at the place nearest to a point, with the distance of the point from the join. None for
    /// an unknown join.
    pub fn meeting_at(&self, sheets: &Sheets<'_>, join: usize, p: Point3) -> Option<(Meeting, f64)> {
        let tracks = self.tracks.get(join)?;
        let near = tracks.iter().filter_map(|t| t.nearest(sheets, p).map(|(x, d)| (t, x, d)));
        let (track, x, distance) = near.min_by(|a, b| a.2.total_cmp(&b.2))?;
        let sign = self.joins.get(join).and_then(|j| j.faces.first()).map_or(1.0, |f| self.orientation.sign(*f));
        Some((Meeting { sign, ..track.at(sheets, x)? }, distance))
    }

    /// The pieces of a join, end to end; none of an unknown one.
    pub fn tracks(&self, join: usize) -> &[Track] {
        self.tracks.get(join).map_or(&[], Vec::as_slice)
    }

    /// The ends of a join's pieces on each of its faces; none inside a patch, or of an unknown join.
    pub fn ends(&self, sheets: &Sheets<'_>, join: usize) -> Vec<JoinEnd> {
        let mut all = Vec::new();
        for track in self.tracks.get(join).into_iter().flatten() {
            let sides = match *track {
                Track::Facing { a, on_a, b, on_b } => vec![(a, on_a), (b, on_b)],
                Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => vec![(a, on_a)],
                Track::Knot { .. } => Vec::new(),
            };
            for (at, (from, to)) in sides {
                let Some(rim) = sheets.rim(at) else { continue };
                let point = |share: f64| rim.side.at(rim.surface, share).point;
                all.push(JoinEnd { face: at.face, loop_index: at.loop_index, points: [point(from), point(to)] });
            }
        }
        all
    }

    /// True when the second face's border runs along the first's in the same direction, each with its face on the left
    /// against its own Su × Sv; false when in the opposite one, as on a sheet whose normals agree. None where the join
    /// has no second side.
    pub(super) fn run_alike(&self, sheets: &Sheets<'_>, join: usize) -> Option<bool> {
        let tracks = self.tracks.get(join)?;
        let at = |t: &Track, x: f64| {
            let m = t.at(sheets, x)?;
            Some(m.a.along.try_normalize()?.dot(m.b?.along.try_normalize()?))
        };
        let votes: Vec<f64> = tracks.iter().flat_map(|t| [0.25, 0.5, 0.75].into_iter().filter_map(move |x| at(t, x))).collect();
        (!votes.is_empty()).then(|| votes.iter().sum::<f64>() > 0.0)
    }
}

/// For each face the first face it is a whole copy of.
fn twins(faces: usize, overlaps: &[Overlap]) -> Vec<Option<FaceId>> {
    let mut of: Vec<Option<FaceId>> = vec![None; faces];
    for o in overlaps.iter().filter(|o| o.cover == Lap::Twin) {
        let [first, copy] = o.faces;
        // Of three copies the second is one of the first already.
        if let Some(of) = of.get_mut(copy.index()).filter(|of| of.is_none()) {
            *of = Some(first);
        }
    }
    of
}

/// Diagonal of the box round all strands, mm.
fn size(strands: &[Strand<'_>]) -> f64 {
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for s in strands.iter().enumerate().flat_map(|(i, s)| s.segments(i)) {
        low = low.min(s.a.to_vec()).min(s.b.to_vec());
        high = high.max(s.a.to_vec()).max(s.b.to_vec());
    }
    if low.x <= high.x { (high - low).length() } else { 0.0 }
}
