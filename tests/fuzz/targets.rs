//! Targets that any bytes at all are given to: each comes to an end by itself, whatever they are. The fuzz targets and the tests over
//! their corpora call these.

use std::io::Cursor;
use std::sync::Arc;

use probewright::face::bench::recording::{Flaw, survey_of};
use probewright::face::books::ledger::Decision;
use probewright::face::engine::meter::{Conversation, Profile, shipped_profiles};
use probewright::face::engine::parts::{self, ListSettings};
use probewright::face::engine::quantity::{Quantity, Stamp};
use probewright::face::engine::settings::Settings;
use probewright::face::engine::sitting::Command;

/// A table as anybody may have saved it: as a parts list and as decisions; and the settings of a job.
#[allow(dead_code, reason = "each fuzz target has one of these")]
pub fn table(bytes: &[u8]) {
    let _ = parts::read(bytes, &ListSettings::default());
    let _ = Decision::read_all(bytes);
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = Settings::parse(text);
        if let Ok(command) = text.parse::<Command>() {
            assert_eq!(command.to_string().parse(), Ok(command));
        }
    }
}

/// A recording: what is altered is never taken for sound.
#[allow(dead_code, reason = "each fuzz target has one of these")]
pub fn recording(bytes: &[u8]) {
    let Ok(survey) = survey_of(Cursor::new(bytes.to_vec()), "fuzzed.rec") else {
        return;
    };
    let says = survey
        .problems
        .iter()
        .any(|problem| matches!(problem.flaw, Flaw::Seal { .. }));
    assert!(!(says && survey.is_whole()));
}

/// Bytes of a meter, in portions of eleven, to every shipped profile.
#[allow(dead_code, reason = "each fuzz target has one of these")]
pub fn line(bytes: &[u8]) {
    for shipped in shipped_profiles() {
        let profile = Profile::parse(shipped.text, shipped.name).expect("it is shipped");
        let mut conversation = Conversation::new(Arc::new(profile));
        let _ = conversation.measure(Quantity::Resistance, Stamp::ZERO);
        conversation.link_up(Stamp::ZERO);
        for (millis, portion) in (0..).zip(bytes.chunks(11)) {
            let now = Stamp::from_micros(millis * 300_000);
            conversation.tick(now, &mut |_| ());
            conversation.receive(portion, now, &mut |_| ());
            while conversation.transmit().is_some() {}
        }
    }
}

/// The text of a device profile.
#[allow(dead_code, reason = "each fuzz target has one of these")]
pub fn profile(bytes: &[u8]) {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = Profile::parse(text, "fuzzed");
    }
}
