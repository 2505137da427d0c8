//! The spread of sheets against the law of the road tests of 2015.

use bitepoint_inputs::vehicle::VehicleFile;
use rayon::prelude::*;

use super::best_launch::{Best, best_launch, gate, tester_day};
use super::line::{Line, rms};
use super::parts::Part;
use super::rows::ModernRow;
use super::spread_sheets::Sheet;

/// The law of the measured cars: logarithms of times in s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Law {
    /// ln quarter mile over ln 0-60 mph.
    pub quarter: Line,
    /// Its root mean square residual.
    pub quarter_rms: f64,
    /// ln 0-30 mph over ln 0-60 mph.
    pub thirty: Line,
    /// Its root mean square residual.
    pub thirty_rms: f64,
}

/// Times of one run, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// 0-30 mph.
    pub thirty_s: f64,
    /// 0-60 mph.
    pub sixty_s: f64,
    /// Quarter mile.
    pub quarter_s: f64,
}

impl Law {
    /// Fitted to the rows.
    #[must_use]
    pub fn of(rows: &[ModernRow]) -> Self {
        let quarter: Vec<_> = rows.iter().map(|r| (r.t_0_60_s.ln(), r.t_quarter_mile_s.ln())).collect();
        let thirty: Vec<_> = rows.iter().map(|r| (r.t_0_60_s.ln(), r.t_0_30_s.ln())).collect();
        let (quarter_line, thirty_line) = (Line::through(&quarter), Line::through(&thirty));
        Self {
            quarter: quarter_line,
            quarter_rms: rms(quarter.iter().map(|p| p.1 - quarter_line.at(p.0))),
            thirty: thirty_line,
            thirty_rms: rms(thirty.iter().map(|p| p.1 - thirty_line.at(p.0))),
        }
    }

    /// Share by which the quarter mile is above the law (logarithmic).
    #[must_use]
    pub fn quarter_residual(&self, times: &Times) -> f64 {
        times.quarter_s.ln() - self.quarter.at(times.sixty_s.ln())
    }

    /// Share by which 0-30 mph is above the law (logarithmic).
    #[must_use]
    pub fn thirty_residual(&self, times: &Times) -> f64 {
        times.thirty_s.ln() - self.thirty.at(times.sixty_s.ln())
    }
}

impl ModernRow {
    /// Its times.
    #[must_use]
    pub fn times(&self) -> Times {
        Times { thirty_s: self.t_0_30_s, sixty_s: self.t_0_60_s, quarter_s: self.t_quarter_mile_s }
    }
}

/// A sheet's best run.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRun {
    /// From the first movement, without rollout.
    pub from_rest: Times,
    /// From the end of a rollout of one foot.
    pub with_rollout: Times,
    /// How it was driven.
    pub best: Best,
}

/// Each sheet's best run with `part` changed.
#[must_use]
pub fn run(sheets: &[Sheet], part: Part) -> Vec<SheetRun> {
    sheets.par_iter().map(|sheet| sheet_run(&sheet.text, part)).collect()
}

/// The best run of the vehicle file `text` on a dry, flat day.
///
/// # Panics
/// If the sheet is refused or does not reach 60 mph within the quarter mile.
#[must_use]
pub fn sheet_run(text: &str, part: Part) -> SheetRun {
    let file = part.in_file(&VehicleFile::parse("sheet.toml", text).expect("the rules make a valid sheet"));
    let mut vehicle = file.resolve().vehicle;
    let mut scenario = tester_day().resolve(&vehicle).expect("the built-in day suits every car").scenario;
    part.apply(&mut vehicle, &mut scenario);
    let best = best_launch(&vehicle, &scenario, part.tester())
        .unwrap_or_else(|| panic!("some start gets the car to the finish with {part:?}: {text}"));
    let passed = |name| gate(&best.run, name).expect("every sheet reaches 60 mph within a quarter mile");
    let rolled = |name| passed(name).with_rollout_s.expect("30 mph is past the rollout");
    SheetRun {
        from_rest: Times {
            thirty_s: passed("30 mph").time_s,
            sixty_s: passed("60 mph").time_s,
            quarter_s: passed("1320 ft").time_s,
        },
        with_rollout: Times { thirty_s: rolled("30 mph"), sixty_s: rolled("60 mph"), quarter_s: rolled("1320 ft") },
        best,
    }
}
