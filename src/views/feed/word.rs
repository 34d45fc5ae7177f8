//! Quantities and verdicts as the words that files and screens use for them.

/// A quantity by its name.
pub(super) mod quantity {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serializer};

    use crate::engine::quantity::Quantity;

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde calls it with a reference"
    )]
    pub(in crate::views::feed) fn serialize<S: Serializer>(
        quantity: &Quantity,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        to.serialize_str(quantity.name())
    }

    pub(in crate::views::feed) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Quantity, D::Error> {
        let word = String::deserialize(from)?;
        Quantity::named(&word).ok_or_else(|| {
            D::Error::custom(format!(
                "found `{word}`, expected a quantity: {}",
                Quantity::names()
            ))
        })
    }
}

/// A verdict by its name.
pub(super) mod verdict {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serializer};

    use crate::engine::judge::Verdict;

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde calls it with a reference"
    )]
    pub(in crate::views::feed) fn serialize<S: Serializer>(
        verdict: &Verdict,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        to.serialize_str(verdict.name())
    }

    pub(in crate::views::feed) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Verdict, D::Error> {
        let word = String::deserialize(from)?;
        named(&word).ok_or_else(|| D::Error::custom(format!("found `{word}`, expected a verdict")))
    }

    pub(super) fn named(word: &str) -> Option<Verdict> {
        Verdict::ALL
            .into_iter()
            .find(|verdict| verdict.name() == word)
    }
}

/// A verdict that may be lacking.
pub(super) mod maybe_verdict {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::engine::judge::Verdict;

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        clippy::ref_option,
        reason = "serde calls it with a reference"
    )]
    pub(in crate::views::feed) fn serialize<S: Serializer>(
        verdict: &Option<Verdict>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        verdict.map(Verdict::name).serialize(to)
    }

    pub(in crate::views::feed) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Verdict>, D::Error> {
        let Some(word) = Option::<String>::deserialize(from)? else {
            return Ok(None);
        };
        super::verdict::named(&word)
            .map(Some)
            .ok_or_else(|| D::Error::custom(format!("found `{word}`, expected a verdict")))
    }
}
