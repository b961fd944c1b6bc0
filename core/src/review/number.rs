//! Numbers as they are written: the shortest digits that read back, and never NaN or infinity.

use serde::{Serialize, Serializer, ser::Error};

/// A number that must be finite to be written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            // −0 and 0 are the same figure.
            serializer.serialize_f64(if self.0 == 0.0 { 0.0 } else { self.0 })
        } else {
            Err(S::Error::custom("a value is not a finite number"))
        }
    }
}

impl From<f64> for Number {
    fn from(x: f64) -> Self {
        Number(x)
    }
}

#[cfg(test)]
mod tests {
    use super::Number;

    #[test]
    fn writes_the_shortest_digits_and_refuses_what_is_no_number() {
        let text = |x| serde_json::to_string(&Number(x)).ok();
        assert_eq!(text(0.1), Some("0.1".into()));
        assert_eq!(text(-0.0), Some("0.0".into()));
        assert_eq!(text(1.0 / 3.0), Some("0.3333333333333333".into()));
        assert_eq!([text(f64::NAN), text(f64::INFINITY)], [None, None]);
    }
}
