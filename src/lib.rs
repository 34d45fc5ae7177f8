//! Hands-free measuring of every part of an old chassis.
//!
//! # The way of a reading
//! bytes (`bench::link`) → `bench::recording` → lines → reply grammar → `engine::meter::Reading` → `engine::probing`
//! → settled value → `engine::sitting` tags it to the part in hand → `engine::judge` → verdict → events
//! → results CSV (`books::results`), lines and words (`views::told`), the state of every other view (`views::state`), and to the
//! ear (`views::sound`). A replay starts at `bench::recording` and takes the same way.
//!
//! # The wings
//! `engine` is pure; `bench` is where the world comes in; `books` keep a job over weeks; `views` tell people; `cli` parses
//! arguments and prints. Arrows point down only: cli → views → books → bench → engine. `platform` holds what the operating system
//! does differently; it uses none of them, and the engine does not use it.

/// Gives an enum that derives `VariantArray` and `IntoStaticStr` its list and its words, as far as they are asked for.
macro_rules! words {
    ($enum:ident: $($item:ident),+) => {
        impl $enum {
            $(words! { @$item })+
        }
    };
    (@ALL) => {
        /// Every variant, in the order of the declaration.
        pub const ALL: [Self; <Self as strum::VariantArray>::VARIANTS.len()] =
            *<Self as strum::VariantArray>::VARIANTS
                .first_chunk()
                .expect("all of them");
    };
    (@name) => {
        /// The word for it in files and for people.
        pub fn name(self) -> &'static str {
            self.into()
        }
    };
    (@named) => {
        /// The variant of that word; `None` if there is none.
        pub fn named(word: &str) -> Option<Self> {
            Self::ALL.into_iter().find(|one| one.name() == word)
        }
    };
}

mod bench;
mod books;
mod cli;
mod engine;
mod platform;
mod views;

pub mod face;

pub use cli::manual::topics as manual;
pub use cli::run;
