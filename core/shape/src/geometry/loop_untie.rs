//! Loops that touch or cross themselves or one another, taken apart into simple ones.
//!
//! At every crossing each of the two strands goes on along the other one. What comes of it are closed curves that no
//! longer cross (Seifert's circles; Seifert, *Über das Geschlecht von Knoten*, Math. Ann. 110, 1934): the region itself,
//! and what hung over: the ends of edges that overran each other, the part of a hole outside its face.

use super::domain::{DomainSide, SideOrigin, encloses};
use super::loop_circle::Circle;
use super::loop_contact::{Ring, contacts};
use super::loop_gap::worth_noting;
use super::loop_parts::Parts;
use super::{DomainFault, DomainRepair, Surface};
use crate::math::{Arrange, grouped};

/// A loop with its number in the face, where it has one.
pub(super) type Numbered = (Option<usize>, Vec<DomainSide>);

/// A circle shorter than this share of all edges it came from, and smaller than [`SCRAP_AREA`] of their largest, is what
/// hung over at a crossing. Larger: narrow parts of a face behind a crossing are lost; smaller: scraps stay as faces.
const SCRAP: f64 = 0.2;

/// See [`SCRAP`]: a share of the area in the parameter plane.
const SCRAP_AREA: f64 = 0.02;

/// A circle whose area is below this share of the largest one's bounds nothing: a slit.
const SLIT: f64 = 1e-9;

/// Takes loops apart where they meet. Loops that meet nothing come back as they are.
///
/// # Errors
/// When they meet too often to be sorted out.
pub(super) fn untied(surface: &Surface, loops: Vec<Numbered>, repairs: &mut Vec<DomainRepair>) -> Result<Vec<Numbered>, DomainFault> {
    let (numbers, loops): (Vec<Option<usize>>, Vec<Vec<DomainSide>>) = loops.into_iter().unzip();
    let ring = Ring::new(&loops);
    let found = contacts(surface, &ring).ok_or(DomainFault::Tangled)?;
    if found.is_empty() {
        return Ok(numbers.into_iter().zip(loops).collect());
    }
    let mut parts = Parts::split(surface, &ring, &found);
    let groups = parts.cross(&ring, &found, loops.len());
    let circles = parts.circles();
    let mut out: Vec<Numbered> = Vec::new();
    let mut touched: Vec<(usize, Circle)> = Vec::new();
    for circle in circles {
        let group = circle.first().and_then(|&i| parts.owner.get(i)).and_then(|&o| groups.get(o)).copied();
        let Some(group) = group else { continue };
        let circle = parts.circle(surface, &circle);
        match circle.nodes.is_empty() && circle.owners.len() == 1 {
            true if groups.iter().filter(|g| **g == group).count() == 1 && !parts.tied.contains(&group) => {
                let number = circle.owners.first().and_then(|&o| numbers.get(o)).copied().flatten();
                out.push((number, circle.sides));
            }
            _ => touched.push((group, circle)),
        }
    }
    for (_, circles) in grouped(touched) {
        out.extend(sorted_out(circles, &numbers, repairs));
    }
    Ok(out)
}

/// What is kept of the circles of loops that met: the largest; others unless they hung over or bound nothing.
fn sorted_out(mut circles: Vec<Circle>, numbers: &[Option<usize>], repairs: &mut Vec<DomainRepair>) -> Vec<Numbered> {
    circles.arrange_by(|a, b| b.area.abs().total_cmp(&a.area.abs()));
    let total: f64 = circles.iter().map(Circle::perimeter).sum();
    let crossed = circles.iter().any(|c| !c.nodes.is_empty());
    let Some(main) = circles.first().map(|c| (c.area, c.polygon.clone())) else { return Vec::new() };
    let mut kept: Vec<Circle> = Vec::new();
    for circle in circles {
        if kept.is_empty() {
            kept.push(circle);
            continue;
        }
        let (loop_index, use_index) = circle.edge().unwrap_or_default();
        let share = circle.area.abs() / main.0.abs();
        if share <= SLIT && (circle.nodes.is_empty() || circle.perimeter() > SCRAP * total) {
            repairs.push(DomainRepair::Spur { loop_index, use_index, length: 0.5 * circle.perimeter() });
            continue;
        }
        let is_scrap = circle.perimeter() <= SCRAP * total && share <= SCRAP_AREA;
        let inside = || circle.polygon.iter().filter(|p| encloses(&main.1, **p)).count() * 2 > circle.polygon.len();
        let hangs_over = circle.owners.len() > 1 && circle.area * main.0 < 0.0 && !inside();
        if !circle.nodes.is_empty() && (is_scrap || hangs_over) {
            forget_bridges(&circle, repairs);
            let size = circle.size();
            repairs.extend((size > worth_noting(total)).then_some(DomainRepair::Cut { loop_index, use_index, size }));
            continue;
        }
        kept.push(circle);
    }
    let loop_index = kept.first().and_then(Circle::edge).map_or(0, |e| e.0);
    let several = kept.len() > 1 && (crossed || kept.iter().any(|c| c.touches));
    if several && kept.iter().all(|c| c.owners == kept[0].owners) && kept[0].owners.len() == 1 {
        repairs.push(DomainRepair::Untied { loop_index, count: kept.len() });
    }
    let number = |c: &Circle| c.owners.first().and_then(|&o| numbers.get(o)).copied().flatten();
    kept.into_iter().map(|c| (number(&c), c.sides)).collect()
}

/// A gap between two edges that cross was no gap.
fn forget_bridges(circle: &Circle, repairs: &mut Vec<DomainRepair>) {
    for (bridge, after) in circle.sides.iter().zip(circle.sides.iter().cycle().skip(1)) {
        let SideOrigin::Edge { loop_index: l, use_index: u } = after.origin else { continue };
        if bridge.origin == SideOrigin::Bridge {
            repairs.retain(|r| !matches!(*r, DomainRepair::Bridged { loop_index, use_index, .. } if (loop_index, use_index) == (l, u)));
        }
    }
}
