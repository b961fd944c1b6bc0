//! Which zone each face of a model lies in.

use super::Zone;
use crate::model::FaceId;

/// The zones of a model's faces: a usual one, and the faces of which another is said.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Zones {
    usual: Zone,
    /// Faces of which something is said, rising, each once.
    said: Vec<(FaceId, Zone)>,
}

impl Zones {
    /// The same zone for every face.
    pub fn all(zone: Zone) -> Self {
        Self { usual: zone, said: Vec::new() }
    }

    /// Puts a face into a zone, whatever was said of it before.
    pub fn set(&mut self, face: FaceId, zone: Zone) {
        match self.said.binary_search_by_key(&face, |s| s.0) {
            Ok(at) => self.said.get_mut(at).into_iter().for_each(|s| s.1 = zone),
            Err(at) => self.said.insert(at, (face, zone)),
        }
    }

    /// The zone of faces of which nothing is said, and of what has no face.
    pub fn usual(&self) -> Zone {
        self.usual
    }

    /// The zone that what lies on these faces is held to: of several the most visible one, as a fault is seen from there (common
    /// practice, no source); without a face the usual one.
    pub fn of(&self, faces: &[FaceId]) -> Zone {
        faces.iter().map(|&f| self.one(f)).min().unwrap_or(self.usual)
    }

    /// The same of faces by their numbers, as records have them.
    pub fn of_numbers(&self, faces: &[usize]) -> Zone {
        self.of(&faces.iter().map(|&f| FaceId::new(f)).collect::<Vec<_>>())
    }

    /// True where the usual zone or that of some face is this one.
    pub fn uses(&self, zone: Zone) -> bool {
        self.usual == zone || self.said.iter().any(|s| s.1 == zone)
    }

    fn one(&self, face: FaceId) -> Zone {
        let at = self.said.binary_search_by_key(&face, |s| s.0).ok();
        at.and_then(|i| self.said.get(i)).map_or(self.usual, |s| s.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_faces_are_held_to_the_most_visible_of_their_zones() {
        let [a, b, c] = [0, 1, 2].map(FaceId::new);
        let mut zones = Zones::all(Zone::Secondary);
        assert_eq!((zones.of(&[]), zones.of(&[a]), zones.uses(Zone::Hidden)), (Zone::Secondary, Zone::Secondary, false));
        zones.set(c, Zone::Hidden);
        zones.set(a, Zone::Hidden);
        zones.set(a, Zone::Visible);
        assert_eq!([a, b, c].map(|f| zones.of(&[f])), [Zone::Visible, Zone::Secondary, Zone::Hidden]);
        assert_eq!((zones.of(&[c, b]), zones.of(&[b, c, a]), zones.of(&[c, c])), (Zone::Secondary, Zone::Visible, Zone::Hidden));
        assert_eq!([Zone::Visible, Zone::Secondary, Zone::Hidden].map(|z| zones.uses(z)), [true; 3]);
    }
}
