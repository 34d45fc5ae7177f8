//! A material by its word in a table or policy.

use toml::Spanned;

use crate::engine::judge::toml_error::{Source, TomlError};
use crate::engine::parts::Material;

/// The material that a table's word means.
pub(in crate::engine::judge) fn read(
    source: Source<'_>,
    word: &Spanned<String>,
) -> Result<Material, TomlError> {
    Material::named(word.get_ref()).ok_or_else(|| {
        source.fault(
            "material",
            word,
            "a material such as `paper` or `electrolytic`",
        )
    })
}
