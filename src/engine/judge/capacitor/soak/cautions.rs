//! What a person must know before a part gets its rated voltage.

/// To be shown and agreed to before any soak: applying rated voltage to a capacitor can kill.
///
/// General guidance, no source: local codes and licensed practice come first.
pub const SOAK_CAUTIONS: [&str; 8] = [
    "Rated voltage of a valve set's capacitor kills. Keep to your local codes, and leave to licensed practice what is theirs.",
    "Take the part out of the equipment, which stays unplugged, or lift one lead.",
    "Use a supply with a current limit of a few milliamperes and a resistor in series. Mind the polarity.",
    "Raise the voltage in steps on an old electrolytic: its oxide must form anew before its leakage says anything. Time counts from the moment at which the full voltage stands at the part.",
    "Cover the part and keep your face away: an electrolytic that fails can burst and spray hot electrolyte.",
    "One hand, dry floor, nothing conducting on you, nobody else near, and somebody in the house who knows what you do.",
    "Switch off at once if the part gets warm, hisses or smells, or if its current rises.",
    "Afterwards discharge the part through a resistor, verify with a voltmeter that it stays discharged, and wait: a charge comes back by itself.",
];
