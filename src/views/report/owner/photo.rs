//! [`Photo`]: a picture that goes into the report.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use thiserror::Error;

/// A picture that goes into the report, whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Name of its file.
    pub name: String,
    /// Text of the `.txt` beside it, or the name of its file.
    pub caption: String,
    media_type: &'static str,
    bytes: Vec<u8>,
}

/// A file is no picture that a report can show.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{name}` is left out: it does not begin as a JPEG, PNG or WebP picture does")]
pub struct NoPhoto {
    /// Name of the file.
    pub name: String,
}

impl Photo {
    /// The picture in these bytes. What kind it is follows from how it begins, whatever its name ends with.
    ///
    /// # Errors
    /// If it begins like none of the kinds that a report can show.
    pub fn new(name: &str, caption: &str, bytes: Vec<u8>) -> Result<Self, NoPhoto> {
        let media_type = media_type(&bytes).ok_or_else(|| NoPhoto {
            name: name.to_owned(),
        })?;
        Ok(Self {
            name: name.to_owned(),
            caption: caption.to_owned(),
            media_type,
            bytes,
        })
    }

    /// The picture as a `data:` address (RFC 2397).
    pub(super) fn address(&self) -> String {
        let mut address = format!("data:{};base64,", self.media_type);
        STANDARD.encode_string(&self.bytes, &mut address);
        address
    }
}

/// Beginnings of files: PNG by ISO/IEC 15948, 5.2 (signature); JPEG by ISO/IEC 10918-1, B.1.1.3 (start of image, and the 0xFF of
/// the next marker); WebP by RFC 9649, 2.3. The clauses from memory.
fn media_type(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(b"\xff\xd8\xff") {
        Some("image/jpeg")
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some("image/webp")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_becomes_an_address_that_holds_it() {
        let photo = Photo::new("a.jpg", "", b"\xff\xd8\xff\xe0".to_vec()).unwrap();
        // RFC 4648, section 4: groups of six bits 111111 111101 100011 111111, 111000 00(0000) of FF D8 FF E0.
        assert_eq!(photo.address(), "data:image/jpeg;base64,/9j/4A==");
    }

    #[test]
    fn what_only_has_the_name_of_a_picture_is_refused_by_name() {
        for bytes in [
            &b""[..],
            b"<svg onload=alert(1)>",
            b"RIFF1234WAVE",
            b"GIF89a",
        ] {
            let error = Photo::new("chassis.png", "", bytes.to_vec()).unwrap_err();
            assert!(error.to_string().contains("`chassis.png`"), "{error}");
        }
    }
}
