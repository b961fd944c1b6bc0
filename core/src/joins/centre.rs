//! Borders of a half model on its centre plane: each is a join with its own mirror image.

use super::chain::{Link, linked};
use super::sheets::Sheets;
use super::track::Track;
use crate::layout::MirrorPlane;
use crate::math::{Arrange, real};

/// The centre plane of a half model, and what counts as a border on it.
#[derive(Debug, Clone, Copy)]
pub struct Centre {
    /// The plane.
    pub plane: MirrorPlane,
    /// Largest gap between the halves, mm.
    pub gap: f64,
    /// Largest angle between border and plane, radians.
    pub angle: f64,
    /// Largest angle at which the halves are smooth, degrees.
    pub smooth: f64,
}

/// Places looked at along a piece of border. Larger: slower; smaller: a short stretch on the plane is missed.
const PLACES: usize = 32;
/// Halvings by which the end of a stretch is found.
const HALVINGS: usize = 40;
/// Least sine between a face and the plane at its border. Larger: very sharp noses have no join; smaller: flat walls that
/// lie in the plane are taken for faces folded onto their images.
const ACROSS: f64 = 0.02;

/// Pieces of the outline parted into those that stay outline and those on the plane, linked anew; `least` is the length
/// below which a stretch on the plane is none, mm.
pub fn parted(sheets: &Sheets<'_>, chain: &[Track], centre: &Centre, link: &Link, least: f64) -> (Vec<Vec<Track>>, Vec<Vec<Track>>) {
    let (mut outside, mut on_plane) = (Vec::new(), Vec::new());
    for track in chain {
        let Track::Alone { a, on_a } = *track else { continue };
        let share = |x: f64| on_a.0 + (on_a.1 - on_a.0) * x;
        let mut from = 0.0;
        for (low, high) in runs(sheets, track, centre, least) {
            if low > from {
                outside.push(Track::Alone { a, on_a: (share(from), share(low)) });
            }
            on_plane.push(Track::Mirrored { a, on_a: (share(low), share(high)), plane: centre.plane, smooth: centre.smooth });
            from = high;
        }
        if from < 1.0 {
            outside.push(Track::Alone { a, on_a: (share(from), on_a.1) });
        }
    }
    (linked(sheets, outside, link), linked(sheets, on_plane, link))
}

/// The stretches of a piece that run along the plane, rising.
fn runs(sheets: &Sheets<'_>, track: &Track, centre: &Centre, least: f64) -> Vec<(f64, f64)> {
    let on = |x: f64| track.at(sheets, x).is_some_and(|m| lies_on(&m.a, centre));
    let mut stops: Vec<f64> = (0..=PLACES).map(|i| i as f64 / PLACES as f64).collect();
    stops.extend(track.breaks(sheets));
    stops.arrange_by(f64::total_cmp);
    let states: Vec<(f64, bool)> = stops.into_iter().map(|x| (x, on(x))).collect();
    let edge = |mut inside: f64, mut outside: f64| {
        for _ in 0..HALVINGS {
            let middle = 0.5 * (inside + outside);
            if on(middle) { inside = middle } else { outside = middle }
        }
        inside
    };
    let mut all: Vec<(f64, f64)> = Vec::new();
    let mut begun = states.first().filter(|s| s.1).map(|s| s.0);
    for w in states.windows(2) {
        match (w[0].1, w[1].1, begun) {
            (false, true, _) => begun = Some(edge(w[1].0, w[0].0)),
            (true, false, Some(low)) => {
                all.push((low, edge(w[0].0, w[1].0)));
                begun = None;
            }
            _ => {}
        }
    }
    all.extend(begun.map(|low| (low, 1.0)));
    let length = |&(low, high): &(f64, f64)| {
        let ends = [low, 0.5 * (low + high), high].map(|x| track.at(sheets, x).map(|m| m.p()));
        ends.windows(2).map(|w| w[0].zip(w[1]).map_or(0.0, |(p, q)| p.distance(q))).sum::<f64>()
    };
    all.retain(|run| length(run) > least);
    all
}

fn lies_on(border: &super::Border, centre: &Centre) -> bool {
    let normal = centre.plane.normal();
    let near = 2.0 * centre.plane.height(border.point()).abs() <= centre.gap;
    let along = border.along.try_normalize().is_some_and(|t| t.dot(normal).abs() <= real::sin(centre.angle));
    near && along && border.conormal().is_none_or(|c| c.dot(normal).abs() >= ACROSS)
}
