//! Parts that the tests of links and of the simulated meter share.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::time::Duration;

use probewright::face::bench::simulator::{
    BenchClock, Options, Probes, RangeChange, Running, Serve, SimulatedMeter,
};

/// Longer than anything takes that is going to happen at all.
pub(crate) const PATIENCE: Duration = Duration::from_secs(20);

/// A place for a terminal; the directory goes when the first value is dropped.
pub(crate) fn terminal() -> (tempfile::TempDir, Serve) {
    let directory = tempfile::tempdir().unwrap();
    let serve = Serve::Terminal {
        directory: directory.path().to_owned(),
        name: "meter".to_owned(),
    };
    (directory, serve)
}

/// A clock ten times as fast as real time, and a meter of 100 readings in a simulated second that changes ranges silently.
pub(crate) fn parts(serve: Serve) -> (BenchClock, Options) {
    let options = Options {
        serve,
        readings_per_second: 100.0,
        range_change: RangeChange::Silent,
        ..Options::default()
    };
    (BenchClock::new(10.0).unwrap(), options)
}

/// Such a meter, switched on, and its probes.
pub(crate) fn meter(serve: Serve) -> (Probes, Running) {
    let (clock, options) = parts(serve);
    start(clock, options)
}

/// A meter of one's own choice, switched on, and its probes.
pub(crate) fn start(clock: BenchClock, options: Options) -> (Probes, Running) {
    let probes = Probes::new(clock, 1);
    let running = SimulatedMeter::start(options, probes.clone()).unwrap();
    (probes, running)
}
