//! Work of the benches: a talk-only meter of 1,000 readings a second, touched for 2.6 s and lifted for 1 s in turn.

use probewright::face::engine::meter::{Profile, shipped_profile};

/// Readings of one part, touch and air.
pub(crate) const PER_PART: u64 = 3600;
const TOUCHED: u64 = 2600;

/// Name and text of the profile.
pub(crate) fn profile_text() -> (&'static str, &'static str) {
    let shipped = shipped_profile("talk-only-line-meter").unwrap();
    (shipped.name, shipped.text)
}

/// The profile.
pub(crate) fn profile() -> Profile {
    let (name, text) = profile_text();
    Profile::parse(text, name).unwrap()
}

/// The lines that the meter sends, each with its end. The value scatters by a count and approaches exponentially at first.
pub(crate) struct Lines {
    rng: fastrand::Rng,
    next: u64,
    line: Vec<u8>,
}

impl Lines {
    pub(crate) fn new() -> Self {
        Self {
            rng: fastrand::Rng::with_seed(1),
            next: 0,
            line: Vec::new(),
        }
    }

    pub(crate) fn next(&mut self) -> &[u8] {
        use std::io::Write;
        let within = self.next % PER_PART;
        self.next += 1;
        self.line.clear();
        if within < PER_PART - TOUCHED {
            self.line.extend_from_slice(b"OL MOHM\r\n");
        } else {
            let since = (within - (PER_PART - TOUCHED)) as f64 / 1000.0;
            let value = 4.7 * (1.0 - libm::exp(-since / 0.05));
            let counts = (value * 1000.0).round() as i64 + self.rng.i64(-1..=1);
            write!(
                self.line,
                "{}.{:03} KOHM\r\n",
                counts.max(0) / 1000,
                counts.max(0) % 1000
            )
            .unwrap();
        }
        &self.line
    }
}
