//! Remedies of fillets: the fillet made anew, and the faces beside it brought to its new edges.

use super::ground::{Ground, order_number};
use super::join::{carried, follower};
use super::{NoRemedy, Remedy};
use crate::fillet::{Fillet, FilletStation};
use crate::finding::{Finding, MeasureId};
use crate::joins::Order;
use crate::measure::Subject;
use crate::model::FaceId;
use crate::nurbs::Direction;
use crate::trial::{Edit, Profile, Refillet, Setback};

/// How near a fillet made anew comes to its sections, mm. Larger: its edges lie off the faces beside it by what a join shows.
const NEAR: f64 = 2e-4;

/// How much larger than the limit a radius is made.
const MORE: f64 = 1.02;

/// A fillet's face between two others.
struct Between<'a> {
    fillet: &'a Fillet,
    ground: Ground,
    /// The faces beside it and the joins with them, at the least and at the greatest parameter across.
    beside: [(FaceId, usize); 2],
    along: Direction,
    setbacks: [f64; 2],
}

/// The fillet made anew with the setback that one face has now, the other brought to it; of one that is too tight, with the radius it
/// has where it is largest, both brought to it.
pub(super) fn rebuilt(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let fillets = subject.fillets();
    let on = |f: &&Fillet| finding.faces.iter().any(|x| f.faces.contains(x));
    let nearest = fillets.chains.iter().filter(on).flat_map(|f| f.stations.iter().map(move |s| (f, s)));
    let away = |s: &FilletStation| s.spine.distance(finding.place.point);
    let found = nearest.reduce(|a, b| if away(b.1) < away(a.1) { b } else { a });
    let (fillet, station) = found.ok_or_else(|| NoRemedy::new("the round leads between no two faces"))?;
    let between = between(subject, fillet, station)?;
    let mut all = Vec::new();
    match finding.measure {
        MeasureId::FilletBalance => {
            let area = |i: usize| subject.areas.get(between.beside[i].0.index()).copied().unwrap_or(0.0);
            let kept_first = if area(0) >= area(1) { [0, 1] } else { [1, 0] };
            for keep in kept_first {
                let setback = if keep == 0 { Setback::First } else { Setback::Second };
                let name = format!("Make the fillet anew with the setback of face {}", between.beside[keep].0.index() + 1);
                all.extend(between.made(subject, (name, None), setback, Profile::Round, &[1 - keep]));
            }
        }
        MeasureId::FilletRadius => {
            let r = radius(between.fillet).max(MORE * finding.limit);
            for only in [Some(Order::G0), None] {
                let lines = if only.is_some() { ", borders beside it only" } else { "" };
                let name = format!("Make the fillet anew with a radius of {r:.2} mm{lines}");
                all.extend(between.made(subject, (name, only), Setback::Radius(r), Profile::Round, &[0, 1]));
            }
        }
        _ => {
            let name = "Make the fillet anew with the curvature of both faces".to_owned();
            all.extend(between.made(subject, (name, None), Setback::Mean, Profile::Curvature, &[0, 1]));
        }
    }
    if all.is_empty() {
        Err(NoRemedy::new("the faces beside the fillet are trimmed, so that none can be brought to a new edge"))
    } else {
        Ok(all)
    }
}

/// The largest radius along a fillet: where it is not tight it runs on into what lies before and behind it.
fn radius(fillet: &Fillet) -> f64 {
    fillet.stations.iter().filter_map(|s| Some(s.setting?.equal)).fold(0.0, f64::max)
}

fn between<'a>(subject: &Subject<'_>, fillet: &'a Fillet, station: &FilletStation) -> Result<Between<'a>, NoRemedy> {
    let ground = Ground::new(subject, station.face)?;
    let sides = station.rails.map(|j| ground.side_on(j));
    let [Some(a), Some(b)] = sides else { return Err(NoRemedy::new("the fillet's long edges are trims, not sides of its patch")) };
    if a / 2 != b / 2 || a == b || !ground.whole {
        return Err(NoRemedy::new("the fillet's long edges are not opposite sides of its patch"));
    }
    let setting = station.setting.ok_or_else(|| NoRemedy::new("the faces beside the fillet, run on, do not meet"))?;
    let mut beside = [(station.beside[0], station.rails[0]), (station.beside[1], station.rails[1])];
    let mut setbacks = setting.setbacks;
    if a > b {
        beside.reverse();
        setbacks.reverse();
    }
    let along = if a < 2 { Direction::V } else { Direction::U };
    Ok(Between { fillet, ground, beside, along, setbacks })
}

impl Between<'_> {
    /// The fillet, and the faces that have to follow it, with an order of their own or that they have; None where one cannot.
    fn made(
        &self,
        subject: &Subject<'_>,
        (name, only): (String, Option<Order>),
        setback: Setback,
        profile: Profile,
        follow: &[usize],
    ) -> Option<Remedy> {
        let search = subject.graph.search;
        let face = self.ground.face;
        let beside = self.beside.map(|b| b.0);
        // A face beside it may stop short of the fillet's end, where another goes on.
        let off = search + self.setbacks[0].max(self.setbacks[1]);
        let edit = Refillet { face, along: self.along, beside, profile, setback, tolerance: NEAR, search: off };
        let mut edits = vec![Edit::Refillet(edit)];
        // How far an edge may move: to where the other one is, or as a larger radius takes it.
        let reach = match setback {
            Setback::Radius(r) => 4.0 * r,
            _ => 2.0 * (self.setbacks[0] - self.setbacks[1]).abs(),
        };
        for &i in follow {
            let (face_beside, join) = self.beside[i];
            let (ground, side) = follower(subject, join, face_beside).ok()?;
            let order = ground.sides[side].order.unwrap_or(Order::G1).max(Order::G1);
            let order = if profile == Profile::Round || order_number(order) < 2 { Order::G1 } else { Order::G2 };
            edits.extend(carried(&ground, side, face, only.unwrap_or(order), reach + search).edits);
        }
        Some(Remedy { name, edits })
    }
}
