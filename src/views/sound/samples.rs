//! Patterns as samples, and samples as a WAV file.

use std::f64::consts::{PI, TAU};
use std::fs::File;
use std::io::{BufWriter, Seek, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use hound::{SampleFormat, WavSpec, WavWriter};

use super::cue::{Cue, Pattern, Tone, UNIT};

/// Samples a second, one channel.
pub const SAMPLE_RATE: u32 = 44_100;

/// Time that a tone takes to swell and to fade, so that nothing clicks.
pub const EDGE: Duration = Duration::from_millis(5);

/// Peak of a tone as a part of full scale: -6 dB, that is 10^(-6/20) (rounded up; AES17 counts from a full-scale sine).
pub const PEAK: f64 = 0.501_187;

/// The pattern as signed 16-bit samples at [`SAMPLE_RATE`]. It begins and ends at zero.
pub fn samples(pattern: Pattern) -> Vec<i16> {
    let mut all = Vec::with_capacity(count(pattern.duration()) + 1);
    for (index, &tone) in pattern.tones().iter().enumerate() {
        if index > 0 {
            all.resize(all.len() + count(UNIT), 0);
        }
        sound(tone, &mut all);
    }
    all
}

/// Adds a sine wave whose swell and fade follow a raised cosine.
fn sound(tone: Tone, into: &mut Vec<i16>) {
    let length = count(tone.length.duration());
    let edge = count(EDGE) as f64;
    let step = TAU * f64::from(tone.hertz) / f64::from(SAMPLE_RATE);
    into.extend((0..length).map(|index| {
        let from_end = index.min(length - 1 - index) as f64;
        let swell = if from_end < edge {
            0.5 - 0.5 * libm::cos(PI * from_end / edge)
        } else {
            1.0
        };
        let height = PEAK * f64::from(i16::MAX) * swell * libm::sin(step * index as f64);
        height.round() as i16
    }));
}

fn count(time: Duration) -> usize {
    (time.as_secs_f64() * f64::from(SAMPLE_RATE)).round() as usize
}

/// A sound could not be written into a file.
#[derive(Debug, thiserror::Error)]
#[error("cannot write the sound `{}`", file.display())]
pub struct SaveError {
    pub file: PathBuf,
    /// Answer of the system.
    #[source]
    pub source: hound::Error,
}

/// Writes a cue's pattern as a WAV file: one channel, 16 bit, [`SAMPLE_RATE`].
///
/// # Errors
/// If it cannot be written.
pub fn write_wav(cue: Cue, into: impl Write + Seek) -> Result<(), hound::Error> {
    let spec = WavSpec {
        channels: 1,
        sample_rate: SAMPLE_RATE,
        bits_per_sample: 16,
        sample_format: SampleFormat::Int,
    };
    let mut writer = WavWriter::new(into, spec)?;
    for sample in samples(cue.pattern()) {
        writer.write_sample(sample)?;
    }
    writer.finalize()
}

/// Makes `NAME.wav` of a cue in a folder; the path. A file that is there already is left alone.
///
/// # Errors
/// If there is such a file, or it cannot be written.
pub fn save(cue: Cue, folder: &Path) -> Result<PathBuf, SaveError> {
    let file = folder.join(format!("{}.wav", cue.name()));
    let written = File::create_new(&file)
        .map_err(hound::Error::IoError)
        .and_then(|opened| write_wav(cue, BufWriter::new(opened)));
    match written {
        Ok(()) => Ok(file),
        Err(source) => Err(SaveError { file, source }),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::views::sound::Cue;

    /// The samples of each tone, and of the silences between.
    fn pieces(cue: Cue) -> (Vec<(Tone, Vec<i16>)>, Vec<i16>) {
        let all = samples(cue.pattern());
        let (mut tones, mut silence, mut at) = (Vec::new(), Vec::new(), 0);
        for (index, &tone) in cue.pattern().tones().iter().enumerate() {
            if index > 0 {
                silence.extend_from_slice(&all[at..at + 2205]);
                at += 2205;
            }
            let length = (tone.length.duration().as_millis() * 441 / 10) as usize;
            tones.push((tone, all[at..at + length].to_vec()));
            at += length;
        }
        assert_eq!(at, all.len(), "{cue}");
        (tones, silence)
    }

    /// Power at one frequency: Goertzel's algorithm (G. Goertzel, Amer. Math. Monthly 65 (1958) 34-35).
    fn power(samples: &[i16], hertz: f64) -> f64 {
        let factor = 2.0 * libm::cos(TAU * hertz / f64::from(SAMPLE_RATE));
        let (mut last, mut before) = (0.0, 0.0);
        for &sample in samples {
            (last, before) = (f64::from(sample) + factor * last - before, last);
        }
        last * last + before * before - factor * last * before
    }

    /// The strongest frequency between 200 and 4000 Hz, to 1 Hz.
    fn strongest(samples: &[i16]) -> u16 {
        let powers = (200..4000).map(|hertz| (power(samples, f64::from(hertz)), hertz));
        let strongest = powers.max_by(|one, other| one.0.total_cmp(&other.0));
        strongest.unwrap().1
    }

    #[test]
    fn every_tone_has_the_frequency_of_the_table() {
        let mut heard = Vec::new();
        for &cue in Cue::ALL {
            for (tone, samples) in pieces(cue).0 {
                // Equal samples have equal frequencies.
                if heard.contains(&samples) {
                    continue;
                }
                let found = strongest(&samples);
                // A tone of 50 ms has a line some 20 Hz wide; its top is found to a few hertz.
                assert!(
                    found.abs_diff(tone.hertz) <= 3,
                    "{cue}: {found}, not {}",
                    tone.hertz
                );
                heard.push(samples);
            }
        }
    }

    /// Twice a period's count of zero crossings: independent of the sum above.
    #[test]
    fn zero_crossings_say_the_same() {
        for &cue in Cue::ALL {
            for (tone, samples) in pieces(cue).0 {
                let inner = &samples[221..samples.len() - 221];
                let crossings = inner
                    .windows(2)
                    .filter(|pair| (pair[0] < 0) != (pair[1] < 0))
                    .count();
                let expected =
                    2.0 * f64::from(tone.hertz) * inner.len() as f64 / f64::from(SAMPLE_RATE);
                assert!((crossings as f64 - expected).abs() <= 1.0, "{cue}");
            }
        }
    }

    #[test]
    fn tones_are_as_long_as_the_table_says_and_the_gaps_are_silent() {
        for &cue in Cue::ALL {
            let all = samples(cue.pattern());
            let seconds = all.len() as f64 / f64::from(SAMPLE_RATE);
            let expected = cue.pattern().duration().as_secs_f64();
            assert!((seconds - expected).abs() < 1e-3, "{cue}: {seconds} s");
            assert!(pieces(cue).1.iter().all(|&sample| sample == 0), "{cue}");
            assert_eq!((all[0], all[all.len() - 1]), (0, 0), "{cue}");
        }
    }

    /// 32767 times 10^(-6/20) is 16422.
    #[test]
    fn the_peak_is_6_db_below_full_scale() {
        for &cue in Cue::ALL {
            let peak = samples(cue.pattern())
                .iter()
                .map(|sample| sample.unsigned_abs())
                .max();
            assert!(
                peak.is_some_and(|peak| (16_300..=16_423).contains(&peak)),
                "{cue}: {peak:?}"
            );
        }
    }

    /// A click is a step. No step is greater than the steepest that a sine with such edges has: slope of the sine plus slope
    /// of the raised cosine, π/(2·edge).
    #[test]
    fn nothing_clicks() {
        for &cue in Cue::ALL {
            let steepest = cue
                .pattern()
                .tones()
                .iter()
                .map(|tone| TAU * f64::from(tone.hertz) + PI / (2.0 * EDGE.as_secs_f64()))
                .fold(0.0, f64::max);
            let largest = 16_423.0 * steepest / f64::from(SAMPLE_RATE) + 1.0;
            let all = samples(cue.pattern());
            for pair in all.windows(2) {
                let step = (f64::from(pair[1]) - f64::from(pair[0])).abs();
                assert!(step <= largest, "{cue}: a step of {step}");
            }
            // The first millisecond of a swell stays below a tenth of the peak.
            assert!(all[..44].iter().all(|sample| sample.abs() < 1_642), "{cue}");
        }
    }

    fn bytes(cue: Cue) -> Vec<u8> {
        let mut cursor = Cursor::new(Vec::new());
        write_wav(cue, &mut cursor).unwrap();
        cursor.into_inner()
    }

    /// Multimedia Programming Interface and Data Specifications 1.0 (IBM, Microsoft, 1991), "Waveform Audio File Format":
    /// RIFF size, `WAVE`, `fmt ` with tag 1 (PCM), channels, rate, bytes a second, block, bits, then `data`; little-endian.
    /// (The order of the fields is from memory.) Read here by hand, not by the library that wrote it.
    #[test]
    fn the_header_is_that_of_a_pcm_wave_file() {
        for &cue in Cue::ALL {
            let bytes = bytes(cue);
            let word = |at: usize| u16::from_le_bytes(bytes[at..at + 2].try_into().unwrap());
            let long = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
            assert_eq!(&bytes[..4], b"RIFF");
            assert_eq!(long(4) as usize, bytes.len() - 8);
            assert_eq!(&bytes[8..16], b"WAVEfmt ");
            assert_eq!((long(16), word(20), word(22)), (16, 1, 1));
            assert_eq!((long(24), long(28)), (44_100, 88_200));
            assert_eq!((word(32), word(34)), (2, 16));
            assert_eq!(&bytes[36..40], b"data");
            assert_eq!(long(40) as usize, bytes.len() - 44);
            let read: Vec<i16> = bytes[44..]
                .chunks_exact(2)
                .map(|pair| i16::from_le_bytes(pair.try_into().unwrap()))
                .collect();
            assert_eq!(read, samples(cue.pattern()), "{cue}");
        }
    }

    #[test]
    fn a_file_that_is_there_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let file = save(Cue::Pass, folder.path()).unwrap();
        assert_eq!(std::fs::read(&file).unwrap(), bytes(Cue::Pass));
        std::fs::write(&file, "mine").unwrap();
        let refused = save(Cue::Pass, folder.path()).unwrap_err();
        assert_eq!(refused.file, file);
        assert_eq!(std::fs::read(&file).unwrap(), b"mine");
    }
}
