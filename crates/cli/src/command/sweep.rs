//! `bitepoint sweep`: one or two inputs varied.

use std::time::{Duration, Instant};

use bitepoint_inputs::files::read_scenario;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_plot::folder::{ReportFile, write_folder};
use bitepoint_plot::format::Units;
use bitepoint_plot::sweep::{ShiftReport, SweepReport, notes, shift_files, shift_notes, sweep_files};
use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::sweep::{
    Axis, Cell, Plan, ShiftStudy, ShiftStudyError, Sweep, Times, one_cell, shift_plans, shift_study, sweep,
};
use bitepoint_runner::target::Target;
use bitepoint_runner::watch::Nobody;

use crate::args::{self, Output};
use crate::car;
use crate::command_line::command_line;
use crate::document::{SweepDocument, text};
use crate::failure::Failure;
use crate::option::{self, clock, usual_gate};
use crate::progress::Progress;
use crate::sweep_table::{FIRST_COLUMN, of_shifts, of_sweep};
use crate::{screen, sweep_screen, whole_file};

/// More runs than this are made only when asked for twice: some minutes on an ordinary computer.
const MANY_RUNS: u64 = 250_000;
/// More runs than this do not fit into the memory of an ordinary computer.
const MOST_RUNS: u64 = 50_000_000;
/// Most axes: a chart has no more.
const MOST_AXES: usize = 2;

pub(crate) fn run(args: &args::Sweep) -> Result<(), Failure> {
    let axes = axes(&args.vary)?;
    let target = target(args)?;
    if let Some(path) = &args.csv {
        whole_file::may_write(path, FIRST_COLUMN)?;
    }
    let vehicle = car::read(&args.vehicle, &args.known, args.output.reader.system())?;
    let cases = cases(vehicle, &args.scenarios)?;
    let resolved = cases.iter().map(Case::resolve).collect::<Result<Vec<_>, _>>()?;
    let times = if args.exact { Times::Exact } else { Times::Expected };
    let job = Job { args, cases: &cases, resolved: &resolved, times };
    if args.shifts { job.shifts(target) } else { job.sweep(axes, target) }
}

fn axes(vary: &[String]) -> Result<Vec<Axis>, Failure> {
    let wrong = |text: &str, what: &dyn std::fmt::Display| Failure::Input(format!("--vary {text:?}: {what}"));
    let mut axes: Vec<Axis> = Vec::new();
    let mut problems = Vec::new();
    for text in vary {
        match Axis::parse(text) {
            Ok(axis) if axes.iter().any(|other| other.name() == axis.name()) => {
                problems.push(wrong(text, &format!("{} is varied twice", axis.name())).to_string());
            }
            Ok(axis) => axes.push(axis),
            Err(error) => problems.push(wrong(text, &error).to_string()),
        }
    }
    if axes.len() > MOST_AXES {
        problems.push(format!("--vary is given {} times; a chart has room for {MOST_AXES}", axes.len()));
    }
    if problems.is_empty() { Ok(axes) } else { Err(Failure::Input(problems.join("\n"))) }
}

fn target(args: &args::Sweep) -> Result<Target, Failure> {
    let units = args.output.reader.units();
    let usual = match units {
        _ if !args.shifts => usual_gate(units),
        Units::Us => "1320 ft",
        Units::Si => "400 m",
    };
    option::target(args.to.as_deref().unwrap_or(usual), clock(args.rollout))
}

fn cases(vehicle: VehicleFile, scenarios: &[std::path::PathBuf]) -> Result<Vec<Case>, Failure> {
    if scenarios.is_empty() {
        return Ok(vec![Case::new(vehicle, ScenarioFile::default())]);
    }
    let mut wrong = Vec::new();
    let mut cases = Vec::new();
    for path in scenarios {
        match read_scenario(path) {
            Ok(scenario) => cases.push(Case::new(vehicle.clone(), scenario)),
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    if wrong.is_empty() { Ok(cases) } else { Err(Failure::Input(wrong.join("\n"))) }
}

/// What was asked for.
struct Job<'a> {
    args: &'a args::Sweep,
    cases: &'a [Case],
    resolved: &'a [Resolved],
    times: Times,
}

impl Job<'_> {
    /// What is known of the car besides its file.
    fn told(&self) -> Vec<String> {
        car::told(&self.cases[0].vehicle)
    }

    fn sweep(&self, axes: Vec<Axis>, target: Target) -> Result<(), Failure> {
        let asked = Plan { cases: self.cases.to_vec(), axes, target, times: self.times };
        self.allowed(asked.runs(), || one_cell(&asked, &asked.cases[0], 0))?;
        let plan = &Plan::new(self.cases, asked.axes, target, self.times, &Nobody)?;
        let progress = Progress::new(plan.runs(), "runs");
        let swept: Sweep = sweep(plan, &progress).map_err(|_| called_off(&progress, plan.runs()))?;
        drop(progress);
        let notes = [self.told(), notes(&swept)].concat();
        let (output, command) = (&self.args.output, command_line());
        let report = SweepReport { sweep: &swept, notes: &notes, command: &command, units: output.reader.units() };
        let resolved = self.resolved;
        let units = output.reader.units();
        let document = || SweepDocument::of_sweep(self.cases, resolved, &swept, (&notes, units)).map(|d| text(&d));
        self.tell(
            || of_sweep(&swept),
            || sweep_files(&report),
            document,
            || sweep_screen::sweep(&swept, &notes, output.reader.units()),
        )?;
        if swept.fields.iter().all(|field| field.best.is_none()) {
            return Err(Failure::Computation(format!("none of the {} runs reaches the target", plan.runs())));
        }
        Ok(())
    }

    fn shifts(&self, target: Target) -> Result<(), Failure> {
        let plans = shift_plans(self.cases, target, self.times, &Nobody).map_err(failed)?;
        let runs = plans.iter().map(|(_, plan)| plan.runs()).sum();
        let progress = Progress::new(runs, "runs");
        let study: ShiftStudy = shift_study(&plans, &progress).map_err(|error| match error {
            ShiftStudyError::CalledOff => called_off(&progress, runs),
            other => failed(other),
        })?;
        drop(progress);
        let notes = [self.told(), shift_notes(&study)].concat();
        let (output, command) = (&self.args.output, command_line());
        let report = ShiftReport { study: &study, notes: &notes, command: &command, units: output.reader.units() };
        let (resolved, units) = (self.resolved, output.reader.units());
        let document = || SweepDocument::of_shifts(self.cases, resolved, &study, (&notes, units)).map(|d| text(&d));
        self.tell(|| of_shifts(&study), || shift_files(&report), document, || sweep_screen::shifts(&study, &notes))
    }

    /// Writes and prints what was asked for.
    fn tell(
        &self,
        table: impl FnOnce() -> Result<Vec<u8>, csv::Error>,
        files: impl FnOnce() -> Vec<ReportFile>,
        document: impl FnOnce() -> Option<String>,
        summary: impl FnOnce() -> String,
    ) -> Result<(), Failure> {
        let Output { json, out, .. } = &self.args.output;
        if let Some(path) = &self.args.csv {
            let table = table().map_err(|e| Failure::Computation(format!("the table could not be made: {e}")))?;
            whole_file::write(path, FIRST_COLUMN, &table)?;
        }
        if let Some(folder) = out {
            write_folder(folder, &files())?;
        }
        if *json {
            return screen::print(&document().unwrap_or_default());
        }
        screen::print(&summary())?;
        if let Some(path) = &self.args.csv {
            screen::print(&format!("\nTable:  {}\n", path.display()))?;
        }
        screen::print_place(out.as_deref())?;
        Ok(())
    }

    /// Many runs are made only if they are meant.
    fn allowed(&self, runs: u64, one: impl Fn() -> Cell) -> Result<(), Failure> {
        let bytes = runs.saturating_mul(size_of::<Cell>() as u64);
        if runs > MOST_RUNS {
            return Err(Failure::Input(format!(
                "that is {} runs, whose results take {}; at most {} are made in one go: take larger steps",
                grouped(runs),
                memory(bytes),
                grouped(MOST_RUNS)
            )));
        }
        if runs <= MANY_RUNS || self.args.yes {
            return Ok(());
        }
        let began = Instant::now();
        std::hint::black_box(one());
        let threads = std::thread::available_parallelism().map_or(1.0, |n| n.get() as f64);
        let took = Duration::from_secs_f64(began.elapsed().as_secs_f64() * runs as f64 / threads);
        Err(Failure::Input(format!(
            "that is {} runs: some {} on this computer, and {} of memory; add --yes if they are meant, or take larger steps",
            grouped(runs),
            length(took),
            memory(bytes)
        )))
    }
}

fn called_off(progress: &Progress, runs: u64) -> Failure {
    Failure::Computation(format!(
        "stopped after {} of {} runs; nothing was written",
        grouped(progress.runs()),
        grouped(runs)
    ))
}

fn failed(error: ShiftStudyError) -> Failure {
    match error {
        ShiftStudyError::Files(problems) => problems.into(),
        ShiftStudyError::Run(error) => Failure::Computation(error.to_string()),
        ShiftStudyError::NoShift => Failure::Input(
            "no gear is left before this gate, so there is no shift to vary; name a farther one with --to".to_owned(),
        ),
        ShiftStudyError::NotReached(scenario) => Failure::Computation(format!(
            "{scenario}: this start does not reach the mark, so there are no shifts to compare; `bitepoint run` shows why"
        )),
        ShiftStudyError::CalledOff => Failure::Computation("stopped; nothing was written".to_owned()),
    }
}

/// A number with its thousands set apart.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let first = digits.len() % 3;
    let (head, tail) = digits.split_at(first);
    let mut groups: Vec<&str> = if head.is_empty() { Vec::new() } else { vec![head] };
    groups.extend((0..tail.len()).step_by(3).map(|i| &tail[i..i + 3]));
    groups.join(" ")
}

fn length(time: Duration) -> String {
    let seconds = time.as_secs_f64();
    match seconds {
        ..=90.0 => format!("{seconds:.0} s"),
        ..=5400.0 => format!("{:.0} min", seconds / 60.0),
        ..=172_800.0 => format!("{:.0} h", seconds / 3600.0),
        _ => format!("{:.0} days", seconds / 86_400.0),
    }
}

fn memory(bytes: u64) -> String {
    let megabytes = bytes as f64 / 1e6;
    if megabytes < 1000.0 { format!("{megabytes:.0} MB") } else { format!("{:.1} GB", megabytes / 1000.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_numbers_are_told_in_groups_of_three() {
        let told = [7, 123, 1000, 25_000, 1_000_000_001].map(grouped);
        assert_eq!(told, ["7", "123", "1 000", "25 000", "1 000 000 001"]);
    }

    #[test]
    fn lengths_are_told_in_the_unit_that_fits() {
        let told = [5.0, 600.0, 7200.0, 864_000.0].map(|s| length(Duration::from_secs_f64(s)));
        assert_eq!(told, ["5 s", "10 min", "2 h", "10 days"]);
    }
}
