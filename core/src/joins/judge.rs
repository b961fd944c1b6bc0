//! From measures to the class of a join.

use super::join::{Station, Summaries};
use super::{Class, Order};

/// Absolute jumps below which relative ones do not count: near-flat surfaces jump by hundreds of per cent unseen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floors {
    /// Curvature jump, 1/mm.
    pub curvature: f64,
    /// Curvature-slope jump, 1/mm².
    pub slope: f64,
}

/// Up to what values an order counts as reached. All defaults are common practice without a published source: the
/// strictest limits of the visible zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Largest gap, mm.
    pub gap: f64,
    /// Largest angle, degrees.
    pub angle: f64,
    /// Largest relative curvature jump.
    pub curvature: f64,
    /// Largest relative curvature-slope jump.
    pub slope: f64,
    /// Smallest angle along the whole length from which on a join is a crease, degrees. Larger: sharp kinks in panels
    /// pass as creases only when sharper; smaller: kinks to be mended pass as intended lines.
    pub crease: f64,
    /// Distance past the end of a join within which an angle that falls there must come to zero at its own rate for the line to
    /// count as fading out, as a share of the search distance: borders end that far from where their surfaces meet. Larger:
    /// breaks that stop short of zero pass as feature lines; smaller: a steep fade-out, sampled up to a trim's tolerance, is
    /// taken for a break. Real models need 0.002 mm of 0.5 mm.
    pub fade: f64,
}

impl Default for Floors {
    fn default() -> Self {
        Self { curvature: 2e-5, slope: 2e-7 }
    }
}

impl Default for Reach {
    fn default() -> Self {
        Self { gap: 0.002, angle: 0.02, curvature: 0.05, slope: 0.25, crease: 2.0, fade: 0.01 }
    }
}

/// The class of two faces meeting, found within a search distance (mm). Where a measure applies at no station its order is
/// not reached.
pub fn class(stations: &[Station], sums: &Summaries, reach: &Reach, search: f64) -> Class {
    let angles: Vec<(f64, f64)> = stations.iter().filter_map(|s| Some((s.along, s.measures.angle?))).collect();
    if is_crease(&angles, reach, search) {
        return Class::Crease;
    }
    let under = |value: Option<f64>, limit: f64| value.is_some_and(|v| v <= limit);
    if !under(sums.gap.map(|s| s.max.value), reach.gap) || !under(sums.angle.map(|s| s.max.value), reach.angle) {
        return Class::G0;
    }
    if !under(sums.curvature_share.map(|p| p.value), reach.curvature) {
        return Class::G1;
    }
    if !under(sums.slope_share.map(|p| p.value), reach.slope) { Class::G2 } else { Class::G3 }
}

/// True for an intended line: sharp along its whole length, or sharp but for ends at which the angle falls steadily to
/// zero (a feature line that fades out). An angle that is small elsewhere is a break.
fn is_crease(angles: &[(f64, f64)], reach: &Reach, search: f64) -> bool {
    let sharp = |a: &(f64, f64)| a.1 > reach.crease;
    let (Some(first), Some(last)) = (angles.iter().position(sharp), angles.iter().rposition(sharp)) else { return false };
    let (Some(start), Some(middle), Some(end)) = (angles.get(..first), angles.get(first..=last), angles.get(last + 1..)) else {
        return false;
    };
    // From an end inwards; `beside` is the first sharp place.
    let fades = |rising: &mut dyn Iterator<Item = (f64, f64)>, beside: Option<&(f64, f64)>| {
        let all: Vec<(f64, f64)> = rising.chain(beside.copied()).collect();
        let ends_at_zero = match all.as_slice() {
            [a, b, ..] => a.1 <= reach.angle || (b.1 > a.1 && a.1 * (b.0 - a.0).abs() <= reach.fade * search * (b.1 - a.1)),
            _ => true,
        };
        ends_at_zero && all.windows(2).all(|w| w[0].1 <= w[1].1 + reach.angle)
    };
    middle.iter().all(sharp) && fades(&mut start.iter().copied(), middle.first()) && fades(&mut end.iter().rev().copied(), middle.last())
}

/// What a face is for, as far as its joins depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// A panel or a main part of one.
    Primary,
    /// Leads from one primary to another: a fillet.
    Transition,
    /// Small.
    Detail,
}

impl Role {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Role::Primary => "primary",
            Role::Transition => "transition",
            Role::Detail => "detail",
        }
    }
}

/// The order asked of a join of two faces: G2 between primaries, G1 next to a transition or a detail, and nothing
/// beyond position at creases and outlines. (Without this every circular fillet would be a fault.)
pub fn required(class: Class, roles: (Role, Role)) -> Order {
    match class {
        Class::Crease | Class::Outline | Class::Open | Class::NonManifold => Order::G0,
        _ if roles == (Role::Primary, Role::Primary) => Order::G2,
        _ => Order::G1,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Measures;
    use super::super::join::{Peak, Summary};
    use super::*;
    use crate::math::Point3;

    /// Search distance, mm: a line may fade out within 0.005 mm of its end.
    const SEARCH: f64 = 0.5;

    fn join(values: [f64; 4], angles: &[f64]) -> Class {
        let peak = |value| Peak { value, point: Point3::ORIGIN, along: 0.0 };
        let sum = |value| Some(Summary { max: peak(value), mean: value, mid: Some(value) });
        let [gap, angle, curvature, slope] = values;
        let sums = Summaries {
            gap: sum(gap),
            angle: sum(angle),
            curvature: sum(1.0),
            curvature_share: Some(peak(curvature)),
            slope: sum(1.0),
            slope_share: Some(peak(slope)),
        };
        let station = |(k, &a): (usize, &f64)| Station {
            along: 0.02 * k as f64,
            p: Point3::ORIGIN,
            q: Point3::ORIGIN,
            measures: Measures { gap, angle: Some(a), curvature: None, slope: None },
        };
        class(&angles.iter().enumerate().map(station).collect::<Vec<_>>(), &sums, &Reach::default(), SEARCH)
    }

    #[test]
    fn each_order_needs_the_one_below() {
        assert_eq!(join([0.001, 0.01, 0.01, 0.1], &[0.01]), Class::G3);
        assert_eq!(join([0.001, 0.01, 0.01, 0.3], &[0.01]), Class::G2);
        assert_eq!(join([0.001, 0.01, 0.06, 0.1], &[0.01]), Class::G1);
        assert_eq!(join([0.001, 0.03, 0.01, 0.1], &[0.03]), Class::G0);
        assert_eq!(join([0.003, 0.01, 0.01, 0.1], &[0.01]), Class::G0);
    }

    #[test]
    fn a_crease_is_sharp_along_its_whole_length() {
        assert_eq!(join([0.0, 90.0, 0.0, 0.0], &[3.0, 90.0]), Class::Crease);
        assert_eq!(join([0.0, 9.0, 0.0, 0.0], &[1.9, 2.5]), Class::G0);
        assert_eq!(join([0.0, 1.9, 0.0, 0.0], &[1.9, 1.9]), Class::G0);
    }

    #[test]
    fn a_feature_line_may_fade_out_but_not_pass_through_zero() {
        let class = |angles: &[f64]| join([0.0, 9.0, 0.0, 0.0], angles);
        assert_eq!(class(&[0.0, 0.5, 1.0, 3.0, 9.0]), Class::Crease);
        assert_eq!(class(&[9.0, 5.0, 1.0, 0.01]), Class::Crease);
        assert_eq!(class(&[0.0, 1.5, 9.0, 3.0, 0.5, 0.0]), Class::Crease);
        assert_eq!(class(&[9.0, 3.0, 0.0, 3.0, 9.0]), Class::G0, "a flip");
        assert_eq!(class(&[9.0, 3.0, 0.7]), Class::G0, "it stops short of zero, which it would reach in 0.006 mm more");
        assert_eq!(class(&[9.0, 3.0, 0.5]), Class::Crease, "it would reach zero within a trim's tolerance");
        assert_eq!(class(&[0.5, 3.0, 9.0, 3.0, 0.0]), Class::Crease);
        assert_eq!(class(&[9.0, 3.0, 0.5, 1.5, 0.0]), Class::G0, "it does not fall steadily");
    }

    #[test]
    fn fillets_are_asked_for_tangency_only() {
        use Role::{Detail, Primary, Transition};
        assert_eq!(required(Class::G1, (Primary, Primary)), Order::G2);
        assert_eq!(required(Class::G0, (Primary, Transition)), Order::G1);
        assert_eq!(required(Class::G1, (Detail, Primary)), Order::G1);
        assert_eq!(required(Class::Crease, (Primary, Primary)), Order::G0);
    }
}
