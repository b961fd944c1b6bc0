//! Curves: arcs, lines, lists of points, composites, offsets. IGES 5.3, 4.3 to 4.17.

use super::conic;
use super::kinds;
use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Chain, ChainPiece, Circle, Curve, Line, OffsetCurve};
use crate::math::{Frame, Point3, Similarity, Vec3, real};
use crate::model::Source;
use crate::nurbs::{self, KnotVector};

/// A bounded piece of a curve, from `t0` to `t1`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    pub curve: Curve,
    pub t0: f64,
    pub t1: f64,
    pub source: Source,
}

impl Piece {
    pub fn start(&self) -> Point3 {
        self.curve.point(self.t0)
    }

    pub fn end(&self) -> Point3 {
        self.curve.point(self.t1)
    }

    /// The point at share `s` of the piece's parameters.
    pub fn at(&self, s: f64) -> Point3 {
        self.curve.point(self.t0 * (1.0 - s) + self.t1 * s)
    }

    pub fn reversed(self) -> Self {
        Self { t0: self.t1, t1: self.t0, ..self }
    }

    pub fn transformed(&self, by: &Similarity) -> Self {
        Self { curve: self.curve.transformed(by), ..self.clone() }
    }

    /// Length of a line through a few of its points: never more than the piece's own.
    pub fn rough_length(&self) -> f64 {
        (0..8).map(|i| self.at(f64::from(i) / 8.0).distance(self.at(f64::from(i + 1) / 8.0))).sum()
    }
}

impl Reader<'_, '_> {
    /// The pieces of curve `number`, in order, moved by its matrix; file units.
    pub(super) fn curve(&mut self, number: u32) -> Result<Vec<Piece>, Fault> {
        self.within(number, |reader, record| {
            let at = record.at();
            let piece = |curve, (t0, t1)| vec![Piece { curve, t0, t1, source: at }];
            let pieces = match record.kind() {
                100 => {
                    let (circle, range) = arc(record)?;
                    piece(Curve::Circle(circle), range)
                }
                102 => reader.composite(record)?,
                104 => {
                    let (curve, range) = conic::conic(record)?;
                    piece(curve, range)
                }
                106 => {
                    let curve = reader.polyline(record)?;
                    let over = curve.domain();
                    piece(Curve::Nurbs(curve), (over.low, over.high))
                }
                110 => {
                    let (origin, end) = (record.point(0)?, record.point(3)?);
                    piece(Curve::Line(Line { origin, direction: end - origin }), (0.0, 1.0))
                }
                112 => {
                    let curve = reader.parametric_curve(record)?;
                    let over = curve.domain();
                    piece(Curve::Nurbs(curve), (over.low, over.high))
                }
                126 => {
                    let (curve, range) = reader.spline_curve(record)?;
                    piece(Curve::Nurbs(curve), range)
                }
                130 => reader.offset_curve(record)?,
                _ => return Err(record.fault(Reason::Unsupported)),
            };
            if pieces.iter().any(|p| !(p.start().is_finite() && p.end().is_finite())) {
                return Err(record.geometry("it runs off to infinity"));
            }
            let motion = reader.own_motion(record)?;
            if motion == Similarity::IDENTITY {
                return Ok(pieces);
            }
            Ok(pieces.iter().map(|p| p.transformed(&motion)).collect())
        })
    }

    /// Curve `number` as one: several pieces become a chain.
    pub(super) fn one_curve(&mut self, number: u32) -> Result<Piece, Fault> {
        let mut pieces = self.curve(number)?;
        if pieces.len() < 2 {
            let none = || Fault::new(self.source(number), "", Reason::Geometry("the curve has no length"));
            return pieces.pop().filter(|p| p.t0 != p.t1).ok_or_else(none);
        }
        let end = pieces.len() as f64;
        let link = |p: Piece| ChainPiece { curve: Box::new(p.curve), start: p.t0, end: p.t1 };
        let chain = Chain { pieces: pieces.into_iter().map(link).collect() };
        Ok(Piece { curve: Curve::Chain(chain), t0: 0.0, t1: end, source: self.source(number) })
    }

    /// Curves end to end; points among them are left out.
    fn composite(&mut self, record: &Record) -> Result<Vec<Piece>, Fault> {
        let count = record.count(0, 1)?;
        let mut pieces = Vec::new();
        for number in record.pointers(1, count)? {
            if matches!(self.entry(number)?.kind, 116 | 132) {
                continue;
            }
            self.budget.points(1, record.at())?;
            pieces.extend(self.curve(number)?);
        }
        if pieces.is_empty() { Err(record.geometry("it holds no curve")) } else { Ok(pieces) }
    }

    /// Straight lines through points. IGES 5.3, 4.6, forms 11, 12, 13 and 63.
    fn polyline(&mut self, record: &Record) -> Result<nurbs::Curve<3>, Fault> {
        if !kinds::polyline(record.form()) {
            return Err(record.fault(Reason::Unsupported));
        }
        let size = match record.integer_or(0, 0)? {
            1 => 2,
            2 => 3,
            3 => 6,
            _ => return Err(record.geometry("its kind of tuples is not known")),
        };
        let count = record.count(1, size)?;
        self.budget.points(count, record.at())?;
        let (first, height) = if size == 2 { (3, record.real(2)?) } else { (2, 0.0) };
        let mut points: Vec<[f64; 3]> = Vec::with_capacity(count);
        for i in 0..count {
            let at = first + i * size;
            let p = if size == 2 { [record.real(at)?, record.real(at + 1)?, height] } else { record.point(at)?.to_array() };
            // A point said twice would make a piece without direction.
            if points.last() != Some(&p) {
                points.push(p);
            }
        }
        if record.form() == 63 && points.first() != points.last() {
            points.extend(points.first().copied());
        }
        if points.len() < 2 {
            return Err(record.geometry("it has fewer than two points"));
        }
        let last = points.len() - 1;
        let knots = core::iter::once(0).chain(0..=last).chain([last]).map(|i| i as f64).collect();
        let spline = KnotVector::new(1, knots).and_then(|k| nurbs::Curve::new(k, points, None));
        spline.map_err(|e| record.fault(Reason::Spline(e)))
    }

    /// A curve at a distance from another one. IGES 5.3, 4.25 (type 130).
    fn offset_curve(&mut self, record: &Record) -> Result<Vec<Piece>, Fault> {
        let base = self.one_curve(record.pointer(0)?)?;
        if record.integer_or(1, 1)? != 1 {
            return Err(record.geometry("an offset curve whose distance changes along it is not read"));
        }
        let (distance, normal) = (record.real(5)?, record.vector(9)?);
        // Parameters are those of the base curve; left out, or without extent, they mean all of it.
        let (t0, t1) = (record.real_or(12, base.t0)?, record.real_or(13, base.t1)?);
        let simple = matches!(base.curve, Curve::Nurbs(_) | Curve::Line(_) | Curve::Circle(_) | Curve::Ellipse(_));
        let inside = |t: f64| base.curve.period().is_some() || t >= base.t0.min(base.t1) && t <= base.t0.max(base.t1);
        let (t0, t1) = if simple && t0 != t1 && inside(t0) && inside(t1) { (t0, t1) } else { (base.t0, base.t1) };
        let curve = OffsetCurve::new(base.curve, distance, normal);
        let curve = curve.ok_or_else(|| record.geometry("its distance, or the normal of its plane, makes no offset"))?;
        Ok(vec![Piece { curve: Curve::Offset(curve), t0, t1, source: record.at() }])
    }

    /// Direction entity `number` (type 123), unit.
    pub(super) fn direction(&mut self, number: u32) -> Result<Vec3, Fault> {
        self.within(number, |reader, record| {
            if record.kind() != 123 {
                return Err(record.geometry("a direction was expected"));
            }
            let motion = reader.own_motion(record)?;
            let direction = record.vector(0)?.try_normalize();
            direction.map(|d| motion.direction(d)).ok_or_else(|| record.geometry("a direction needs three numbers, not all zero"))
        })
    }

    /// Point entity `number` (type 116), file units.
    pub(super) fn point(&mut self, number: u32) -> Result<Point3, Fault> {
        self.within(number, |reader, record| {
            if record.kind() != 116 {
                return Err(record.geometry("a point was expected"));
            }
            Ok(reader.own_motion(record)?.point(record.point(0)?))
        })
    }
}

/// A circular arc, counter-clockwise about z; a full turn where both ends are one. IGES 5.3, 4.3 (type 100).
fn arc(record: &Record) -> Result<(Circle, (f64, f64)), Fault> {
    let n = record.reals(0, 7)?;
    let &[z, x, y, sx, sy, ex, ey] = n.as_slice() else { return Err(record.geometry("it needs seven numbers")) };
    let radius = real::hypot(sx - x, sy - y);
    if radius.is_nan() || radius <= 0.0 {
        return Err(record.geometry("its radius is zero"));
    }
    let angle = |px: f64, py: f64| real::atan2(py - y, px - x);
    let t0 = positive(angle(sx, sy));
    let closed = sx == ex && sy == ey;
    let sweep = if closed { real::TAU } else { full_turn(angle(ex, ey) - t0) };
    let frame = Frame { origin: Point3::new(x, y, z), ..Frame::WORLD };
    Ok((Circle { frame, radius }, (t0, t0 + sweep)))
}

/// The angle within [0, 2π).
fn positive(angle: f64) -> f64 {
    if angle < 0.0 { angle + real::TAU } else { angle }
}

/// The angle plus or minus whole turns, in (0, 2π]: an arc without extent is a whole turn.
pub(super) fn full_turn(angle: f64) -> f64 {
    let turned = angle - (angle / real::TAU).floor() * real::TAU;
    // Ends that agree but for the rounding of their digits mean a full turn too.
    if turned < 1e-9 { real::TAU } else { turned }
}
