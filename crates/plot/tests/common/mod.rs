//! Real runs of the checks' cars, and the rest that a report needs.
#![allow(dead_code, reason = "each test takes what it needs")]

use bitepoint_checks::cars;
use bitepoint_physics::bounds::{Standing, standings};
use bitepoint_physics::driver::{Trim, WheelspinResponse};
use bitepoint_physics::road::Slope;
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_plot::format::Units;
use bitepoint_plot::launch::Described;
use bitepoint_plot::run::{Band, GateBand, InputRow, RunReport};

/// A run with what stands beside it in a report.
pub(crate) struct Case {
    pub(crate) name: &'static str,
    pub(crate) vehicle: Vehicle,
    pub(crate) run: Run,
    pub(crate) launch: Described,
    pub(crate) samples: Vec<Sample>,
    pub(crate) standings: Vec<Standing>,
    pub(crate) bands: Vec<GateBand>,
    pub(crate) inputs: Vec<InputRow>,
    pub(crate) notes: Vec<String>,
    pub(crate) command: String,
}

impl Case {
    pub(crate) fn new(name: &'static str, vehicle: Vehicle, scenario: &Scenario) -> Self {
        let (run, samples) =
            simulate_sampled(&vehicle, scenario, &Tolerances::default(), 0.005).expect("a check's car runs");
        let standings = standings(&vehicle, scenario, &run, &samples, &["60 ft", "60 mph", "1320 ft"]);
        let bands = run
            .gates
            .iter()
            .filter_map(|gate| {
                let at = gate.passed?;
                // Any band does here: a fiftieth to either side.
                let around = |time_s: f64| Band { low_s: 0.98 * time_s, high_s: 1.02 * time_s };
                Some(GateBand {
                    gate: gate.name.to_owned(),
                    from_movement: around(at.time_s),
                    with_rollout: at.with_rollout_s.map(around),
                })
            })
            .collect();
        Self {
            name,
            vehicle,
            launch: Described::new(&scenario.driver, &run, &samples),
            run,
            samples,
            standings,
            bands,
            inputs: inputs(),
            notes: vec!["The clutch <face> & its mass were hot: 1 < 2.".to_owned()],
            command: format!("bitepoint run vehicles/{name}.toml scenarios/dry.toml"),
        }
    }

    pub(crate) fn report(&self, units: Units) -> RunReport<'_> {
        RunReport {
            title: self.name,
            vehicle_name: self.name,
            vehicle_note: "An invented car in which every value is an ordinary one.",
            scenario_name: "a level road",
            scenario_note: "Level road, 25 °C, 990 hPa, no wind.",
            command: &self.command,
            run: &self.run,
            launch: &self.launch,
            launch_from: "recommended",
            advice: "",
            samples: &self.samples,
            standings: &self.standings,
            bands: &self.bands,
            band_runs: 500,
            inputs: &self.inputs,
            notes: &self.notes,
            clutch_fade_start_c: self.vehicle.clutch.fade_start_c,
            clutch_harm_c: self.vehicle.clutch.harm_c,
            rollout_m: 0.3048,
            units,
        }
    }
}

fn inputs() -> Vec<InputRow> {
    let row = |part: &str, key: &str, si: &str, us: &str, rule: &str, origin: &str, spread: &str| InputRow {
        part: part.to_owned(),
        key: key.to_owned(),
        value_si: si.to_owned(),
        value_us: us.to_owned(),
        given: rule.is_empty(),
        rule: rule.to_owned(),
        origin: origin.to_owned(),
        spread_si: spread.to_owned(),
        spread_us: spread.to_owned(),
    };
    vec![
        row("body", "mass", "1480 kg", "3260 lb", "", "", "± 1 %"),
        row(
            "body",
            "drag_area",
            "0.68 m²",
            "7.3 ft²",
            "frontal area 1.6 + 0.00056 (mass − 765) m², times 0.31",
            "Wong, Theory of Ground Vehicles",
            "± 8 %",
        ),
        row(
            "clutch",
            "capacity",
            "560 N·m",
            "413 lbf·ft",
            "1.4 times the engine's peak torque",
            "common practice",
            "± 15 %",
        ),
        row("engine", "peak_torque", "400 N·m at 4400 rpm", "295 lbf·ft at 4400 rpm", "", "", ""),
    ]
}

pub(crate) fn spin() -> Case {
    let mut scenario = cars::dry(3500.0);
    scenario.driver.wheelspin =
        WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.2, gain: 1.2, foot_per_s: 4.0 });
    Case::new("rear-drive coupe", cars::rear_drive(), &scenario)
}

pub(crate) fn boosted() -> Case {
    let mut scenario = cars::dry(4500.0);
    scenario.driver.release_s = 2.0;
    scenario.driver.throttle_lead_s = 0.3;
    Case::new("all-wheel-drive hatch", cars::all_wheel_drive(), &scenario)
}

pub(crate) fn wet() -> Case {
    let mut scenario = cars::wet(3500.0);
    scenario.driver.release_s = 1.5;
    Case::new("front-drive hatch", cars::front_drive(), &scenario)
}

/// Started in a tall gear from low revs: the engine stalls.
pub(crate) fn stalled() -> Case {
    let mut scenario = cars::dry(900.0);
    scenario.driver.release_s = 0.2;
    let mut vehicle = cars::rear_drive();
    vehicle.gearbox.gears = vehicle.gearbox.gears.split_off(3);
    Case::new("stalled coupe", vehicle, &scenario)
}

/// Stalled at once on a hill too steep to start on.
pub(crate) fn rolled_back() -> Case {
    let mut scenario = cars::dry(1200.0);
    scenario.slope = Slope::Constant { rise_per_run: 0.35 };
    scenario.driver.release_s = 3.0;
    Case::new("coupe on a hill", cars::rear_drive(), &scenario)
}

/// Given up long before its finish.
pub(crate) fn out_of_time() -> Case {
    let mut scenario = cars::dry(3000.0);
    scenario.time_limit_s = 5.0;
    Case::new("slow coupe", cars::rear_drive(), &scenario)
}

/// The same case again, to change.
pub(crate) fn copy(case: &Case) -> Case {
    Case {
        name: case.name,
        vehicle: case.vehicle.clone(),
        run: case.run.clone(),
        launch: case.launch.clone(),
        samples: case.samples.clone(),
        standings: case.standings.clone(),
        bands: case.bands.clone(),
        inputs: case.inputs.clone(),
        notes: case.notes.clone(),
        command: case.command.clone(),
    }
}

/// The page as XML: its few elements without an end tag are closed first. All else must be well-formed as it stands.
pub(crate) fn parse(html: &str) -> String {
    let body = html.strip_prefix("<!DOCTYPE html>").expect("a page begins with its doctype");
    let mut xml = String::new();
    let mut rest = body;
    let empty = |rest: &str| ["<meta ", "<wbr"].iter().filter_map(|tag| rest.find(tag)).min();
    while let Some(at) = empty(rest) {
        let end = at + rest[at..].find('>').expect("a tag ends");
        xml.push_str(&rest[..end]);
        xml.push('/');
        rest = &rest[end..];
    }
    xml + rest
}
