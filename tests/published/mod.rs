//! Checks against figures published outside the project; each names its source.

mod accuracy;
mod conformity;
mod gum;
mod gum_rounding;
mod iec60062;
mod iec60063;
mod impedance;
mod nist_strd;
mod robust;
mod scpi;
mod settling;
