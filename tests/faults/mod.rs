//! Sittings at a bench where everything goes wrong on the line: in the engine alone with a simulated clock, over real terminals, and
//! with a program that is killed. Every row is compared with what the probes were really on.

mod crash;
mod engine;
mod proxy;
mod terminal;
