//! The packed joins: lines to draw over the model, with their measures at every station.
//!
//! Little endian: magic, version, number of joins, number of stations (`u32`), origin (3 `f64`),
//! then per join its id and its station count (`u32`), then all points (3 `f32` a station,
//! relative to the origin, mm) and all values (five `f32` a station: see [`MEASURES`]).

use crate::bytes::{PacketError, Reader, Writer};

const MAGIC: u32 = u32::from_le_bytes(*b"RLJO");
const VERSION: u32 = 1;

/// The measures of a station in order: gap (mm), angle (deg), curvature jump (1/mm), the same
/// relative (1 = 100 %), curvature-slope jump relative (1 = 100 %).
pub const MEASURES: [&str; 5] = ["g0", "g1", "g2", "g2_rel", "g3"];

/// All joins of a model.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JoinsPacket {
    /// Point that the stations' points are relative to, mm.
    pub origin: [f64; 3],
    /// The joins.
    pub joins: Vec<JoinLine>,
}

/// One join as a line with values.
#[derive(Clone, Debug, PartialEq)]
pub struct JoinLine {
    /// Id of the join.
    pub id: u32,
    /// Points along the join relative to the packet's origin, mm.
    pub points: Vec<[f32; 3]>,
    /// One row of measures a point; not a number where a measure does not apply.
    pub values: Vec<[f32; MEASURES.len()]>,
}

impl JoinsPacket {
    /// The packet as bytes.
    pub fn write(&self) -> Vec<u8> {
        let stations = self.joins.iter().map(|j| j.points.len()).sum::<usize>();
        let mut w = Writer::default();
        w.u32s(&[MAGIC, VERSION, saturate(self.joins.len()), saturate(stations)]);
        w.f64s(&self.origin);
        for join in &self.joins {
            w.u32s(&[join.id, saturate(join.points.len())]);
        }
        for join in &self.joins {
            w.f32s(join.points.as_flattened());
        }
        for join in &self.joins {
            w.f32s(join.values.as_flattened());
        }
        w.finish()
    }

    /// Reads a packet; errors when it is not one or is cut short.
    pub fn read(bytes: &[u8]) -> Result<JoinsPacket, PacketError> {
        let mut r = Reader::new(bytes);
        if r.u32()? != MAGIC {
            return Err(PacketError::Kind);
        }
        let version = r.u32()?;
        if version != VERSION {
            return Err(PacketError::Version(version));
        }
        let (count, stations) = (r.count()?, r.count()?);
        let origin = r.f64_array()?;
        let heads = r.u32s(count.checked_mul(2).ok_or(PacketError::Short)?)?;
        let points = r.f32s(stations.checked_mul(3).ok_or(PacketError::Short)?)?;
        let values = r.f32s(stations.checked_mul(MEASURES.len()).ok_or(PacketError::Short)?)?;
        let (mut points, mut values) = (points.as_chunks().0, values.as_chunks().0);
        let mut joins = Vec::with_capacity(count);
        for [id, n] in heads.as_chunks().0 {
            let n = usize::try_from(*n).map_err(|_| PacketError::Short)?;
            let (p, p_rest) = points.split_at_checked(n).ok_or(PacketError::Range)?;
            let (v, v_rest) = values.split_at_checked(n).ok_or(PacketError::Range)?;
            joins.push(JoinLine { id: *id, points: p.to_vec(), values: v.to_vec() });
            (points, values) = (p_rest, v_rest);
        }
        Ok(JoinsPacket { origin, joins })
    }
}

fn saturate(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet() -> JoinsPacket {
        let line = |id: u32, n: u16| JoinLine {
            id,
            points: (0..n).map(|i| [f32::from(i), 0.5, -f32::from(i)]).collect(),
            values: (0..n).map(|i| [0.1, f32::from(i), 0.0, 0.25, 1.0]).collect(),
        };
        JoinsPacket { origin: [5.0, 1e4, -3.0], joins: vec![line(7, 3), line(9, 0), line(2, 5)] }
    }

    #[test]
    fn joins_come_back() {
        assert_eq!(JoinsPacket::read(&packet().write()), Ok(packet()));
        let none = JoinsPacket::default();
        assert_eq!(JoinsPacket::read(&none.write()), Ok(none));
    }

    #[test]
    fn every_cut_is_refused() {
        let bytes = packet().write();
        for n in 0..bytes.len() {
            assert!(JoinsPacket::read(&bytes[..n]).is_err(), "cut at {n}");
        }
    }
}
