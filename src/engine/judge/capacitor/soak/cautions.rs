//! Cautions before a part gets its rated voltage.

/// To be shown and agreed to, one by one, before the first soak of a sitting: applying rated voltage to a capacitor can kill.
/// Each is short enough to be read whole on the smallest board.
///
/// General guidance, no source: local codes and licensed practice come first.
pub const SOAK_CAUTIONS: [&str; 8] = [
    "Rated voltage kills. Follow your local codes, and leave licensed work to licensed people.",
    "Take the part out of the equipment, which stays unplugged, or lift one lead.",
    "Use a supply with a current limit of a few milliamperes and a resistor in series. Mind the polarity.",
    "On an old electrolytic raise it in steps: the oxide must form again first. Time counts from full voltage.",
    "Cover the part and keep your face away: an electrolytic that fails can burst and spray hot electrolyte.",
    "One hand, dry floor, nothing conducting on you, nobody near, and somebody in the house told of it.",
    "Switch off at once if the part gets warm, hisses or smells, or if its current rises.",
    "Then discharge it through a resistor and verify that it stays so: a charge comes back by itself.",
];
