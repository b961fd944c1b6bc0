//! From loops of trims to the region they bound.

use super::SurfaceSearch;
use super::domain::{Domain, DomainLoop};
use super::loop_chain::{BoundaryUse, chain};
use super::loop_cut::{Arc, close, pieces};
use super::loop_nest::nested;
use super::loop_order::ordered;
use super::loop_seams::{Seams, wound};
use super::loop_untie::untied;
use super::outer_border::{around_holes, missing_outer, whole};
use super::{DomainFault, DomainRepair, Surface};

/// The whole surface: a patch's own rectangle, a whole sphere or torus.
///
/// # Errors
/// For planes, cylinders and cones, which have no end.
pub(crate) fn natural(surface: &Surface, search: &SurfaceSearch) -> Result<Domain, DomainFault> {
    let loops = vec![whole(surface, search, 0.0, 0.0)?];
    Ok(Domain { loops, repairs: Vec::new(), untrimmed: None, periods: surface.periods() })
}

/// The region on the left of the given loops.
///
/// # Errors
/// Open loops, loops that bound no finite region, or none.
pub(crate) fn assemble(
    surface: &Surface,
    search: &SurfaceSearch,
    loops: Vec<Vec<BoundaryUse>>,
    mut repairs: Vec<DomainRepair>,
) -> Result<Domain, DomainFault> {
    let mut chains = Vec::new();
    for uses in loops {
        for run in ordered(surface, search, uses, &mut repairs) {
            if !run.is_empty() {
                chains.push(chain(surface, search, run, &mut repairs)?);
            }
        }
    }
    if chains.len() > MOST_LOOPS {
        return Err(DomainFault::Tangled);
    }
    if chains.is_empty() {
        return natural(surface, search);
    }
    let winds = chains.iter().any(|c| c.winding != (0, 0));
    let jumps = chains.iter().any(|c| !c.jumps.is_empty());
    let mut closed = Vec::new();
    if winds {
        closed = wound(surface, search, chains, &mut repairs)?;
    } else if jumps {
        let arcs: Vec<Arc> = chains
            .into_iter()
            .flat_map(|c| if c.jumps.is_empty() { vec![Arc { sides: c.sides, closed: true }] } else { pieces(c.sides, &c.jumps, true) })
            .collect();
        let rectangle = Seams::NONE.rectangle(surface, search, &arcs);
        closed.extend(close(surface, arcs, &rectangle)?.into_iter().map(|sides| (None, sides)));
    } else {
        closed.extend(chains.into_iter().map(|c| (Some(c.loop_index), c.sides)));
        if let Some(outer) = around_holes(surface, search, &closed)? {
            closed.push((None, outer));
        }
    }
    let mut closed = untied(surface, closed, &mut repairs)?;
    if !winds && let Some(outer) = missing_outer(surface, search, &closed)? {
        closed.push((None, outer));
        repairs.push(DomainRepair::OuterMissing);
    }
    let loops = nested(surface, closed, &mut repairs);
    let area: f64 = loops.iter().map(DomainLoop::signed_area).sum();
    if loops.is_empty() || area.is_nan() || area <= 0.0 {
        return Err(DomainFault::Empty);
    }
    Ok(Domain { loops, repairs, untrimmed: None, periods: surface.periods() })
}

/// Loops of one face that are nested by comparing all with all. Larger: a hostile face costs seconds; smaller: sieves
/// are given up.
const MOST_LOOPS: usize = 10_000;
