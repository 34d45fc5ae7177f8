//! Checks against figures published outside the project; each names its source.

mod accuracy;
mod batch;
mod capacitor;
mod comparison;
mod conformity;
mod discharge;
mod drift;
mod gum;
mod gum_rounding;
mod iec60062;
mod iec60063;
mod impedance;
mod lcr;
mod network;
mod nist_strd;
mod points;
mod robust;
mod safety;
mod scpi;
mod settling;
mod substitute;
mod winding;
mod wiper;
