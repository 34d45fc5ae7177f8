//! [`Name`]: what the name of a circuit node, or a role, hints at.
//!
//! Names are read loosely, since a mains capacitor that is taken for an ordinary one can kill, and one that is wrongly taken for
//! a mains capacitor is only asked about. The lists of words are common practice, no source.

/// Words that speak of the mains whatever stands beside them; parts of longer words count.
const MAINS: [&str; 7] = [
    "mains",
    "neutral",
    "netz",
    "secteur",
    "nulleiter",
    "nullleiter",
    "autotransformer",
];

/// Words that speak of the mains, unless one of [`PLAINLY_ELSEWHERE`] stands beside them.
const HINTS: [&str; 25] = [
    "live",
    "line",
    "lines",
    "phase",
    "ph",
    "hot",
    "ac",
    "~",
    "acin",
    "acl",
    "acn",
    "vac",
    "lin",
    "nin",
    "plug",
    "inlet",
    "cord",
    "flex",
    "dropper",
    "barretter",
    "fase",
    "rete",
    "linea",
    "entry",
    "supplyin",
];

/// Words for what lies beside the mains in most equipment, unless one of [`PLAINLY_ELSEWHERE`] stands beside them.
const BESIDE: [&str; 8] = [
    "fuse",
    "fuses",
    "fuseholder",
    "switch",
    "primary",
    "pri",
    "prim",
    "onoff",
];

/// Words beside which a hint such as `line` or `switch` speaks of something else: `AVC line`, `wave switch`, `HT fuse`.
const PLAINLY_ELSEWHERE: [&str; 54] = [
    "avc",
    "agc",
    "afc",
    "ht",
    "hv",
    "b+",
    "ht+",
    "heater",
    "heaters",
    "filament",
    "bias",
    "delay",
    "signal",
    "audio",
    "wave",
    "wavechange",
    "waveband",
    "band",
    "bandswitch",
    "range",
    "tone",
    "treble",
    "bass",
    "gram",
    "gramophone",
    "radio",
    "pu",
    "pickup",
    "selectivity",
    "opt",
    "grid",
    "anode",
    "plate",
    "cathode",
    "screen",
    "secondary",
    "sec",
    "loudspeaker",
    "speaker",
    "sync",
    "field",
    "scan",
    "timebase",
    "tuned",
    "tuning",
    "oscillator",
    "osc",
    "coil",
    "volume",
    "tape",
    "feedback",
    "meter",
    "interstage",
    "driver",
];

/// Words beside which `line` and `primary` speak of something else, but `switch` and `fuse` do not.
const OF_A_SIGNAL: [&str; 6] = ["output", "if", "aerial", "antenna", "matching", "stereo"];

/// Words for what people touch, or may connect to it.
const TOUCHED: [&str; 27] = [
    "aerial",
    "aerials",
    "antenna",
    "ant",
    "ae",
    "dipole",
    "socket",
    "sockets",
    "terminal",
    "terminals",
    "jack",
    "pickup",
    "gramophone",
    "gram",
    "phono",
    "pu",
    "mic",
    "microphone",
    "headphone",
    "headphones",
    "phones",
    "extension",
    "case",
    "cabinet",
    "metalwork",
    "knob",
    "spindle",
];

/// Words beside which an aerial or a pick-up is a circuit inside the equipment.
const INSIDE: [&str; 20] = [
    "coil",
    "secondary",
    "sec",
    "valve",
    "transformer",
    "tuned",
    "tuning",
    "grid",
    "anode",
    "cathode",
    "screen",
    "amplifier",
    "stage",
    "wiper",
    "volume",
    "circuit",
    "switch",
    "selector",
    "trimmer",
    "padder",
];

/// Words of a name that tells nothing: a number or the place of a soldering tag.
const EMPTY: [&str; 21] = [
    "tag", "tagstrip", "strip", "node", "net", "pin", "point", "wire", "lug", "board", "panel",
    "side", "end", "other", "one", "the", "of", "lead", "unknown", "n/a", "x",
];

/// Hints of a name; several at once where it can be read in several ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "a name may hint at any of them at once"
)]
pub(super) struct Hints {
    /// The mains side.
    pub(super) mains: bool,
    pub(super) chassis: bool,
    /// Earth or ground, which on many a drawing means the chassis.
    pub(super) earth: bool,
    /// The negative return of the supply.
    pub(super) negative: bool,
    /// Aerial, socket or whatever else people touch.
    pub(super) touched: bool,
    /// Neither this nor a name that tells nothing: somewhere in the circuit.
    pub(super) circuit: bool,
}

/// A name in small letters, as words.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Name(Vec<String>);

impl Name {
    /// Words are runs of letters and digits, initials with points between are one, and a sign stays with `B`, `HT` and `0V`.
    pub(super) fn of(text: &str) -> Self {
        let mut words: Vec<String> = Vec::new();
        let (mut open, mut initials, mut last) = (false, false, ' ');
        let mut letters = text.chars().peekable();
        while let Some(letter) = letters.next() {
            let ends = !letters.peek().is_some_and(|next| next.is_alphanumeric());
            let word = words.last_mut().filter(|_| open);
            if letter.is_alphanumeric() {
                match word.filter(|_| !(last.is_lowercase() && letter.is_uppercase())) {
                    Some(word) => word.extend(letter.to_lowercase()),
                    None => words.push(letter.to_lowercase().collect()),
                }
                initials = initials && last == '.' && ends;
                open = true;
            } else if letter == '.'
                && word.is_some_and(|word| initials || word.chars().count() == 1)
            {
                initials = true;
            } else {
                let supply = words
                    .last_mut()
                    .filter(|word| matches!(word.as_str(), "b" | "ht" | "0v"));
                match (letter, supply) {
                    ('+', Some(word)) if ends => word.push('+'),
                    ('-' | '−' | '–', Some(word)) if ends => word.push('-'),
                    ('~', _) => words.push("~".to_owned()),
                    _ => {}
                }
                (open, initials) = (false, false);
            }
            last = letter;
        }
        Self(words)
    }

    pub(super) fn is_blank(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn has(&self, word: &str) -> bool {
        self.0.iter().any(|own| own == word)
    }

    /// Whether one of the words stands in it, with a number behind it or without.
    fn has_any(&self, words: &[&str]) -> bool {
        let digits = |letter: char| letter.is_ascii_digit();
        let is = |own: &String| {
            words.contains(&own.as_str()) || words.contains(&own.trim_end_matches(digits))
        };
        self.0.iter().any(is)
    }

    /// Whether a phrase stands in it, word by word; `the` is passed over.
    pub(super) fn says(&self, phrase: &str) -> bool {
        let words: Vec<&str> = self
            .0
            .iter()
            .map(String::as_str)
            .filter(|word| *word != "the")
            .collect();
        let phrase: Vec<&str> = phrase.split(' ').collect();
        words.windows(phrase.len()).any(|window| window == phrase)
    }

    /// The name cut in two behind each of its words, the longest beginning first: `L3 top` is `L3 top` and nothing, `L3` and `top`.
    pub(super) fn cuts(&self) -> impl Iterator<Item = (Self, Self)> + '_ {
        (1..=self.0.len()).rev().map(|at| {
            let (own, rest) = self.0.split_at(at);
            (Self(own.to_vec()), Self(rest.to_vec()))
        })
    }

    /// Whether it speaks of the mains, whatever else it says.
    pub(super) fn speaks_of_mains(&self) -> bool {
        let strong = |word: &String| MAINS.iter().any(|mains| word.contains(mains));
        self.0.iter().any(strong)
    }

    /// Whether a word hints at the mains, and none beside it says that something else is meant.
    pub(super) fn hints_at_mains(&self) -> bool {
        let conductor = self.0.first().is_some_and(|word| is_conductor(word));
        let elsewhere = self.has_any(&PLAINLY_ELSEWHERE);
        let of_signal = self.has_any(&OF_A_SIGNAL) && !self.has_any(&["switch", "fuse"]);
        let number = |word: &String| is_conductor(word) || is_mains_volts(word);
        let hint = self.has_any(&HINTS) || self.has_any(&BESIDE) || self.0.iter().any(number);
        self.speaks_of_mains() || conductor || (!elsewhere && !of_signal && hint)
    }

    /// Whether nothing but `fuse`, `switch` or the like hints at the mains.
    pub(super) fn is_beside(&self) -> bool {
        let other = |word: &&String| !BESIDE.contains(&word.as_str());
        !Self(self.0.iter().filter(other).cloned().collect()).hints_at_mains()
    }

    /// Whether it is where the mains of a set without a transformer reaches the rectifier.
    pub(super) fn is_rectifier_anode(&self) -> bool {
        self.has_any(&["rectifier", "rect"]) && self.has_any(&["anode", "plate"])
    }

    /// Its hints as the name of a node.
    pub(super) fn hints(&self) -> Hints {
        let chassis = self.has("chassis");
        let earth = self.has_any(&[
            "earth", "earthed", "ground", "grounded", "gnd", "pe", "erde", "masse",
        ]) || self.is_only(&["e", "a", "1", "2"]) && self.has("e");
        let only_adjectives = {
            let own = |word: &&String| {
                !matches!(
                    word.as_str(),
                    "mains" | "line" | "ac" | "plug" | "inlet" | "safety"
                )
            };
            let rest = Self(self.0.iter().filter(own).cloned().collect());
            !rest.hints_at_mains()
        };
        let negative = self.has_any(&["b-", "ht-", "0v", "0v-"])
            || (self.has_any(&["negative", "common", "minus", "neg"])
                && self.is_only(&[
                    "negative", "common", "minus", "neg", "rail", "line", "ht", "bus", "supply",
                    "return", "b",
                ]));
        let aerial_letter = self.is_only(&["a", "e", "1", "2"]) && self.has("a");
        let pick_up = self.has("pick") && self.has("up");
        let touched =
            aerial_letter || ((pick_up || self.has_any(&TOUCHED)) && !self.has_any(&INSIDE));
        let mains = self.hints_at_mains() && !negative && !((earth || chassis) && only_adjectives);
        let any = mains || chassis || earth || negative || touched;
        Hints {
            mains,
            chassis,
            earth,
            negative,
            touched,
            circuit: !any && !self.0.iter().all(|word| is_empty(word)),
        }
    }

    fn is_only(&self, words: &[&str]) -> bool {
        self.0.iter().all(|word| words.contains(&word.as_str()))
    }
}

/// `L`, `N`, `L1`, `N2`; with three figures it is the name of a node in a list that a drawing program made.
fn is_conductor(word: &str) -> bool {
    let number = word.strip_prefix(['l', 'n']);
    number.is_some_and(|number| {
        number.len() < 3 && number.bytes().all(|digit| digit.is_ascii_digit())
    })
}

/// `230vac`, `117vac`.
fn is_mains_volts(word: &str) -> bool {
    let volts = word
        .strip_suffix("vac")
        .and_then(|volts| volts.parse::<u32>().ok());
    volts.is_some_and(|volts| (90..=450).contains(&volts))
}

/// A word that tells nothing: a number, `n003`, `tag`.
fn is_empty(word: &str) -> bool {
    let number = word.trim_start_matches('n');
    EMPTY.contains(&word) || number.chars().all(|letter| letter.is_ascii_digit())
}
