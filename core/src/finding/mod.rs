//! What a check says: measures by id, values with units, places, severities and the yardstick. Plain data, no logic
//! beyond looking up a limit and changing one.

mod asked;
mod measure_id;
mod pass;
mod place;
mod record;
mod severity;
mod yardstick;
mod zones;

pub use asked::{Asked, AskedError};
pub use measure_id::{MeasureId, Unit};
pub use pass::Pass;
pub use place::Place;
pub use record::Finding;
pub use severity::Severity;
pub use yardstick::{Limits, Row, Sense, Yardstick, Zone};
pub use zones::Zones;
