//! [`impedance`]: what a bridge finds between two nodes at its frequency.

use num_complex::Complex64;

use super::blocks::Blocks;
use super::circuit::Network;
use super::element::{Conduction, Element};
use crate::engine::parts::{Kind, Part};

/// Impedance between two nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Alternating {
    /// Impedance, Ω.
    Told(Complex64),
    /// Nothing: no part joins them, directly or through others.
    Apart,
    /// The place of a winding whose inductance the list does not state, so that nothing can be told.
    Winding(usize),
}

/// Resistances that differ by less, as a share, are one: a winding that makes no more of a difference does not matter.
const MATTERS: f64 = 1e-6;

impl Network {
    /// Expected reading of a bridge between two nodes at that frequency, Hz, with every part as listed: resistances, capacitances without loss, and
    /// coils without resistance.
    pub fn at_frequency(&self, list: &[Part], ends: [usize; 2], hertz: f64) -> Alternating {
        let omega = std::f64::consts::TAU * hertz;
        let with = |opened: Option<usize>| {
            let branches: Vec<([usize; 2], Complex64)> = self
                .elements()
                .iter()
                .filter(|element| Some(element.part) != opened)
                .map(|element| (element.ends, admittance(element, list, omega)))
                .collect();
            impedance(self.nodes().all().len(), &branches, ends)
        };
        let told = with(None);
        let windings = self.elements().iter().map(|element| element.part);
        for winding in windings.filter(|part| list[*part].kind == Kind::Winding) {
            let matters = match (told, with(Some(winding))) {
                (Some(told), Some(open)) => {
                    (open - told).norm_sqr() > MATTERS * MATTERS * told.norm_sqr()
                }
                (told, open) => told.is_some() != open.is_some(),
            };
            if matters {
                return Alternating::Winding(winding);
            }
        }
        told.map_or(Alternating::Apart, Alternating::Told)
    }
}

/// The admittance of an element at an angular frequency, S.
fn admittance(element: &Element, list: &[Part], omega: f64) -> Complex64 {
    let nominal = list[element.part].nominal.value();
    match element.conduction {
        Conduction::Blocks => Complex64::new(0.0, omega * nominal),
        Conduction::Wire => Complex64::new(0.0, -1.0 / (omega * nominal)),
        _ => Complex64::new(element.listed_siemens(), 0.0),
    }
}

/// The impedance between two nodes of a network of admittances, Ω, by nodal analysis: an ampere goes into the one and out at the other.
/// `None` where they do not hang together, or resonate.
pub fn impedance(
    nodes: usize,
    branches: &[([usize; 2], Complex64)],
    [into, out]: [usize; 2],
) -> Option<Complex64> {
    let ends: Vec<[usize; 2]> = branches.iter().map(|(ends, _)| *ends).collect();
    let piece = Blocks::of(nodes, &ends).piece;
    if piece[into] != piece[out] {
        return None;
    }
    let mut numbers = vec![None; nodes];
    let inside = (0..nodes).filter(|node| *node != out && piece[*node] == piece[out]);
    let mut count = 0;
    for node in inside {
        numbers[node] = Some(count);
        count += 1;
    }
    let mut rows = vec![vec![Complex64::ZERO; count + 1]; count];
    for (ends, siemens) in branches
        .iter()
        .filter(|(ends, _)| piece[ends[0]] == piece[out])
    {
        let [a, b] = ends.map(|end| numbers[end]);
        for at in [a, b].into_iter().flatten() {
            rows[at][at] += siemens;
        }
        if let (Some(a), Some(b)) = (a, b) {
            rows[a][b] -= siemens;
            rows[b][a] -= siemens;
        }
    }
    let at = numbers[into]?;
    rows[at][count] = Complex64::ONE;
    let volts = solved(rows, at)?;
    volts.is_finite().then_some(volts)
}

/// The unknown of that number, from rows of a linear system with its right-hand side behind, by Gauss's elimination with the largest
/// pivot of each column.
fn solved(mut rows: Vec<Vec<Complex64>>, wanted: usize) -> Option<Complex64> {
    let count = rows.len();
    for column in 0..count {
        let size = |row: &usize| rows[*row][column].norm_sqr();
        let pivot = (column..count).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        if size(&pivot) == 0.0 {
            return None;
        }
        rows.swap(column, pivot);
        let own = rows[column].clone();
        for (number, row) in rows.iter_mut().enumerate() {
            if number == column || row[column] == Complex64::ZERO {
                continue;
            }
            let factor = row[column] / own[column];
            for (entry, own) in row[column..].iter_mut().zip(&own[column..]) {
                *entry -= factor * own;
            }
        }
    }
    Some(rows[wanted][count] / rows[wanted][wanted])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    /// 1 µF beside 1 kΩ at 1 kHz: |Z| = R/√(1 + (ωRC)²), by definition.
    #[test]
    fn a_capacitor_beside_a_resistor() {
        let omega = std::f64::consts::TAU * 1e3;
        let branches = [
            ([0, 1], Complex64::new(1e-3, 0.0)),
            ([1, 0], Complex64::new(0.0, omega * 1e-6)),
        ];
        let found = impedance(2, &branches, [0, 1]).unwrap();
        let x = omega * 1e-3;
        approx::assert_relative_eq!(found.re, 1e3 / (1.0 + x * x), max_relative = 1e-12);
        approx::assert_relative_eq!(found.im, -1e3 * x / (1.0 + x * x), max_relative = 1e-12);
        assert_eq!(impedance(3, &branches, [0, 2]), None);
    }

    #[test]
    fn a_winding_that_carries_current_cannot_be_told() {
        let text = "ref,kind,value,from,to\nR1,resistor,1k,a,b\nC1,capacitor,1u,a,b\nL1,winding,100R,b,c\nR2,resistor,1k,c,d\n";
        let list = read(text.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        let network = Network::of(&list);
        let at = |ends| network.at_frequency(&list, ends, 1e3);
        assert!(matches!(at([0, 1]), Alternating::Told(_)));
        assert_eq!(at([0, 2]), Alternating::Winding(2));
        assert!(matches!(at([2, 3]), Alternating::Told(_)));
    }
}
