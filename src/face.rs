//! The public face: what the whole-program tests and the benches use, and nothing else.
//!
//! Every wing is private to the crate, so that the compiler names what nobody uses. An item is added here when a test or a
//! bench needs it, and goes when none does.

#![allow(
    missing_docs,
    reason = "the modules mirror the wings, which say what they are"
)]

pub mod bench {
    pub mod link {
        pub use crate::bench::link::{
            Address, Link, LinkEvent, LinkMessage, Loss, OpenError, SendError, open,
        };
    }
    pub mod recording {
        pub use crate::bench::recording::{
            Ending, Event, Flaw, Header, LONGEST_LINE, LinkState, Malformed, ReadError, Reader,
            Survey, WriteError, Writer, name_for, survey, survey_of,
        };
    }
    pub mod simulator {
        pub use crate::bench::simulator::{
            Behaviour, BenchClock, Component, Ending, Fault, Manner, Options, Probes, RangeChange,
            Running, Scale, Serve, SimulatedMeter, Wording,
        };
    }
}
pub mod books {
    pub mod archive {
        pub use crate::books::archive::{ArchiveTable, TABLES};
    }
    pub mod audit {
        pub use crate::books::audit::soundness;
    }
    pub mod batch {
        pub use crate::books::batch::{Bags, Spread, read};
    }
    pub mod comparison {
        pub use crate::books::comparison::{Outcome, When, pairs};
    }
    pub mod job {
        pub use crate::books::job::Folder;
    }
    pub mod ledger {
        pub use crate::books::ledger::{
            Book, Choice, DECISION_COLUMNS, Decision, DecisionsFile, read_incoming,
            read_measurements,
        };
    }
    pub mod results {
        pub use crate::books::results::{COLUMNS, Results};
    }
    pub mod substitute {
        pub use crate::books::substitute::{
            Answer, Arrangement, Combination, Goods, Want, nearest_pairs, substitutes,
        };
    }
}
pub mod engine {
    pub mod impedance {
        pub use crate::engine::impedance::{
            ComplexEstimate, Covariance, Impedance, Pair, PairKind, Parameter, Residuals,
            Uncertain, angular_frequency, behind_two_elements, parallel_capacitance,
            parallel_inductance,
        };
    }
    pub mod judge {
        pub use crate::engine::judge::{
            Aspect, Beside, Check, Conditions, Found, LcrReading, LeakageTest, LoopFacts, Loops,
            LossKind, LossReading, OwnVerdict, Policy, Reason, Rule, Side, Soaked, Solution, Trust,
            Verdict, further_entry, judge, judge_own, probability_of_conformity, turns_entries,
        };
        pub mod capacitor {
            pub use crate::engine::judge::capacitor::{
                Condition, Direction, Forecast, LeakageTable, LossMeasurement, LossTable, Mark,
                SOAK_CAUTIONS, SoakReason, SoakReport, StatedLoss, esr_ohm, insulation_ohm,
                insulation_product_s, judge_esr, judge_loss,
            };
        }
        pub mod discharge {
            pub use crate::engine::judge::discharge::{DISCHARGED_VOLTS, StoredCharge};
        }
        pub mod drift {
            pub use crate::engine::judge::drift::{
                Drift, Effect, Member, WorkingCircuit, corner_frequency, divider_volts,
                high_pass_decibels, low_pass_decibels, self_bias_amperes,
            };
        }
        pub mod point {
            pub use crate::engine::judge::point::{SheetMeter, expected_reading};
        }
        pub mod policy {
            pub use crate::engine::judge::policy::Policy;
        }
        pub mod safety {
            pub use crate::engine::judge::safety::{
                ClassFamily, Mains, MainsPlace, Places, TOUCH_LIMITS, Waveform, Weight,
                check_class, class_data, largest_capacitance, total_capacitance, touch_current,
            };
        }
        pub mod winding {
            pub use crate::engine::judge::winding::{
                Measured, Temperature, balance, impedance_ratio, reflected_load, resistance_at_20,
                turns_ratio,
            };
        }
        pub mod wiper {
            pub use crate::engine::judge::wiper::{
                TrackValue, end_limit_ohms, middle_share, steepest,
            };
        }
    }
    pub mod meter {
        pub use crate::engine::meter::{
            Conversation, DataBits, DeviceError, Ending, EquivalentCircuit, Field, Fields, Flow,
            Heard, LineSettings, Number, Parity, Profile, Range, Reading, Reply, Sentinels, Shown,
            StopBits, shipped_profile, shipped_profiles,
        };
    }
    pub mod network {
        pub use crate::engine::network::{
            Agreement, Blocks, Branch, FURTHER_READINGS, Method, Network, Own, Positions, Read,
            Readings, further_pairs, impedance, own_values, resistances, walk,
        };
    }
    pub mod parts {
        pub use crate::engine::parts::{
            Article, ArticleError, Kind, Law, ListSettings, Material, Part, PartsList, Step, Title,
            ToleranceOrigin, read,
        };
    }
    pub mod probing {
        pub use crate::engine::probing::{
            Estimate, Finding, Offered, OnFunction, Probed, Probes, SettledValue, Signal, Signals,
            Specification, SweepReport, Track,
        };
    }
    pub mod quantity {
        pub use crate::engine::quantity::{
            Amount, Band, ColourCode, Drawing, Quantity, Remark, SafetyClass, Series, Stamp,
            Tolerance, ToleranceError, format_steady, format_with_uncertainty, parse_body_end_dot,
            parse_colour_bands, parse_marking, parse_rating, parse_tolerance, parse_value,
        };
    }
    pub mod settings {
        pub use crate::engine::settings::{BenchMeter, Settings};
    }
    pub mod sitting {
        pub use crate::engine::sitting::{
            Command, Entry, Event, FIRST_METER, Input, LinkNews, Live, MeterNews, Next, Plan,
            PlanError, Record, Refusal, Row, RowPosition, Setup, Sitting, Soaking, Summary, ToSoak,
            What,
        };
    }
    pub mod source {
        pub use crate::engine::source::{
            DecimalMark, Dialect, Problem, Separator, TableRemark, TextEncoding, from_cell,
        };
    }
    pub mod statistics {
        pub use crate::engine::statistics::{
            Line, benjamini_hochberg, deviation_interval, holm, mean_and_deviation, mean_interval,
            median, normal_cdf, rank_correlation, robust_mean, slope, tolerance_factor,
        };
    }
}
pub mod views {
    pub mod report {
        pub use crate::views::report::{Evidence, explanation};
        pub mod diagram {
            pub use crate::views::report::diagram::Diagram;
        }
        pub mod owner {
            pub use crate::views::report::owner::{
                Facts, FileFacts, Photo, Proof, SittingFacts, Touch, TouchPoint, json, page,
                short_page, table,
            };
        }
    }
    pub mod screen {
        pub use crate::views::screen::{Aside, Look, Typing, draw};
    }
    pub mod serve {
        pub use crate::views::serve::{
            Commands, FromServer, Hub, LONGEST_LINE, MOST_CLIENTS, PROTOCOL, Page, Patience,
            Served, Server, socket_path,
        };
    }
    pub mod sound {
        pub use crate::views::sound::{
            CAPACITY, Cue, GRACE, OutsideProgram, PLAYERS, Sounder, Sources, Utterance, bells,
        };
    }
    pub mod state {
        pub use crate::views::state::{Item, Stage, State, VERSION};
    }
    pub mod told {
        pub use crate::views::told::told;
    }
}
