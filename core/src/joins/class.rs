//! What a join is: the order it reaches, and the order asked of it.

/// An order of geometric continuity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Order {
    /// Positions meet.
    G0,
    /// Tangent planes meet.
    G1,
    /// Curvatures meet.
    G2,
    /// Curvature slopes meet.
    G3,
}

/// What a stretch of boundary is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Smooth to the third order.
    G3,
    /// Smooth to the second order.
    G2,
    /// Smooth to the first order.
    G1,
    /// Together in position at best: a break whose angle is not that of a crease (its gap may still be too large).
    G0,
    /// An intended line: the angle is large along the whole length.
    Crease,
    /// The outline of the sheet with another outline close by, too far to be a join.
    Open,
    /// The outline of the sheet.
    Outline,
    /// Three or more faces on one stretch.
    NonManifold,
}

impl Class {
    /// True where two faces touch, so that they can be smooth or sharp.
    pub fn meets(self) -> bool {
        self.runs_on() || self == Class::Crease
    }

    /// True where a surface goes on over the join and no sharp line is meant.
    pub fn runs_on(self) -> bool {
        matches!(self, Class::G0 | Class::G1 | Class::G2 | Class::G3)
    }
}

impl Order {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Order::G0 => "g0",
            Order::G1 => "g1",
            Order::G2 => "g2",
            Order::G3 => "g3",
        }
    }
}

impl Class {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Class::G3 => "g3",
            Class::G2 => "g2",
            Class::G1 => "g1",
            Class::G0 => "g0",
            Class::Crease => "crease",
            Class::Open => "open",
            Class::Outline => "outline",
            Class::NonManifold => "non_manifold",
        }
    }

    /// The order a join of this class reaches; G0 for all that are no smooth join.
    pub fn order(self) -> Order {
        match self {
            Class::G3 => Order::G3,
            Class::G2 => Order::G2,
            Class::G1 => Order::G1,
            _ => Order::G0,
        }
    }
}
