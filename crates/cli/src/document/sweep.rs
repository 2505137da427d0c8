//! What `sweep --json` prints, described by `schemas/sweep.schema.json`.

use bitepoint_plot::format::Units;
use bitepoint_plot::launch::Described;
use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::sweep::{Axis, Best, Cell, FateCount, LOSS_S, Recommendation, ShiftStudy, Sweep, Times};
use bitepoint_runner::target::Target;
use bitepoint_runner::tractive_effort::Crossing;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 2;

/// Runs with one or two inputs varied. All numbers are SI but for `numbers`; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint sweep")]
pub(crate) struct SweepDocument<'a> {
    /// What this document is: "bitepoint sweep".
    document: &'static str,
    /// Version of its form.
    version: u32,
    vehicle: InputFile<'a>,
    scenarios: Vec<InputFile<'a>>,
    /// What was to be reached.
    target: Target,
    /// What the times of the cells are.
    times: Times,
    /// What a start within a window loses at most against the best, s.
    loss_s: f64,
    /// One, or with `--shifts` one for each gear.
    sweeps: Vec<OneSweep<'a>>,
    /// What to note in reading the result, in words.
    notes: &'a [String],
}

/// Runs with one or two inputs varied.
#[derive(Serialize, JsonSchema)]
struct OneSweep<'a> {
    axes: Vec<OneAxis>,
    /// One for each scenario.
    fields: Vec<OneField<'a>>,
}

/// A recommended launch.
#[derive(Serialize, JsonSchema)]
struct Recommended {
    /// In words, a sentence for each thing to do.
    instruction: Vec<String>,
    launch: Launch,
    /// Its time, as the cells have theirs, s; nothing if it does not get there.
    time_s: Option<f64>,
}

/// An input and its values.
#[derive(Serialize, JsonSchema)]
struct OneAxis {
    /// Dotted key.
    key: &'static str,
    /// Number of the item of a list, counted from 1; nothing if the key is one value.
    item: Option<usize>,
    /// Unit of `numbers`; empty for bare numbers.
    unit: String,
    /// The values in that unit, rising.
    numbers: Vec<f64>,
    /// The values in SI base units.
    values_si: Vec<f64>,
}

/// The runs under one scenario.
#[derive(Serialize, JsonSchema)]
struct OneField<'a> {
    scenario: &'a str,
    /// The quickest; nothing if none reaches the target.
    best: Option<&'a Best>,
    /// The recommended launch of the car as it is, which is taken for whatever is neither varied nor in the files; nothing if there is none.
    recommended: Option<Recommended>,
    /// With `--shifts`: where the gear is best left by the pull of the gears alone.
    crossing: Option<Crossing>,
    /// With `--shifts`: engine speed at which the quickest run left the gear, after the driver's reaction, rad/s.
    left_at_radps: Option<f64>,
    /// How many runs share each fate.
    counts: Vec<FateCount>,
    /// One for each combination of values; the last axis runs fastest.
    cells: &'a [Cell],
}

impl OneAxis {
    fn new(axis: &Axis) -> Self {
        Self {
            key: axis.key().path,
            item: axis.item(),
            unit: axis.unit().to_owned(),
            numbers: (0..axis.len()).map(|i| axis.number(i)).collect(),
            values_si: (0..axis.len()).map(|i| axis.value(i).si).collect(),
        }
    }
}

impl Recommended {
    fn new(recommended: &Recommendation, units: Units) -> Self {
        let Recommendation { driver, time_s, run, samples } = recommended;
        Self {
            instruction: Described::new(driver, run, samples).sentences(units),
            launch: Launch::of(driver),
            time_s: *time_s,
        }
    }
}

fn one(sweep: &Sweep, units: Units) -> OneSweep<'_> {
    OneSweep {
        axes: sweep.axes.iter().map(OneAxis::new).collect(),
        fields: sweep
            .fields
            .iter()
            .map(|field| OneField {
                scenario: &field.scenario,
                best: field.best.as_ref(),
                recommended: field.recommended.as_ref().map(|r| Recommended::new(r, units)),
                crossing: None,
                left_at_radps: None,
                counts: field.counts(),
                cells: &field.cells,
            })
            .collect(),
    }
}

impl<'a> SweepDocument<'a> {
    pub(crate) fn of_sweep(
        cases: &'a [Case],
        resolved: &'a [Resolved],
        sweep: &'a Sweep,
        (notes, units): (&'a [String], Units),
    ) -> Option<Self> {
        Self::new(cases, resolved, sweep.target, (sweep.times, vec![one(sweep, units)]), notes)
    }

    pub(crate) fn of_shifts(
        cases: &'a [Case],
        resolved: &'a [Resolved],
        study: &'a ShiftStudy,
        (notes, units): (&'a [String], Units),
    ) -> Option<Self> {
        let times = study.gears.first()?.sweep.times;
        let sweeps = study
            .gears
            .iter()
            .map(|gear| {
                let mut sweep = one(&gear.sweep, units);
                for (field, found) in sweep.fields.iter_mut().zip(&gear.found) {
                    field.crossing = Some(found.crossing);
                    field.left_at_radps = found.shift.map(|shift| shift.engine_radps);
                }
                sweep
            })
            .collect();
        Self::new(cases, resolved, study.target, (times, sweeps), notes)
    }

    fn new(
        cases: &'a [Case],
        resolved: &'a [Resolved],
        target: Target,
        (times, sweeps): (Times, Vec<OneSweep<'a>>),
        notes: &'a [String],
    ) -> Option<Self> {
        let vehicle = InputFile::vehicle(&cases.first()?.vehicle, &resolved.first()?.vehicle);
        let scenarios =
            cases.iter().zip(resolved).map(|(c, r)| InputFile::scenario(&c.scenario, &r.scenario)).collect();
        Some(Self {
            document: "bitepoint sweep",
            version: VERSION,
            vehicle,
            scenarios,
            target,
            times,
            loss_s: LOSS_S,
            sweeps,
            notes,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<SweepDocument>("sweep");
    }
}
