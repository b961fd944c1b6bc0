//! Joins judged anew under other limits, from what was measured: nothing is measured again.

use super::graph::JoinGraph;
use super::judge::{Reach, Role, class, required};
use super::knots::pieced;
use super::sheets::Sheets;
use super::{Class, Order};

impl JoinGraph {
    /// Classes of all joins that can be smooth or sharp, and the orders asked of them, by other limits. True when a crease
    /// came or went, which is what corners and feature lines go by.
    ///
    /// What faces are for, the sides of the skins, and which knot lines break are as they were found: none of them is a
    /// matter of taste. So a knot line milder than the limits it was looked for with does not come up under stricter ones, and
    /// curvatures across the centre plane stay left out where its halves were not smooth by those limits.
    pub fn reclass(&mut self, sheets: &Sheets<'_>, reach: &Reach) -> bool {
        let search = self.search;
        let mut turned = false;
        for join in self.joins.iter_mut().filter(|j| j.class.meets()) {
            let now = class(&join.stations, &join.summaries, reach, search);
            turned |= (now == Class::Crease) != (join.class == Class::Crease);
            join.class = now;
        }
        self.require(sheets);
        turned
    }

    /// Sets the order asked of each join, from its class and the roles of its faces.
    pub(super) fn require(&mut self, sheets: &Sheets<'_>) {
        for join in &mut self.joins {
            let role = |f: Option<&crate::model::FaceId>| f.and_then(|f| self.roles.get(f.index())).copied().unwrap_or(Role::Detail);
            let drawn_in_pieces = || join.faces.first().and_then(|f| sheets.face(*f)).is_some_and(|f| pieced(&f.surface));
            join.required = if join.interior && join.class != Class::Crease {
                if drawn_in_pieces() { Order::G1 } else { Order::G2 }
            } else {
                required(join.class, (role(join.faces.first()), role(join.faces.last())))
            };
        }
    }
}
