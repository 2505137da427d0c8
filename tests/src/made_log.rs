//! Logs made from simulated runs as an instrument would have written them: rate, noise, latency, steps, drop-outs.

use std::fmt::Write;

use bitepoint_physics::run::Sample;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

use crate::made_runs::{MadeRun, SAMPLE_S, uniform};

/// An instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recorder {
    /// Rows a second.
    pub hz: f64,
    /// Measurements of the speed a second; rows between repeat the last one.
    pub speed_hz: f64,
    /// Standard deviation of the speed, m/s; a standing car shows its size.
    pub speed_noise_mps: f64,
    /// By how much the speed is late, s.
    pub speed_latency_s: f64,
    /// Step of the speed, km/h; 0 for none.
    pub speed_step_kmh: f64,
    /// Drop-outs of the speed a minute, each of 0.2 to 1.2 s.
    pub dropouts_per_minute: f64,
    /// Standard deviation of the engine speed, rpm.
    pub engine_noise_rpm: f64,
    /// Standard deviation of the acceleration, m/s².
    pub acceleration_noise_mps2: f64,
    /// Whether engine speed, throttle and clutch pedal are there.
    pub engine: bool,
    /// Whether acceleration is there.
    pub acceleration: bool,
}

impl Recorder {
    /// A satellite receiver with nothing else: noise of 0.05 m/s, 0.2 s late, steps of 0.01 km/h, a drop-out now and then.
    #[must_use]
    pub fn receiver(hz: f64) -> Self {
        Self {
            hz,
            speed_hz: hz,
            speed_noise_mps: 0.05,
            speed_latency_s: 0.2,
            speed_step_kmh: 0.01,
            dropouts_per_minute: 0.5,
            engine_noise_rpm: 20.0,
            acceleration_noise_mps2: 0.15,
            engine: false,
            acceleration: false,
        }
    }

    /// The same with the engine's channels and acceleration.
    #[must_use]
    pub fn full(hz: f64) -> Self {
        Self { engine: true, acceleration: true, ..Self::receiver(hz) }
    }
}

/// A made log.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeLog {
    /// Its text, with commas.
    pub csv: String,
    /// When each run's car first moved on the log's clock, s; the log's speed shows it `speed_latency_s` later.
    pub moved_s: Vec<f64>,
}

/// Deceleration of a driver who has finished, m/s².
const BRAKING_MPS2: f64 = 4.0;

/// One run's place on the log's clock.
struct Placed<'a> {
    run: &'a MadeRun,
    moved_s: f64,
    ended_s: f64,
    stopped_s: f64,
}

/// The car at one moment.
struct Now {
    speed_mps: f64,
    acceleration_mps2: f64,
    engine_radps: f64,
    throttle: f64,
    pedal: f64,
}

impl Placed<'_> {
    fn at(&self, time_s: f64) -> Now {
        let since_s = time_s - self.moved_s;
        let idle_radps = self.run.vehicle.engine.idle_radps;
        if time_s > self.ended_s {
            let last = self.run.samples[self.run.samples.len() - 1];
            let braking = time_s < self.stopped_s;
            return Now {
                speed_mps: (last.speed_mps - BRAKING_MPS2 * (time_s - self.ended_s)).max(0.0),
                acceleration_mps2: if braking { -BRAKING_MPS2 } else { 0.0 },
                engine_radps: idle_radps,
                throttle: 0.0,
                pedal: 0.0,
            };
        }
        let samples = &self.run.samples;
        let first = &samples[0];
        if since_s < first.time_s {
            // The driver raises the revs two seconds before the pedal moves.
            let held = since_s > first.time_s - 2.0;
            return Now {
                speed_mps: 0.0,
                acceleration_mps2: 0.0,
                engine_radps: if held { first.engine_radps } else { idle_radps },
                throttle: if held { first.throttle } else { 0.0 },
                pedal: 0.0,
            };
        }
        let k = samples.partition_point(|s| s.time_s <= since_s).clamp(1, samples.len() - 1);
        let (a, b) = (&samples[k - 1], &samples[k]);
        let share = ((since_s - a.time_s) / (b.time_s - a.time_s)).clamp(0.0, 1.0);
        let mix = |of: fn(&Sample) -> f64| of(a) + share * (of(b) - of(a));
        Now {
            speed_mps: mix(|s| s.speed_mps),
            acceleration_mps2: mix(|s| s.acceleration_mps2),
            engine_radps: mix(|s| s.engine_radps),
            throttle: mix(|s| s.throttle),
            pedal: mix(|s| s.pedal),
        }
    }
}

/// Writes runs one after another into a log: a standstill of 6 to 12 s, the run, braking to a stop, and so on.
#[must_use]
pub fn made_log(runs: &[&MadeRun], recorder: &Recorder, seed: u64) -> MadeLog {
    let mut rng = Pcg64Mcg::new(u128::from(seed) << 1 | 1);
    let mut clock_s = 0.0;
    let placed: Vec<Placed<'_>> = runs
        .iter()
        .map(|run| {
            let moved_s = clock_s + uniform(&mut rng, 6.0, 12.0);
            let last = run.samples[run.samples.len() - 1];
            let ended_s = moved_s + last.time_s;
            let stopped_s = ended_s + last.speed_mps / BRAKING_MPS2;
            clock_s = stopped_s;
            Placed { run, moved_s, ended_s, stopped_s }
        })
        .collect();
    let end_s = clock_s + 5.0;
    let at = |time_s: f64| {
        let current = placed.iter().find(|p| time_s < p.stopped_s + 3.0).unwrap_or(&placed[placed.len() - 1]);
        current.at(time_s)
    };
    let dropouts = dropouts(end_s, recorder.dropouts_per_minute, &mut rng);
    let mut normal = |sd: f64| -> f64 { sd * Distribution::<f64>::sample(&StandardNormal, &mut rng) };
    let mut csv = "time (s),speed (km/h)".to_owned();
    if recorder.engine {
        csv.push_str(",engine speed (rpm),throttle (%),clutch pedal (%)");
    }
    if recorder.acceleration {
        csv.push_str(",\"acceleration, forward (g)\"");
    }
    csv.push('\n');
    let mut shown_kmh = 0.0;
    let mut next_speed_s = 0.0;
    for row in 0..(end_s * recorder.hz) as u64 {
        let time_s = row as f64 / recorder.hz;
        let now = at(time_s);
        if time_s >= next_speed_s - 1e-9 {
            next_speed_s += 1.0 / recorder.speed_hz;
            let late = at((time_s - recorder.speed_latency_s).max(0.0));
            shown_kmh = 3.6 * (late.speed_mps + normal(recorder.speed_noise_mps)).abs();
            if recorder.speed_step_kmh > 0.0 {
                shown_kmh = (shown_kmh / recorder.speed_step_kmh).round() * recorder.speed_step_kmh;
            }
        }
        let dropped = dropouts.iter().any(|(from_s, to_s)| (*from_s..*to_s).contains(&time_s));
        write!(csv, "{time_s:.4},").expect("a string takes all");
        if !dropped {
            write!(csv, "{shown_kmh:.4}").expect("a string takes all");
        }
        if recorder.engine {
            let rpm = now.engine_radps * 30.0 / core::f64::consts::PI + normal(recorder.engine_noise_rpm);
            // The pedal as a driver speaks of it: 100 % is pressed.
            write!(csv, ",{rpm:.0},{:.1},{:.0}", 100.0 * now.throttle, 100.0 * (1.0 - now.pedal))
                .expect("a string takes all");
        }
        if recorder.acceleration {
            let g = (now.acceleration_mps2 + normal(recorder.acceleration_noise_mps2)) / 9.806_65;
            write!(csv, ",{g:.4}").expect("a string takes all");
        }
        csv.push('\n');
    }
    MadeLog { csv, moved_s: placed.iter().map(|p| p.moved_s).collect() }
}

fn dropouts(end_s: f64, per_minute: f64, rng: &mut Pcg64Mcg) -> Vec<(f64, f64)> {
    let mut spans = Vec::new();
    if per_minute <= 0.0 {
        return Vec::new();
    }
    let mut wait_s = || -(60.0 / per_minute) * uniform(rng, 1e-9, 1.0).ln();
    let mut at_s = wait_s();
    while at_s < end_s {
        spans.push(at_s);
        at_s += wait_s();
    }
    spans.into_iter().map(|from_s| (from_s, from_s + uniform(rng, 0.2, 1.2))).collect()
}

/// Sampling of the runs that logs are made of has to be finer than any log's.
const _: () = assert!(SAMPLE_S < 1.0 / 150.0);
