//! Patterns as WAV files.

use std::fs::File;
use std::io::{BufWriter, Seek, Write};
use std::path::{Path, PathBuf};

use hound::{SampleFormat, WavSpec, WavWriter};

use super::cue::Cue;
use super::samples::{SAMPLE_RATE, samples};

/// A sound could not be written into a file.
#[derive(Debug, thiserror::Error)]
#[error("cannot write the sound `{}`", file.display())]
pub struct SaveError {
    /// The file.
    pub file: PathBuf,
    /// What the system says.
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
        for cue in Cue::ALL {
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
