//! [`Proxy`]: stands between a meter and the program, and spoils what the meter says, by seed.

use fastrand::Rng;

/// Fate of something that the meter sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Passed {
    /// These bytes come, so many milliseconds after what came before them.
    Bytes(u64, Vec<u8>),
    /// The meter is off for so many milliseconds, and what it was set to is forgotten.
    Restarts(u64),
    /// The cable is pulled for so many milliseconds.
    Pulled(u64),
}

/// Spoils lines.
#[derive(Debug)]
pub(super) struct Proxy {
    rng: Rng,
    /// The share of lines that something happens to.
    share: f64,
}

impl Proxy {
    pub(super) fn new(seed: u64, share: f64) -> Self {
        let rng = Rng::with_seed(seed);
        Self { rng, share }
    }

    /// Fate of a line, with its end.
    pub(super) fn pass(&mut self, line: &[u8]) -> Vec<Passed> {
        let at_once = |bytes: &[u8]| Passed::Bytes(0, bytes.to_vec());
        if self.rng.f64() >= self.share {
            return vec![at_once(line)];
        }
        let rng = &mut self.rng;
        let place = rng.usize(..line.len());
        match rng.u8(..20) {
            0..3 => Vec::new(),
            3..6 => vec![at_once(line), at_once(line)],
            6..9 => {
                let mut damaged = line.to_vec();
                damaged[place] = rng.u8(..);
                vec![at_once(&damaged)]
            }
            9..11 => {
                // Bytes are lost, perhaps the end of the line.
                let end = rng.usize(place..=line.len());
                vec![at_once(&[&line[..place], &line[end..]].concat())]
            }
            11..14 => vec![Passed::Bytes(rng.u64(50..3000), line.to_vec())],
            14..16 => vec![
                at_once(&line[..place]),
                Passed::Bytes(rng.u64(10..600), line[place..].to_vec()),
            ],
            16..18 => {
                let mut flood: Vec<u8> = (0..rng.usize(500..6000)).map(|_| rng.u8(..)).collect();
                flood.push(b'\n');
                vec![at_once(&flood), at_once(line)]
            }
            18 => vec![Passed::Restarts(rng.u64(500..4000))],
            _ => vec![Passed::Pulled(rng.u64(200..2000))],
        }
    }
}
