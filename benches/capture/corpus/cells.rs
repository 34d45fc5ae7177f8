//! The cells.

use super::{BENCH, Cell, Course, HAND_HELD, Meter};

/// A touch without trouble: scatter of a tenth of the standard uncertainty, held for 10 s.
fn plain(group: &'static str, meter: Meter, rate: f64, touches: u32) -> Cell {
    Cell {
        group,
        meter,
        rate,
        course: Course::Steady,
        noise: 0.1,
        slips: 0.0,
        blips: 0.0,
        bounce: 0.0,
        held: 10.0,
        times: 1,
        touches,
    }
}

fn on(course: Course, held: f64, cell: Cell) -> Cell {
    Cell {
        course,
        held,
        ..cell
    }
}

/// All cells, each group together.
pub(crate) fn cells() -> Vec<Cell> {
    let mut cells = Vec::new();
    steady(&mut cells);
    troubled(&mut cells);
    approaches(&mut cells);
    other_shapes(&mut cells);
    without_a_value(&mut cells);
    cells
}

fn steady(cells: &mut Vec<Cell>) {
    for rate in [2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0, 400.0, 1000.0] {
        cells.push(plain("plain", BENCH, rate, 300));
    }
    for rate in [2.0, 3.0, 5.0, 10.0] {
        cells.push(plain("plain", HAND_HELD, rate, 300));
    }
    let count = HAND_HELD.count / HAND_HELD.u();
    for rate in [3.0, 5.0, 10.0] {
        for counts in [0.5, 1.0] {
            let noise = counts * count;
            let cell = plain("flicker", HAND_HELD, rate, 300);
            cells.push(Cell { noise, ..cell });
        }
    }
    for rate in [3.0, 10.0, 100.0] {
        for noise in [0.5, 1.0, 2.0] {
            let cell = plain("noise", BENCH, rate, 300);
            cells.push(Cell { noise, ..cell });
        }
    }
}

fn troubled(cells: &mut Vec<Cell>) {
    for rate in [10.0, 100.0, 1000.0] {
        let cell = |group| plain(group, BENCH, rate, 200);
        let slips = 0.03;
        let blips = 0.02;
        cells.push(Cell {
            slips,
            ..cell("slips")
        });
        cells.push(Cell {
            blips,
            ..cell("blips")
        });
        cells.push(Cell {
            slips,
            blips,
            ..cell("both")
        });
        cells.push(Cell {
            bounce: 0.08,
            ..cell("bounce")
        });
        cells.push(Cell {
            times: 2,
            ..cell("double")
        });
        cells.push(on(Course::Steady, 0.1, cell("brush")));
    }
}

fn approaches(cells: &mut Vec<Cell>) {
    for (rate, slowest, touches) in [(10.0, 10.0, 100), (100.0, 10.0, 60), (1000.0, 1.0, 50)] {
        for size in [1.0, 3.0, 10.0, 30.0, 100.0, 1000.0] {
            for tau in [0.1, 0.3, 1.0, 3.0, 10.0] {
                if tau <= slowest && size >= tau {
                    let course = Course::Approach { size, tau };
                    let held = 10.0 + 12.0 * tau;
                    let cell = plain("approach", BENCH, rate, touches);
                    cells.push(on(course, held, cell));
                }
            }
        }
    }
    for rate in [3.0, 10.0] {
        for (size, tau) in [(3.0, 1.0), (30.0, 1.0), (30.0, 3.0)] {
            let course = Course::Approach { size, tau };
            cells.push(on(course, 40.0, plain("approach", HAND_HELD, rate, 100)));
        }
    }
}

fn other_shapes(cells: &mut Vec<Cell>) {
    for rate in [10.0, 100.0] {
        let mut add = |group, course| cells.push(on(course, 60.0, plain(group, BENCH, rate, 100)));
        for fast in [(30.0, 0.1), (300.0, 0.3)] {
            for slow in [(3.0, 1.0), (10.0, 1.0), (10.0, 3.0), (30.0, 3.0)] {
                add("two", Course::Two { fast, slow });
            }
        }
        for (size, tau) in [(30.0, 0.03), (30.0, 0.3), (300.0, 0.1), (300.0, 0.3)] {
            add("stretched", Course::Stretched { size, tau });
        }
        for (size, seconds) in [
            (10.0, 0.3),
            (10.0, 1.0),
            (100.0, 0.3),
            (100.0, 1.0),
            (1000.0, 2.0),
        ] {
            add("averaging", Course::Averaging { size, seconds });
        }
    }
}

fn without_a_value(cells: &mut Vec<Cell>) {
    // The bench meter's value a second, in its standard uncertainties.
    let per_cent = 0.01 * BENCH.value / BENCH.u();
    for rate in [10.0, 100.0] {
        let mut add = |group, course| cells.push(on(course, 20.0, plain(group, BENCH, rate, 200)));
        for share in [0.1, 0.3, 1.0] {
            add(
                "drift",
                Course::Drift {
                    a_second: share * per_cent,
                },
            );
        }
        for step in [0.3, 1.0, 2.0, 4.0, 10.0] {
            add("walk", Course::Walk { step });
        }
        for (size, hertz) in [(3.0, 0.5), (3.0, 0.1), (3.0, 0.03)] {
            add("hum", Course::Hum { size, hertz });
        }
        add(
            "creep",
            Course::Approach {
                size: 10.0,
                tau: 30.0,
            },
        );
    }
    for step in [0.5, 1.0, 2.0, 4.0] {
        let cell = plain("walk", HAND_HELD, 3.0, 200);
        cells.push(on(Course::Walk { step }, 20.0, cell));
    }
}
