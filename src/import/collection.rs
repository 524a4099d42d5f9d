//! A `GeoJSON` collection before its features are understood.

use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, Error as _, SeqAccess, Visitor};
use serde_json::value::RawValue;

/// Most features of a collection (our own choice: ten times those of a plan).
pub(crate) const MAX_FEATURES: usize = 200_000;

#[derive(Deserialize)]
#[serde(expecting = "a FeatureCollection")]
pub(crate) struct Collection<'t> {
    #[serde(rename = "type")]
    kind: Option<String>,
    #[serde(borrow)]
    features: Option<Features<'t>>,
}

/// A list of features, not longer than it may be.
struct Features<'t>(Vec<&'t RawValue>);

impl<'t> Collection<'t> {
    pub(crate) fn kind(&self) -> &str {
        self.kind.as_deref().unwrap_or_default()
    }

    /// Its features; nothing if it is no `FeatureCollection`.
    pub(crate) fn features(self) -> Option<Vec<&'t RawValue>> {
        let is_one = self.kind() == "FeatureCollection";
        self.features.filter(|_| is_one).map(|features| features.0)
    }
}

impl<'de: 't, 't> Deserialize<'de> for Features<'t> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Features<'de>;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a list of features")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut features = Vec::new();
                while let Some(feature) = list.next_element::<&RawValue>()? {
                    if features.len() == MAX_FEATURES {
                        let what = format!("there are more than {MAX_FEATURES} features");
                        return Err(A::Error::custom(what));
                    }
                    features.push(feature);
                }
                Ok(Features(features))
            }
        }
        from.deserialize_seq(Reader)
    }
}
