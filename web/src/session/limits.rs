//! The limits of the four orders and of the measures of control rows and fillets as the page shows and changes them.

use super::entries::Entries;
use super::plain;
use rakelight_core::finding::{Asked, Limits, MeasureId, Yardstick, Zone};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use wasm_bindgen::JsValue;

/// An order, or a measure of control rows: its name, the unit of its limits, and the measures they hold, that of joins between faces first. Across the centre
/// plane curvatures are equal by symmetry, so nothing is held there at the second order.
struct Order {
    name: &'static str,
    unit: &'static str,
    measures: &'static [MeasureId],
}

const ORDERS: [Order; 10] = [
    Order { name: "g0", unit: "mm", measures: &[MeasureId::JoinPosition, MeasureId::CentrePosition] },
    Order { name: "g1", unit: "deg", measures: &[MeasureId::JoinTangent, MeasureId::CentreTangent] },
    Order { name: "g2", unit: "share", measures: &[MeasureId::JoinCurvature] },
    Order { name: "g3", unit: "share", measures: &[MeasureId::JoinCurvatureSlope, MeasureId::CentreCurvatureSlope] },
    Order { name: "evenness", unit: "", measures: &[MeasureId::RowsEvenness] },
    Order { name: "agreement", unit: "", measures: &[MeasureId::RowsAgreement] },
    Order { name: "turning", unit: "", measures: &[MeasureId::RowsTurning] },
    Order { name: "radius", unit: "mm", measures: &[MeasureId::FilletRadius] },
    Order { name: "balance", unit: "share", measures: &[MeasureId::FilletBalance] },
    Order { name: "opening", unit: "deg", measures: &[MeasureId::FilletOpening] },
];

/// Polish, fix, serious; null for no limit.
type Three = [Option<f64>; 3];

/// What the page is told of an order.
#[derive(Serialize)]
struct Record {
    unit: &'static str,
    limits: Three,
    /// Before the user changed any.
    usual: Three,
}

/// The limits that the user has changed, by the names of zones and of orders.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub struct Wanted(BTreeMap<String, BTreeMap<String, Three>>);

impl Wanted {
    /// The yardstick with these limits.
    ///
    /// # Errors
    /// A sentence, where a zone or an order is unknown or its limits say nothing.
    pub fn over(&self, usual: &Yardstick) -> Result<Yardstick, String> {
        let mut asked = Vec::new();
        let all = self.0.iter().flat_map(|(zone, orders)| orders.iter().map(move |(order, limits)| (zone, order, limits)));
        for (zone, name, [polish, fix, serious]) in all {
            let zone = Zone::from_text(zone).ok_or_else(|| format!("no zone {zone}"))?;
            let order = ORDERS.iter().find(|o| o.name == name).ok_or_else(|| format!("no order {name}"))?;
            let limits = Limits { polish: *polish, fix: *fix, serious: *serious };
            asked.extend(order.measures.iter().map(|&measure| Asked { measure, zone, limits }));
        }
        usual.with(&asked).map_err(|e| e.to_string())
    }
}

/// {g0…g3, evenness, agreement, turning, radius, balance, opening: {unit, limits: [polish, fix, serious], usual}} of a zone.
pub fn limits(now: &Yardstick, usual: &Yardstick, zone: Zone) -> Result<JsValue, JsValue> {
    let of = |yardstick: &Yardstick, order: &Order| {
        let found = order.measures.first().and_then(|&m| yardstick.limits(m, zone)).copied();
        found.map_or([None; 3], |l| [l.polish, l.fix, l.serious])
    };
    let record = |o: &Order| Record { unit: o.unit, limits: of(now, o), usual: of(usual, o) };
    plain(&ORDERS.iter().map(|o| (o.name, record(o))).collect::<Entries<_, _>>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_holds_joins_and_the_centre_plane_alike() {
        let usual = Yardstick::default();
        let wanted = |zone: &str, order: &str, limits: Three| {
            Wanted(BTreeMap::from([(zone.to_owned(), BTreeMap::from([(order.to_owned(), limits)]))]))
        };
        let now = wanted("secondary", "g1", [Some(0.3), None, Some(4.0)]).over(&usual).expect("sound");
        for measure in [MeasureId::JoinTangent, MeasureId::CentreTangent] {
            let limits = now.limits(measure, Zone::Secondary).expect("a row");
            assert_eq!([limits.polish, limits.fix, limits.serious], [Some(0.3), None, Some(4.0)]);
            assert_eq!(now.limits(measure, Zone::Visible), usual.limits(measure, Zone::Visible));
        }
        assert_eq!(Wanted::default().over(&usual), Ok(usual.clone()));
        for (zone, name, limits) in
            [("visible", "g4", [None; 3]), ("visible", "g1", [Some(2.0), Some(1.0), None]), ("seen", "g1", [None; 3])]
        {
            assert!(wanted(zone, name, limits).over(&usual).is_err(), "{zone} {name}");
        }
    }
}
