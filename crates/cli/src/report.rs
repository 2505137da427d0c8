//! A timed run in the words of the report: names, notes, rows of inputs.

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_physics::bounds::Standing;
use bitepoint_plot::format::Units;
use bitepoint_plot::launch::Described;
use bitepoint_plot::run::{Band, GateBand, InputRow, RunReport};
use bitepoint_runner::bands;
use bitepoint_runner::case::Case;
use bitepoint_runner::timed_run::TimedRun;

use crate::car;
use crate::notes::{advice, launch_from, notes};

/// What a report borrows.
pub(crate) struct Told {
    launch: Described,
    /// Where the launch comes from.
    pub(crate) launch_from: String,
    /// What would help a launch that went wrong.
    pub(crate) advice: Option<String>,
    title: String,
    command: String,
    bands: Vec<GateBand>,
    inputs: Vec<InputRow>,
    standings: Vec<Standing>,
    units: Units,
    /// Cautions of this run.
    pub(crate) notes: Vec<String>,
}

impl Told {
    /// `plan` is the command that recommends a launch for this car and scenario.
    pub(crate) fn new(case: &Case, timed: &TimedRun, command: String, plan: &str, units: Units) -> Self {
        let band = |b: bands::Band| Band { low_s: b.low_s, high_s: b.high_s };
        let rows = |entries: &[Entry]| entries.iter().map(row).collect::<Vec<_>>();
        Self {
            launch: Described::new(&timed.scenario.scenario.driver, &timed.run, &timed.samples),
            launch_from: launch_from(case),
            advice: advice(case, timed, plan),
            title: format!("{} on {}", timed.vehicle.name, timed.scenario.name),
            command,
            bands: timed
                .bands
                .gates
                .iter()
                .map(|g| GateBand {
                    gate: g.gate.to_owned(),
                    from_movement: band(g.from_movement),
                    with_rollout: g.with_rollout.map(band),
                })
                .collect(),
            inputs: [rows(&timed.vehicle.entries), rows(&timed.scenario.entries)].concat(),
            standings: timed.standings.iter().filter(|s| gates(units).contains(&s.gate)).cloned().collect(),
            units,
            notes: [car::told(&case.vehicle), notes(timed, units)].concat(),
        }
    }

    /// The launch in words, a sentence for each thing to do.
    pub(crate) fn instruction(&self) -> Vec<String> {
        self.launch.sentences(self.units)
    }

    pub(crate) fn report<'a>(&'a self, timed: &'a TimedRun) -> RunReport<'a> {
        let clutch = &timed.vehicle.vehicle.clutch;
        RunReport {
            title: &self.title,
            vehicle_name: &timed.vehicle.name,
            vehicle_note: "",
            scenario_name: &timed.scenario.name,
            scenario_note: "",
            command: &self.command,
            run: &timed.run,
            launch: &self.launch,
            launch_from: &self.launch_from,
            advice: self.advice.as_deref().unwrap_or_default(),
            samples: &timed.samples,
            standings: &self.standings,
            bands: &self.bands,
            band_runs: timed.bands.runs as usize,
            inputs: &self.inputs,
            notes: &self.notes,
            clutch_fade_start_c: clutch.fade_start_c,
            clutch_harm_c: clutch.harm_c,
            rollout_m: timed.scenario.scenario.rollout_m,
            units: self.units,
        }
    }
}

/// Gates at which this reader's run is held against its bounds.
fn gates(units: Units) -> [&'static str; 3] {
    match units {
        Units::Us => ["60 ft", "60 mph", "1320 ft"],
        Units::Si => ["60 ft", "100 km/h", "400 m"],
    }
}

fn row(entry: &Entry) -> InputRow {
    let path = entry.key.path;
    let part = path.rsplit_once('.').map_or("sheet", |(part, _)| part);
    InputRow {
        part: part.to_owned(),
        key: path.to_owned(),
        value_si: entry.value_text(UnitSystem::Si),
        value_us: entry.value_text(UnitSystem::Us),
        given: entry.given(),
        rule: entry.rule.to_owned(),
        origin: if entry.given() { String::new() } else { entry.origin.text() },
        spread_si: entry.spread_text(UnitSystem::Si),
        spread_us: entry.spread_text(UnitSystem::Us),
    }
}
