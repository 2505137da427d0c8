//! `bitepoint review`: what happened in measured starts, what it cost, what to change next.

use std::path::Path;

use bitepoint_physics::timing::Mark;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_plot::folder::write_folder;
use bitepoint_plot::format::Units;
use bitepoint_plot::review::{ReviewReport, files};
use bitepoint_runlog::log::{Format, Log};
use bitepoint_runlog::measure::MeasuredRun;
use bitepoint_runlog::read::{Reading, read};
use bitepoint_runlog::start::find_starts;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{PlanError, Wanted, recommend};
use bitepoint_runner::review::{
    Doubt, Review as Reviewed, SetComparison, Yardstick, compare_sets, doubts, review, timed, unlike,
};
use bitepoint_runner::target::Target;

use crate::args::Review;
use crate::car;
use crate::command_line::command_line;
use crate::conditions::none::failure as why;
use crate::document::{ReviewDocument, text};
use crate::failure::Failure;
use crate::option::{self, clock, target};
use crate::plan::none;
use crate::progress::Progress;
use crate::review::correction::correction;
use crate::review::screen::screen;
use crate::screen::{print, print_place};

/// Runs that the search for the recommended launch takes, about: for somebody who waits.
const SEARCH_RUNS: u64 = 3_000;

pub(crate) fn run(args: &Review) -> Result<(), Failure> {
    let units = args.output.reader.units();
    let asked = args.to.as_deref().map(|gate| target(gate, clock(args.rollout))).transpose()?;
    let map = option::columns(args.map.as_deref())?;
    let vehicle = car::read(&args.vehicle, &args.known, args.output.reader.system())?;
    let scenario = option::scenario(args.scenario.as_deref())?;
    let case = Case::new(vehicle, scenario);
    let resolved = case.resolve()?;
    let (car, day) = (&resolved.vehicle.vehicle, &resolved.scenario.scenario);

    let reading = Reading { map, ..Reading::default() };
    let Checked { log, runs, mut doubts, notes } = checked(&args.log, &reading, car, day)?;
    let mut notes = [car::told(&case.vehicle), notes].concat();
    let before = args.before.iter().map(|path| checked(path, &reading, car, day)).collect::<Result<Vec<_>, _>>()?;
    let target = asked.unwrap_or_else(|| reached(&runs, args.rollout, units));

    let progress = Progress::new(SEARCH_RUNS, "runs");
    let best = recommend(&case, &Wanted::to(target), &progress)
        .map_err(|why| none::failure(&case.scenario, PlanError::NoLaunch(why), target, units, progress.runs()))?;
    drop(progress);
    let yardstick = Yardstick::new(car, day, target, &best.launch)
        .map_err(|e| Failure::Computation(e.to_string()))?
        .ok_or_else(|| Failure::Computation("the recommended launch does not get to the gate".to_owned()))?;
    // Whatever the log does not show is as recommended.
    let case = Case { launch: Some(best.launch.open()), ..case };
    let launched = case.resolve()?;
    let earlier: Vec<f64> =
        before.into_iter().flat_map(|b| times(&review(&b.log, b.runs, yardstick.clone()))).collect();
    let reviewed = review(&log, runs, yardstick);
    if let Some(doubt) = unlike(&log, &reviewed) {
        doubts.push(taken(&log, doubt)?);
    }
    let sets: Option<SetComparison> = compare_sets(&earlier, &times(&reviewed));
    if !args.before.is_empty() && sets.is_none() {
        notes.push("Before and after cannot be compared: each needs two starts that reach the gate.".to_owned());
    }
    if reviewed.starts.iter().any(|s| s.costs.as_ref().is_some_and(|c| c.gap_s < -0.1)) {
        notes.push(
            "A start is quicker than the recommended launch of this car on this day: it was harder on the car, or car, surface or slope are not as the files say."
                .to_owned(),
        );
    }
    let corrected = match correction(&case, &reviewed) {
        Some(Ok(study)) => Some(study),
        Some(Err(error)) => {
            notes.push(format!("Not corrected to reference conditions: {}", why(error, &case, units, (0, 0))));
            None
        }
        None => None,
    };
    let log_name = file_name(&log.name);
    let command = command_line();
    let told = ReviewReport {
        vehicle_name: &resolved.vehicle.name,
        scenario_name: &resolved.scenario.name,
        log_name: &log_name,
        review: &reviewed,
        sets: sets.as_ref(),
        corrected: corrected.as_ref(),
        doubts: &doubts,
        notes: &notes,
        command: &command,
        units,
    };
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&told))?;
    }
    if args.output.json {
        print(&text(&ReviewDocument::new(&case, &launched, &told)))?;
    } else {
        print(&screen(&told))?;
        print_place(args.output.out.as_deref())?;
    }
    Ok(())
}

fn file_name(path: &str) -> String {
    Path::new(path).file_name().map_or_else(|| path.to_owned(), |n| n.to_string_lossy().into_owned())
}

fn times(review: &Reviewed) -> Vec<f64> {
    review.starts.iter().filter_map(|s| Some(s.time_s?.value)).collect()
}

/// A log with its starts timed, what is doubtful in it, and what to mind.
struct Checked {
    log: Log,
    runs: Vec<MeasuredRun>,
    doubts: Vec<String>,
    notes: Vec<String>,
}

/// A log that has starts, and that goes with itself and with the car; with what a person should mind in it.
fn checked(path: &Path, how: &Reading, car: &Vehicle, day: &Scenario) -> Result<Checked, Failure> {
    let log = read(path, how)?;
    let found = find_starts(&log);
    if found.starts.is_empty() {
        let near = found.near_stops.len();
        let stops =
            if near == 0 { String::new() } else { format!(" ({near} slow moments cannot be told from a stop)") };
        return Err(Failure::Input(format!(
            "{}: no standing start was found in {} rows over {:.0} s{stops}\n    accepted: a log that begins before the car moves: it stands for half a second or more, then drives off",
            log.name, log.rows, log.span_s
        )));
    }
    let runs = timed(&log, &found.starts, day.rollout_m);
    if runs.is_empty() {
        return Err(Failure::Input(format!("{}: its starts have too few speeds to be timed", log.name)));
    }
    let place = if log.format == Format::Gpx { "track point" } else { "line" };
    let notes: Vec<String> = log
        .notes
        .iter()
        .map(|n| n.line.map_or_else(|| n.what.clone(), |line| format!("{place} {line}: {}", n.what)))
        .collect();
    let doubts = doubts(&log, &runs, car, day).into_iter().map(|doubt| taken(&log, doubt)).collect::<Result<_, _>>()?;
    Ok(Checked { log, runs, doubts, notes })
}

/// What a doubt says, if the log is reviewed all the same.
fn taken(log: &Log, doubt: Doubt) -> Result<String, Failure> {
    if !doubt.refuses {
        return Ok(doubt.what);
    }
    let accepted =
        if doubt.accepted.is_empty() { String::new() } else { format!("\n    accepted: {}", doubt.accepted) };
    Err(Failure::Input(format!("{}: {}{accepted}", log.name, doubt.what)))
}

/// The gate that people ask for if any start reaches it, else half of it.
fn reached(runs: &[MeasuredRun], rollout: bool, units: Units) -> Target {
    let clock = clock(rollout);
    let gates = match units {
        Units::Us => ["60 mph", "30 mph"],
        Units::Si => ["100 km/h", "50 km/h"],
    };
    let top_mps = runs.iter().map(|run| run.start.top_speed_mps).fold(0.0, f64::max);
    let reached = |t: &Target| matches!(t.mark().mark, Mark::SpeedMps(v) if v < top_mps);
    let targets = gates.map(|gate| Target { gate, clock });
    targets.into_iter().find(reached).unwrap_or(targets[1])
}
