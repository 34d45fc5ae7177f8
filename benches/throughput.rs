//! Throughput of the way of a reading.
fn main() {
    divan::main();
}
