//! [`SimulatedMeter`]: a meter at work on a thread of its own, by its own [`BenchClock`].

use std::io;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::instrument::Instrument;
use super::options::{Faults, Options, Serve};
use super::outbox::{Outbox, Wire};
use super::probes::Probes;
use crate::platform::{Waker, Woken};

/// Starts simulated meters.
#[derive(Debug)]
pub enum SimulatedMeter {}

impl SimulatedMeter {
    /// Switches a meter on; it runs at the clock of its `probes`.
    ///
    /// # Errors
    /// If the operating system gives no pseudo-terminal, socket or thread, or the directory for the link is not there.
    pub fn start(options: Options, probes: Probes) -> io::Result<Running> {
        let clock = probes.clock();
        let wire = Wire::open(&options.serve, None)?;
        let (address, faults) = (wire.address()?, Faults::default());
        let (waker, woken) = Waker::pair()?;
        let (sender, orders) = channel();
        let serve = options.serve.clone();
        let bench = Bench {
            clock,
            ending: options.ending.text(),
            bound: wire.bound(),
            serve: serve.clone(),
            instrument: Instrument::new(options, probes, clock.now()),
            wire: Some(wire),
            outbox: Outbox::default(),
            faults: faults.clone(),
            orders,
            woken,
        };
        let thread = thread::Builder::new()
            .name("simulated meter".to_owned())
            .spawn(move || bench.run())?;
        Ok(Running {
            address,
            serve,
            faults,
            orders: sender,
            waker,
            thread: Some(thread),
        })
    }
}

/// A meter that is switched on. Dropping it switches it off and removes its terminal.
#[derive(Debug)]
pub struct Running {
    address: String,
    serve: Serve,
    faults: Faults,
    orders: Sender<Order>,
    waker: Waker,
    thread: Option<JoinHandle<()>>,
}

/// Message to the thread; the answer goes back through the sender.
#[derive(Debug)]
enum Order {
    Cut(Sender<io::Result<()>>),
    Plug(Sender<io::Result<()>>),
    SwitchOff,
}

impl Running {
    /// Where the meter is, in the words of a command line: a path, or `tcp:HOST:PORT`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// The path of its terminal; `None` on TCP.
    pub fn path(&self) -> Option<&Path> {
        match self.serve {
            Serve::Terminal { .. } => Some(Path::new(&self.address)),
            Serve::Tcp => None,
        }
    }

    /// Orders faults of the line.
    pub fn faults(&self) -> Faults {
        self.faults.clone()
    }

    /// Pulls the cable: the terminal or connection and its path are gone when this returns.
    ///
    /// # Errors
    /// If the meter's thread is gone.
    pub fn cut_cable(&self) -> io::Result<()> {
        self.demand(Order::Cut)
    }

    /// Plugs the cable in again, at the same path or TCP port. A cable that is in stays in.
    ///
    /// # Errors
    /// If the operating system gives no terminal, or the TCP port was taken meanwhile.
    pub fn plug_in(&self) -> io::Result<()> {
        self.demand(Order::Plug)
    }

    fn demand(&self, order: fn(Sender<io::Result<()>>) -> Order) -> io::Result<()> {
        let (answer, done) = channel();
        self.tell(order(answer));
        done.recv()
            .unwrap_or_else(|_| Err(io::Error::other("the simulated meter is switched off")))
    }

    fn tell(&self, order: Order) {
        // A thread that is gone needs neither.
        let _ = self.orders.send(order);
        self.waker.wake();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.tell(Order::SwitchOff);
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has said so already.
            let _ = thread.join();
        }
    }
}

/// Everything that the meter's thread owns.
struct Bench {
    clock: BenchClock,
    ending: &'static str,
    serve: Serve,
    bound: Option<SocketAddr>,
    instrument: Instrument,
    wire: Option<Wire>,
    outbox: Outbox,
    faults: Faults,
    orders: Receiver<Order>,
    woken: Woken,
}

impl Bench {
    fn run(mut self) {
        while self.take_orders() {
            self.listen();
            self.think();
            self.speak();
            self.wait();
        }
    }

    /// Carries orders out; whether the meter stays on.
    fn take_orders(&mut self) -> bool {
        while let Ok(order) = self.orders.try_recv() {
            match order {
                Order::SwitchOff => return false,
                Order::Cut(answer) => {
                    self.wire = None;
                    self.outbox.clear();
                    self.instrument.hang_up();
                    // Whoever asked may not wait for the answer.
                    let _ = answer.send(Ok(()));
                }
                Order::Plug(answer) => {
                    let _ = answer.send(self.plug());
                }
            }
        }
        true
    }

    fn plug(&mut self) -> io::Result<()> {
        if self.wire.is_none() {
            self.wire = Some(Wire::open(&self.serve, self.bound)?);
        }
        Ok(())
    }

    fn listen(&mut self) {
        let Some(wire) = &mut self.wire else { return };
        let mut buffer = [0; 512];
        let count = wire.read(&mut buffer);
        if count > 0 && self.faults.echoes() {
            wire.write(&buffer[..count]);
        }
        self.instrument.hear(&buffer[..count]);
    }

    fn think(&mut self) {
        let now = self.clock.now();
        while let Some(line) = self.instrument.next_line(now) {
            if self.wire.is_some() && !self.faults.is_silent() {
                self.outbox.put(&line, self.ending, now, self.faults.next());
            }
        }
    }

    fn speak(&mut self) {
        let now = self.clock.now();
        while let Some(bytes) = self.outbox.take(now) {
            if let Some(wire) = &mut self.wire {
                wire.write(&bytes);
            }
        }
    }

    /// Waits until something is heard, ordered or due.
    fn wait(&mut self) {
        let due = [self.instrument.due(), self.outbox.due()]
            .into_iter()
            .flatten()
            .min();
        let patience = due.map(|due| self.clock.real(due.saturating_sub(self.clock.now())));
        let wire = self.wire.as_ref().map(Wire::readable);
        self.woken.wait(wire, patience);
    }
}

/// The time of a simulated bench: seconds since it was made, running `speed` times as fast as real ones.
///
/// Copies show the same time.
#[derive(Debug, Clone, Copy)]
pub struct BenchClock {
    origin: Instant,
    speed: f64,
}

impl BenchClock {
    /// A clock that starts at zero now. `None` unless `speed` is from 0.01 to 1000.
    pub fn new(speed: f64) -> Option<Self> {
        (0.01..=1000.0).contains(&speed).then(|| Self {
            origin: Instant::now(),
            speed,
        })
    }

    /// A clock that runs as fast as real time.
    pub fn real_time() -> Self {
        Self {
            origin: Instant::now(),
            speed: 1.0,
        }
    }

    /// Simulated seconds that pass in a real one.
    pub const fn speed(&self) -> f64 {
        self.speed
    }

    /// Simulated time since the start.
    pub fn now(&self) -> Duration {
        self.origin.elapsed().mul_f64(self.speed)
    }

    /// Real time that `simulated` takes.
    pub fn real(&self, simulated: Duration) -> Duration {
        simulated.div_f64(self.speed)
    }

    /// Sleeps for a simulated time.
    pub fn sleep(&self, simulated: Duration) {
        std::thread::sleep(self.real(simulated));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn waits_divide_by_the_speed() {
        let clock = BenchClock::new(20.0).unwrap();
        assert_eq!(
            clock.real(Duration::from_secs(1)),
            Duration::from_millis(50)
        );
    }

    #[test]
    fn a_senseless_speed_is_refused() {
        for speed in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e6] {
            assert!(BenchClock::new(speed).is_none(), "{speed}");
        }
    }
}
