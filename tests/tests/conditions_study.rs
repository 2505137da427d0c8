//! Corrections of measured times with their errors: against brute force, against cars whose truth is known, and on surveyed roads.

use bitepoint_checks::drawn_inputs::CARS;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::Tolerances;
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{
    Condition, Conditions, ConditionsError, Measurement, Reference, Request, StandardAir, Study, Timer, sensitivities,
    study,
};
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use statrs::distribution::{ContinuousCDF, Normal};

const DAY: &str = r#"
[road]
slope = { value = "-1 %", spread = "0.2 %" }
[air]
temperature = { value = "5 °C", spread = "1 °C" }
pressure = "1000 hPa"
humidity = "60 %"
headwind = { value = "-3 m/s", spread = "1 m/s" }
"#;

fn case(car: usize, day: &str, csv: &str) -> Case {
    let case = Case::new(
        VehicleFile::parse("car.toml", CARS[car]).unwrap_or_else(|e| panic!("{e}")),
        ScenarioFile::parse("day.toml", day, &|_| Ok(csv.to_owned())).unwrap_or_else(|e| panic!("{e}")),
    );
    case.launched(&Wanted::usual(), &Nobody).unwrap_or_else(|e| panic!("{e}"))
}

fn target(gate: &str, clock: Clock) -> Target {
    Target::named(gate, clock).expect("a gate")
}

fn request(gate: &str, draws: u32, times: Option<(f64, Option<f64>)>) -> Request {
    Request {
        target: target(gate, Clock::Rollout),
        reference: Reference::level_and_still(StandardAir::Iso2533, Clock::FirstMovement),
        measurement: times.map(|(time_s, back_s)| Measurement { time_s, back_s, timing_sd_s: 0.0, back_start_m: None }),
        draws,
        seed: 7,
        responses: false,
    }
}

fn asked(case: &Case, request: &Request) -> Study {
    study(case, request, &Nobody).unwrap_or_else(|e| panic!("{e:?}"))
}

/// A stream of standard normal deviates that is none of the project's: xorshift64* (G. Marsaglia, 2003; S. Vigna, 2016, from memory).
struct Deviates(u64);

impl Deviates {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        Normal::standard().inverse_cdf((bits as f64 + 0.5) / 2f64.powi(53))
    }

    /// A deviate for each uncertain key.
    fn car(&mut self, keys: &[&'static str]) -> impl Fn(&str) -> f64 + use<> {
        let each: Vec<(&'static str, f64)> = keys.iter().map(|key| (*key, self.next())).collect();
        move |key: &str| each.iter().find(|(k, _)| *k == key).map_or(0.0, |(_, z)| *z)
    }
}

/// What `ask` says of cars drawn at random, one by one.
fn brute_force<T>(case: &Case, cars: usize, seed: u64, ask: impl Fn(&Timer<'_>, f64) -> Option<T>) -> Vec<T> {
    let keys = case.uncertain_keys().expect("a right case");
    let expected = case.resolve().expect("a right case").vehicle.vehicle;
    let mut deviates = Deviates(seed);
    (0..cars)
        .filter_map(|_| {
            let (vehicle, scenario) = case.drawn(&expected, &deviates.car(&keys));
            let timer =
                Timer { vehicle: &vehicle, scenario: &scenario, gate: "60 mph", tolerances: Tolerances::default() };
            ask(&timer, scenario.rollout_m)
        })
        .collect()
}

/// The band of a study holds nine tenths of what independent random draws give, within what chance allows.
#[test]
fn bands_are_those_of_a_brute_force_monte_carlo() {
    let case = case(4, DAY, "");
    let study = asked(&case, &request("60 mph", 256, None));
    let drawn = brute_force(&case, 600, 0x9E37_79B9_7F4A_7C15, |timer, rollout_m| {
        sensitivities(timer, &Conditions::of(timer.scenario, rollout_m), rollout_m, 100.0)
    });
    assert!(drawn.len() > 590, "{} cars got there", drawn.len());
    for sensitivity in &study.sensitivities {
        let band = sensitivity.band_s_per_si.expect("256 draws");
        let of = |all: &[bitepoint_runner::conditions::Sensitivity]| {
            all.iter().find(|s| s.condition == sensitivity.condition).expect("each has one").s_per_si
        };
        let share =
            |holds: &dyn Fn(f64) -> bool| drawn.iter().filter(|all| holds(of(all))).count() as f64 / drawn.len() as f64;
        let (below, above) = (share(&|s| s < band.low_s), share(&|s| s > band.high_s));
        // Four standard errors of a twentieth of 600 draws and of 256.
        let allowed = 4.0 * (0.05 * 0.95 * (1.0 / 600.0 + 1.0 / 256.0_f64)).sqrt();
        for tail in [below, above] {
            assert!((tail - 0.05).abs() < allowed, "{:?}: {below} below, {above} above", sensitivity.condition);
        }
    }
}

/// Cars are drawn as the inputs allow, timed under the conditions and in the reference; their measured times are then corrected by a study
/// that knows the inputs only.
#[test]
fn nine_bands_in_ten_hold_the_time_that_the_same_car_takes_in_the_reference() {
    let case = case(0, DAY, "");
    let reference = Reference::level_and_still(StandardAir::Iso2533, Clock::FirstMovement).conditions;
    let truths = brute_force(&case, 24, 0x0123_4567_89AB_CDEF, |timer, rollout_m| {
        let day = Conditions::of(timer.scenario, rollout_m);
        Some((timer.time_s(&day)?, timer.time_s(&reference)?))
    });
    let mut held = 0;
    let (mut left_s, mut uncorrected_s) = (0.0, 0.0);
    for (measured_s, true_s) in &truths {
        let correction = asked(&case, &request("60 mph", 64, Some((*measured_s, None)))).correction;
        let band = correction.band_s.expect("64 draws");
        held += usize::from((band.low_s..=band.high_s).contains(true_s));
        left_s += (correction.corrected_s - true_s).powi(2);
        uncorrected_s += (measured_s - true_s).powi(2);
    }
    // 90 % of 24 is 21.6; fewer than 18 would come of chance once in fifty.
    assert!(truths.len() >= 22 && held >= 18, "{held} of {} bands hold the truth", truths.len());
    assert!(left_s < 0.05 * uncorrected_s, "{left_s} s² left of {uncorrected_s} s²");
}

#[test]
fn the_same_is_said_on_one_thread_and_on_two() {
    let case = case(0, DAY, "");
    let request = Request { responses: true, ..request("60 mph", 16, Some((5.9, Some(6.1)))) };
    let [one, two] = [1, 2].map(|threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| asked(&case, &request))
    });
    assert_eq!(one, two);
}

#[test]
fn shares_add_up_with_draws_too() {
    let study = asked(&case(0, DAY, ""), &request("60 mph", 32, Some((5.9, Some(6.1)))));
    let both = study.both_ways.expect("two times");
    let sum = |shares: &[bitepoint_runner::conditions::Share]| shares.iter().map(|s| s.change_s).sum::<f64>();
    let alone = &study.correction;
    assert!((sum(&alone.shares) - (alone.corrected_s - 5.9)).abs() < 1e-12);
    assert!((sum(&both.shares) - (both.corrected_s - 6.0)).abs() < 1e-12);
    assert!((both.corrected_s - 0.5 * (alone.corrected_s + both.back.corrected_s)).abs() < 1e-12);
}

/// Slope and wind hardly move the mean of both ways, however uncertain they are; alone they do.
#[test]
fn a_run_back_takes_out_what_is_not_known_of_slope_and_wind() {
    let unsure = DAY.replace("0.2 %", "0.6 %").replace("spread = \"1 m/s\"", "spread = \"3 m/s\"");
    let study = asked(&case(0, &unsure, ""), &request("60 mph", 64, Some((5.9, Some(6.1)))));
    let both = study.both_ways.expect("two times");
    let width = |shares: &[bitepoint_runner::conditions::Share], condition| {
        let band = shares.iter().find(|s| s.condition == condition).expect("a share").band_s.expect("draws");
        band.high_s - band.low_s
    };
    for condition in [Condition::Slope, Condition::Wind] {
        let (alone, together) = (width(&study.correction.shares, condition), width(&both.shares, condition));
        assert!(together < 0.35 * alone, "{condition:?}: {together} s together, {alone} s alone");
    }
}

const SURVEY: &str = "distance (m),height (m)\n0,6\n200,4\n400,2\n600,0\n";
const SURVEYED: &str = "[road]\nslope_profile = \"survey.csv\"\n";

#[test]
fn a_survey_of_one_slope_is_that_slope_wherever_the_car_starts() {
    let level = case(0, "[road]\nslope = \"-1 %\"\n", "");
    let constant = asked(&level, &request("660 ft", 0, Some((9.0, Some(9.5)))));
    for start in ["0 m", "150 m", "350 m"] {
        let day = format!("{SURVEYED}start_at = \"{start}\"\n[timing]\nfinish_distance = \"660 ft\"\n");
        // The same start, whatever the planner makes of what lies beyond the survey.
        let surveyed = Case { launch: level.launch.clone(), ..case(0, &day, SURVEY) };
        let surveyed = asked(&surveyed, &request("660 ft", 0, Some((9.0, Some(9.5)))));
        assert!((surveyed.correction.corrected_s - constant.correction.corrected_s).abs() < 1e-3);
        let both = [&surveyed, &constant].map(|s| s.both_ways.as_ref().expect("two times").corrected_s);
        assert!((both[0] - both[1]).abs() < 1e-3, "{both:?}");
    }
}

#[test]
fn a_run_that_leaves_the_survey_is_refused() {
    let late = case(0, &format!("{SURVEYED}start_at = \"550 m\"\n[timing]\nfinish_speed = \"60 mph\"\n"), SURVEY);
    let error = study(&late, &request("60 mph", 0, Some((5.9, None))), &Nobody).expect_err("50 m are too few");
    assert!(matches!(error, ConditionsError::OffTheSurvey { back: false, .. }), "{error:?}");
    let early = case(0, &format!("{SURVEYED}start_at = \"0 m\"\n[timing]\nfinish_speed = \"60 mph\"\n"), SURVEY);
    let mut request = request("60 mph", 0, Some((5.9, Some(6.2))));
    request.measurement = request.measurement.map(|m| Measurement { back_start_m: Some(20.0), ..m });
    let error = study(&early, &request, &Nobody).expect_err("20 m are too few");
    assert!(matches!(error, ConditionsError::OffTheSurvey { back: true, .. }), "{error:?}");
}
