//! A material by its word in a table or policy.

use toml::Spanned;

use crate::engine::parts::Material;
use crate::engine::source::{TextError, TomlText};

/// The material that a table's word means.
pub(in crate::engine::judge) fn read(
    source: TomlText<'_>,
    word: &Spanned<String>,
) -> Result<Material, TextError> {
    Material::named(word.get_ref()).ok_or_else(|| {
        source.fault(
            "material",
            word,
            "a material such as `paper` or `electrolytic`",
        )
    })
}
