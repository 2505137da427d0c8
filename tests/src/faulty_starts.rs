//! Made starts with one fault each (some with none), logged by made instruments, and what a review finds in them.
//!
//! What is true is read off the simulated run, not off what was asked of it: a fault is there if it is well past the size at
//! which a review names it, not there if it is well short of it, and counts for neither between.

use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::run::{Limit, Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runlog::gears::known_ratios;
use bitepoint_runlog::log::Log;
use bitepoint_runlog::measure::{MeasuredRun, ROLLOUT_M};
use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runlog::start::find_starts;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{Wanted, recommend};
use bitepoint_runner::review::{FaultKind, Review, Yardstick, doubts, review, timed, unlike};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use crate::made_log::{Recorder, made_log};
use crate::made_runs::{MadeRun, SAMPLE_S, car_file, day_file, uniform};

/// What all starts go to.
pub const TARGET: Target = Target { gate: "100 km/h", clock: Clock::FirstMovement };
/// Rates of the logs, Hz.
pub const RATES_HZ: [f64; 4] = [10.0, 20.0, 50.0, 100.0];

/// The recommended launches of every example car on a dry and a wet day.
#[must_use]
pub fn yardsticks() -> Vec<(&'static str, Yardstick)> {
    let both: Vec<(usize, usize)> = (0..5).flat_map(|c| [(c, 0), (c, 1)]).collect();
    both.into_par_iter()
        .filter_map(|(c, d)| {
            let (name, file) = car_file(c);
            // On the wet day the driver means to shift well under the redline, so that there is such a thing as a late shift: left to the
            // planner these cars' gears are used to the redline, and the limiter is not far beyond.
            let redline = file.resolve().vehicle.engine.redline_radps;
            let early = format!("[\"{} rad/s\"]", 0.88 * redline);
            let day = if d == 0 { day_file(d) } else { day_file(d).with("shifting.shift_at", &early).expect("revs") };
            let case = Case::new(file, day);
            let found = recommend(&case, &Wanted::to(TARGET), &Nobody).ok()?;
            let resolved = case.resolve().expect("the examples go together");
            let (vehicle, scenario) = (&resolved.vehicle.vehicle, &resolved.scenario.scenario);
            let made = Yardstick::new(vehicle, scenario, TARGET, &found.launch).expect("a run that can be computed");
            Some((name, made?))
        })
        .collect()
}

/// One kind's counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// There and named.
    pub hits: u32,
    /// There and not named.
    pub missed: u32,
    /// Named and not there.
    pub invented: u32,
    /// Neither there nor named.
    pub quiet: u32,
    /// Of a size for which either answer is right.
    pub between: u32,
}

impl Counts {
    /// Share of the named that are there.
    #[must_use]
    pub fn precision(&self) -> f64 {
        f64::from(self.hits) / f64::from((self.hits + self.invented).max(1))
    }

    /// Share of those there that are named.
    #[must_use]
    pub fn recall(&self) -> f64 {
        f64::from(self.hits) / f64::from((self.hits + self.missed).max(1))
    }

    fn add(&mut self, truth: Option<bool>, named: bool) {
        *match (truth, named) {
            (None, _) => &mut self.between,
            (Some(true), true) => &mut self.hits,
            (Some(true), false) => &mut self.missed,
            (Some(false), true) => &mut self.invented,
            (Some(false), false) => &mut self.quiet,
        } += 1;
    }
}

/// A made faulty start and its review.
pub struct Judged {
    /// Name of the car's file.
    pub car: &'static str,
    /// Rate of its log, Hz.
    pub hz: f64,
    /// What was asked for; nothing for a start as it should be.
    pub asked: Option<FaultKind>,
    /// Whether each kind is there, in the order of `FaultKind::ALL`; nothing where either answer is right.
    pub truth: [Option<bool>; 10],
    /// What was found.
    pub review: Review,
}

impl Judged {
    /// Whether the review names a kind.
    #[must_use]
    pub fn named(&self, kind: FaultKind) -> bool {
        self.review.starts.iter().any(|s| s.faults.iter().any(|f| f.kind == kind))
    }
}

/// So many starts of this seed.
#[must_use]
pub fn judged(yardsticks: &[(&'static str, Yardstick)], count: usize, seed: u64) -> Vec<Judged> {
    (0..count).into_par_iter().filter_map(|i| one(yardsticks, i, seed)).collect()
}

/// Counts of each kind, in the order of `FaultKind::ALL`, over the starts that `taken` says.
#[must_use]
pub fn counts(judged: &[Judged], taken: impl Fn(&Judged) -> bool) -> [Counts; 10] {
    let mut counts = [Counts::default(); 10];
    for start in judged.iter().filter(|j| taken(j)) {
        for (kind, count) in FaultKind::ALL.into_iter().zip(&mut counts) {
            count.add(start.truth[kind as usize], start.named(kind));
        }
    }
    counts
}

/// A made start before anybody looks at it.
struct Made {
    yardstick: usize,
    hz: f64,
    asked: Option<FaultKind>,
    truth: [Option<bool>; 10],
    log: Log,
}

fn made(yardsticks: &[(&'static str, Yardstick)], i: usize, seed: u64) -> Option<Made> {
    let mut rng = Pcg64Mcg::new(u128::from(seed) << 64 | (i as u128) << 1 | 1);
    let asked = FaultKind::ALL.get(i % 11).copied();
    let hz = RATES_HZ[(i / 11) % RATES_HZ.len()];
    // A fault that this car cannot have on this day (or a stall) is drawn anew.
    for _ in 0..60 {
        let yardstick = uniform(&mut rng, 0.0, yardsticks.len() as f64) as usize;
        let (name, best) = &yardsticks[yardstick];
        let (vehicle, scenario) = faulty(best, asked, &mut rng);
        let Ok((run, samples)) = simulate_sampled(&vehicle, &scenario, &Tolerances::default(), SAMPLE_S) else {
            continue;
        };
        if run.ending != bitepoint_physics::run::Ending::Finished {
            continue;
        }
        let truth = truth(best, &vehicle, &run, &samples);
        if asked.is_some_and(|kind| truth[kind as usize] != Some(true)) {
            continue;
        }
        let run = MadeRun { car: name, vehicle, scenario, run, samples };
        let recorder = Recorder {
            speed_noise_mps: uniform(&mut rng, 0.02, 0.1),
            speed_latency_s: uniform(&mut rng, 0.0, 0.3),
            dropouts_per_minute: 0.0,
            ..Recorder::full(hz)
        };
        let log = made_log(&[&run], &recorder, seed * 7919 + i as u64);
        let log = read_from("made", log.csv.as_bytes(), &Reading::default()).expect("a log");
        return Some(Made { yardstick, hz, asked, truth, log });
    }
    None
}

fn one(yardsticks: &[(&'static str, Yardstick)], i: usize, seed: u64) -> Option<Judged> {
    let made = made(yardsticks, i, seed)?;
    let (car, best) = &yardsticks[made.yardstick];
    let review = review(&made.log, runs(&made.log), best.clone());
    Some(Judged { car, hz: made.hz, asked: made.asked, truth: made.truth, review })
}

/// How the log of one car was taken as that of one.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Whether both are the same car.
    pub own: bool,
    /// The car that was driven, and the one whose log it was said to be.
    pub driven: &'static str,
    /// The latter.
    pub reviewed: &'static str,
    /// What was asked for.
    pub asked: Option<FaultKind>,
    /// Whether the log was refused.
    pub refused: bool,
    /// What was doubted.
    pub doubts: Vec<String>,
    /// How far the engine is from the model's, of the limiter's speed.
    pub engine_off: Option<f64>,
}

/// So many made starts, each taken as its own car's and as that of each other car on the same day.
#[must_use]
pub fn own_or_other(yardsticks: &[(&'static str, Yardstick)], count: usize, seed: u64) -> Vec<Taken> {
    let all = (0..count).into_par_iter().filter_map(|i| made(yardsticks, i, seed)).flat_map_iter(|made| {
        let (driven, day) = (yardsticks[made.yardstick].0, made.yardstick % 2);
        let same_day = yardsticks.iter().enumerate().filter(move |(i, _)| i % 2 == day).map(|(_, y)| y);
        let taken: Vec<Taken> = same_day.map(|(name, best)| taken(&made, driven, name, best)).collect();
        taken
    });
    all.collect()
}

/// The starts of a log, timed with the usual rollout.
#[must_use]
pub fn runs(log: &Log) -> Vec<MeasuredRun> {
    timed(log, &find_starts(log).starts, ROLLOUT_M)
}

fn taken(made: &Made, driven: &'static str, reviewed: &'static str, best: &Yardstick) -> Taken {
    let runs = runs(&made.log);
    let found = doubts(&made.log, &runs, &best.vehicle, &best.scenario);
    let refused = found.iter().any(|d| d.refuses);
    let reviewed_as = (!refused).then(|| review(&made.log, runs, best.clone()));
    let after = reviewed_as.as_ref().and_then(|r| unlike(&made.log, r));
    let refused = refused || after.as_ref().is_some_and(|d| d.refuses);
    let engine_off = reviewed_as.iter().flat_map(|r| &r.starts).filter_map(|s| s.engine_off).min_by(f64::total_cmp);
    let doubts: Vec<String> = found.into_iter().chain(after).map(|d| d.what).collect();
    Taken { own: driven == reviewed, driven, reviewed, asked: made.asked, refused, doubts, engine_off }
}

/// The recommended launch with one thing wrong, and small errors elsewhere; driven a little past the gate.
fn faulty(best: &Yardstick, asked: Option<FaultKind>, rng: &mut Pcg64Mcg) -> (Vehicle, Scenario) {
    let (mut vehicle, mut scenario) = (best.vehicle.clone(), best.scenario.clone());
    let cut = vehicle.engine.limiter.cut_radps;
    let driver = &mut scenario.driver;
    driver.held_radps *= uniform(rng, 0.98, 1.02);
    driver.kept_radps = (driver.kept_radps * uniform(rng, 0.97, 1.03)).min(driver.held_radps);
    driver.release_s *= uniform(rng, 0.97, 1.03);
    let mut end_mps = 29.5;
    match asked {
        Some(FaultKind::Wheelspin) => {
            driver.held_radps = uniform(rng, 0.6, 0.9) * cut;
            driver.release_s = uniform(rng, 0.1, 0.35);
            driver.throttle_ease_s = 0.1;
            driver.wheelspin = WheelspinResponse::None;
            driver.clutch_feel = None;
        }
        Some(FaultKind::Bog) => {
            driver.held_radps = vehicle.engine.idle_radps * uniform(rng, 1.1, 2.0);
            driver.release_s = uniform(rng, 0.3, 0.9);
            // Who keeps the revs with the pedal does not bog.
            driver.clutch_feel = None;
        }
        Some(FaultKind::ClutchSlip) => {
            let (_, most_nm) = vehicle.engine.full_load_nm.largest(200, |_, t| t);
            vehicle.clutch.clamp_n *= uniform(rng, 0.65, 0.95) * most_nm / vehicle.clutch.full_capacity_nm();
        }
        Some(FaultKind::SlowRelease) => driver.release_s = driver.release_s * 1.5 + uniform(rng, 0.4, 1.5),
        Some(FaultKind::LateThrottle) => driver.throttle_ease_s += uniform(rng, 0.7, 2.0),
        Some(FaultKind::EarlyLift) => {
            end_mps = uniform(rng, 18.0, 26.0);
        }
        Some(FaultKind::EarlyShift) => {
            driver.shift_at_radps.iter_mut().for_each(|w| *w *= uniform(rng, 0.7, 0.88));
        }
        Some(FaultKind::LateShift) => {
            driver.shift_at_radps.iter_mut().for_each(|w| *w = (*w * uniform(rng, 1.07, 1.2)).min(0.985 * cut));
        }
        Some(FaultKind::LimiterBounce) => {
            driver.shift_at_radps.iter_mut().for_each(|w| *w = 0.985 * cut);
            driver.shift_reaction_s = uniform(rng, 0.7, 1.3);
        }
        Some(FaultKind::MissedShift) => vehicle.gearbox.shift.change_s += uniform(rng, 0.7, 1.4),
        None => {}
    }
    scenario.finish = bitepoint_physics::vehicle::Finish::Speed { speed_mps: end_mps };
    (vehicle, scenario)
}

/// Whether a size is past one limit, or short of another.
fn sized(size: f64, no: f64, yes: f64) -> Option<bool> {
    if size >= yes { Some(true) } else { (size <= no).then_some(false) }
}

fn truth(best: &Yardstick, vehicle: &Vehicle, run: &Run, samples: &[Sample]) -> [Option<bool>; 10] {
    let gate_s = samples.iter().find(|s| s.speed_mps >= 100.0 / 3.6).map_or(f64::INFINITY, |s| s.time_s);
    let before: Vec<&Sample> = samples.iter().filter(|s| s.time_s < gate_s).collect();
    let first_shift_s = run.shifts.first().map_or(f64::INFINITY, |s| s.time_s);
    // The longest time on end, s.
    let longest = |holds: &dyn Fn(&Sample) -> bool| {
        let (mut on_s, mut most_s) = (0.0_f64, 0.0_f64);
        for sample in &before {
            on_s = if holds(sample) { on_s + SAMPLE_S } else { 0.0 };
            most_s = most_s.max(on_s);
        }
        most_s
    };
    let ratios = known_ratios(vehicle);
    // Wheelspin that the recommended launch has, too, is none of the driver's.
    let planned_mps = |speed_mps: f64| {
        let near = best.samples.iter().filter(|s| (s.speed_mps - speed_mps).abs() < 1.0);
        1.35 * near.map(|s| s.tread_mps - s.speed_mps).fold(0.0, f64::max) + 1.0
    };
    let least = |s: &Sample| 1.5_f64.max(0.15 * s.speed_mps).max(planned_mps(s.speed_mps));
    let out = |s: &Sample| s.pedal >= 0.95 && s.gear > 0;
    let spin_s = longest(&|s| out(s) && !s.clutch_slipping && s.tread_mps - s.speed_mps > least(s));
    let spin_in_release_s = longest(&|s| s.tread_mps - s.speed_mps > least(s));
    let slips = |s: &Sample| {
        out(s) && s.clutch_slipping && (s.engine_radps - s.input_radps) / ratios[usize::from(s.gear) - 1] > least(s)
    };
    let slip_s = longest(&slips);
    let slip = match sized(longest(&|s| slips(s) && s.tread_mps - s.speed_mps <= least(s)), 0.15, 0.5) {
        // That the clutch slips while the tyres spin shows in no log without wheel speeds.
        Some(false) if slip_s > 0.15 => None,
        other => other,
    };
    let spins = match sized(spin_s, 0.1, 0.5) {
        // Spin while the pedal comes up shows in no log without wheel speeds.
        Some(false) if spin_in_release_s > 0.2 => None,
        other => other,
    };
    let bog_limit = best.run.launch.lowest_radps;
    let lowest = before
        .iter()
        .filter(|s| s.time_s > -0.3 && s.time_s < first_shift_s && s.pedal > 0.1)
        .map(|s| s.engine_radps)
        .fold(f64::INFINITY, f64::min);
    let (_, most_nm) = vehicle.engine.full_load_nm.largest(200, |_, t| t);
    let engine = &vehicle.engine;
    let useful = (0..400)
        .map(|i| engine.idle_radps + (engine.limiter.cut_radps - engine.idle_radps) * f64::from(i) / 400.0)
        .find(|w| engine.full_load_nm.value(*w) >= 0.75 * most_nm)
        .unwrap_or(engine.limiter.cut_radps);
    let bog = sized(1.0 - lowest / bog_limit.min(useful), 0.05, 0.12);
    // Of the pedal's way up as anybody sees it: who keeps the revs has it up when the road has caught up.
    let up_s = |samples: &[Sample]| {
        let half = samples.iter().position(|s| s.pedal >= 0.5)?;
        let from = samples[..half].iter().rfind(|s| s.pedal <= 0.05)?;
        Some(samples[half..].iter().find(|s| s.pedal >= 0.95)?.time_s - from.time_s)
    };
    let slow = match (up_s(samples), up_s(&best.samples)) {
        (Some(made_s), Some(planned_s)) if made_s < 1.2 * planned_s => Some(false),
        (Some(made_s), Some(planned_s)) => sized(made_s - 1.4 * planned_s, 0.2, 0.4),
        _ => None,
    };
    let wide_s = |samples: &[Sample]| samples.iter().find(|s| s.throttle >= 0.9).map_or(f64::INFINITY, |s| s.time_s);
    // A throttle that is nearly wide when a shift begins is wide before or after it by a hair: that is neither.
    let later_s = |share: f64| {
        let reaches_s =
            |samples: &[Sample]| samples.iter().find(|s| s.throttle >= share).map_or(f64::INFINITY, |s| s.time_s);
        reaches_s(samples) - reaches_s(&best.samples)
    };
    let late_throttle = match (sized(later_s(0.9), 0.3, 0.5), sized(later_s(0.8), 0.3, 0.5)) {
        // A throttle that was half open in time is late for wheelspin alone.
        (Some(true), Some(true)) if later_s(0.6) < 0.35 => (later_s(0.6) < 0.1).then_some(false),
        (a, b) if a == b => a,
        _ => None,
    };
    let open_s = wide_s(samples);
    let planned_throttle = |speed_mps: f64| {
        let near = best.samples.iter().filter(|s| s.time_s > 0.0 && (s.speed_mps - speed_mps).abs() < 1.5);
        near.map(|s| s.throttle).fold(1.0, f64::min)
    };
    let lift_s = longest(&|s| {
        out(s) && s.time_s > open_s && s.throttle < 0.55 * planned_throttle(s.speed_mps) && !s.clutch_slipping
    });
    let lift = match sized(lift_s, 0.05, 0.25) {
        _ if gate_s.is_infinite() => Some(true),
        // A throttle that is trimmed for wheelspin is that fault's.
        Some(true) if spin_in_release_s > 0.2 => None,
        sized => sized,
    };
    let planned = |gear: u8| {
        let shift = best.run.shifts.iter().find(|s| s.from_gear == gear);
        shift.map_or(engine.limiter.cut_radps, |s| s.engine_radps)
    };
    let shifts: Vec<_> = run.shifts.iter().filter(|s| s.time_s < gate_s).collect();
    let most = |of: &dyn Fn(&bitepoint_physics::run::Shift) -> f64| shifts.iter().map(|s| of(s)).fold(-1.0, f64::max);
    // In a gear that the best run never reaches nothing tells when to leave it.
    let reached = best.run.shifts.len() + 1;
    let left_early = |s: &bitepoint_physics::run::Shift| {
        if usize::from(s.from_gear) > reached { -1.0 } else { 1.0 - s.engine_radps / planned(s.from_gear) }
    };
    let early = sized(most(&left_early), 0.06, 0.1);
    let on_limiter_s = most(&|s| s.on_limiter_s);
    let late = match sized(most(&|s| s.engine_radps / planned(s.from_gear) - 1.0), 0.025, 0.055) {
        Some(true) if on_limiter_s > 0.1 => None,
        other => other,
    };
    // Also in a gear that is not left before the gate: fuel is cut for a part of the time only.
    // While tyres spin they are the limit: that the engine brakes at an open throttle shows the cut all the same.
    let is_cut = |s: &&&Sample| s.limit == Limit::Limiter || s.engine_nm < 0.0 && s.throttle > 0.5;
    let cut_s = SAMPLE_S * before.iter().filter(|s| s.time_s > 0.2).filter(is_cut).count() as f64;
    let limiter = if on_limiter_s >= 0.5 { Some(true) } else { sized(cut_s, 0.02, 0.3) };
    let usual_s = {
        let timing = &best.vehicle.gearbox.shift;
        let made = best.run.shifts.iter().filter_map(|s| s.duration_s).fold(0.0, f64::max);
        made.max(timing.clutch_out_s + timing.change_s + timing.clutch_in_s)
    };
    // A clutch that slips on after a shift is told as that.
    let missed =
        sized(most(&|s| s.duration_s.unwrap_or(0.0) - usual_s), 0.35, 0.7).filter(|there| !there || slip_s < 0.15);
    [spins, bog, slip, slow, late_throttle, lift, early, late, limiter, missed]
}
