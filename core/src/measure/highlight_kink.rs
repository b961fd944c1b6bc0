//! `highlight.kink`: how sharply a stripe can bend where it passes a join, over all lamps.

use super::on_join::{asked, broken, meeting};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::flow::largest_kink;
use crate::joins::{Class, Join, Meeting, Order, Track, peak};
use crate::math::{Arrange, Point3};

/// Places looked at on each piece of a join, besides its breaks. Larger: slower; smaller: a narrow peak is missed.
const PLACES: usize = 32;

/// Precision of the largest kink, relative.
const PRECISION: f64 = 1e-6;

/// Faintest stripe that counts: slope of its function under a lamp, as a share of the steepest over all lamps. Larger: kinks
/// that are seen are left out; smaller: lamps count that leave the join a single stripe, wider than the faces. Common practice,
/// no source.
const FAINTEST: f64 = 0.1;

/// Kinks beyond the limit on joins asked for curvature continuity, where the absolute jump of curvature counts as well. A
/// kink that a listed break of tangency or curvature explains is its consequence, and not listed again; at a crease, or where
/// tangency is all that is asked, it is meant.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    meeting(subject)
        .filter(|(_, j)| asked(j, Order::G2) && j.class != Class::Crease && !explained(judge, j))
        .filter_map(|x| on(subject, judge, x))
        .collect()
}

/// True where the join's own measures are listed.
fn explained(judge: &Judge<'_>, join: &Join) -> bool {
    let s = &join.summaries;
    let listed = |id: MeasureId, value: Option<f64>| value.is_some_and(|v| judge.grade(id, &join.faces, v).is_some());
    broken(judge, MeasureId::JoinPosition, join, s.gap.map(|s| s.max))
        || listed(MeasureId::JoinTangent, s.angle.map(|s| s.max.value))
        || listed(MeasureId::JoinCurvature, s.curvature_share.map(|p| p.value))
}

fn on(subject: &Subject<'_>, judge: &Judge<'_>, (index, join): (usize, &Join)) -> Option<Finding> {
    let floor = judge.yardstick.row(MeasureId::HighlightKink)?.floor;
    // No limit changes what bends how far; of the yardstick it takes the floor alone, which is no limit.
    let bends = subject.memo.keep("kinks", index, || Bends::new(subject, index, floor));
    let Bends { worst, values } = &*bends;
    let (value, point) = (*worst)?;
    let grade = judge.grade(MeasureId::HighlightKink, &join.faces, value)?;
    let share = values.iter().filter(|v| **v > grade.1).count().max(1) as f64 / values.len().max(1) as f64;
    let station = join.stations.iter().min_by(|a, b| a.p.distance(point).total_cmp(&b.p.distance(point)))?;
    let place = Place { face: join.faces.first().copied(), along: Some(station.along), ..Place::at(point) };
    let remedy = if join.interior {
        "Under some lamps stripes bend sharply along a knot line: smooth the third control row on both sides, or remove the knot."
    } else {
        "Under some lamps stripes bend sharply where they pass this join: move the third control row of the smaller patch until both \
         curve alike, or lay one patch over both faces."
    };
    let found = Finding::new(MeasureId::HighlightKink, value, grade, place);
    Some(found.faces(&join.faces).join(index).extent(share * join.length).remedy(remedy))
}

/// How stripes bend along a join.
struct Bends {
    /// The largest kink, degrees, and where.
    worst: Option<(f64, Point3)>,
    /// At the places looked at, degrees.
    values: Vec<f64>,
}

impl Bends {
    fn new(subject: &Subject<'_>, join: usize, floor: f64) -> Bends {
        let kink = |m: &Meeting| {
            let seen = m.measures().curvature_jump().is_some_and(|jump| jump > floor);
            if seen { largest_kink(m, FAINTEST).map(|k| k.0) } else { Some(0.0) }
        };
        let mut worst: Option<(f64, Point3)> = None;
        let mut values: Vec<f64> = Vec::new();
        for track in subject.graph.tracks(join) {
            let stops = stops(subject, track);
            let at = |x: f64| track.at(&subject.sheets, x).and_then(|m| kink(&m));
            let found: Vec<Option<f64>> = stops.iter().map(|&x| at(x)).collect();
            values.extend(found.iter().flatten());
            let top = found.iter().enumerate().filter_map(|(i, v)| Some((i, (*v)?))).max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((i, value)) = top.filter(|t| worst.is_none_or(|b| t.1 > b.0)) else { continue };
            let (Some(&here), low) = (stops.get(i), stops.get(i.saturating_sub(1)).copied().unwrap_or(0.0)) else { continue };
            let high = stops.get(i + 1).copied().unwrap_or(1.0);
            let (x, value) = if value > 0.0 { peak::refine(low, high, (here, value), PRECISION, at) } else { (here, value) };
            worst = track.at(&subject.sheets, x).map(|m| (value, m.p())).or(worst);
        }
        Bends { worst, values }
    }
}

/// Places on a piece, rising, breaks among them.
fn stops(subject: &Subject<'_>, track: &Track) -> Vec<f64> {
    let mut all: Vec<f64> = (0..=PLACES).map(|i| i as f64 / PLACES as f64).collect();
    all.extend(track.breaks(&subject.sheets));
    all.arrange_by(f64::total_cmp);
    all
}
