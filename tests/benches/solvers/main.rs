//! The same equations by this project's integrator and by general-purpose solvers, at equal error, in one run.
//!
//! `cargo bench -p bitepoint-checks --bench solvers --features sundials`, or `--features solvers` where the C library is
//! missing. The problem is
//! that of `bitepoint_physics::equations`: the rear-drive car of the checks rolls at 3 m/s in first gear on a dry road, the
//! throttle opens, and it is followed for 4 s, past 60 mph: lash, shuffle, wheelspin and pitch, but no switch, since most of
//! these solvers locate none. Every solver is given the loosest tolerance of a ladder from which on it passes the places of
//! 1, 2, 3 and 4 s within [`ALLOWED_S`], and the same sizes of the states.

mod crates;
#[cfg(feature = "sundials")]
mod cvode;

use std::time::Instant;

use bitepoint_checks::cars;
use bitepoint_physics::equations::{DISTANCE_STATE, FirstGear, SPEED_STATE, STATES};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// Largest gate error allowed, s.
const ALLOWED_S: f64 = 1e-4;
/// Where the car's place is compared, s.
const TIMES_S: [f64; 4] = [1.0, 2.0, 3.0, 4.0];
/// Rungs of the ladder of tolerances, a quarter of a decade apart.
const RUNGS: i32 = 33;

/// What a solver says of a problem: distance at each of the times, and evaluations. Nothing if it gives up.
pub(crate) type Answer = Option<([f64; 4], u32)>;

/// A solver under test.
struct Contender {
    name: &'static str,
    solve: fn(&Vehicle, &Scenario, f64) -> Answer,
}

fn own(car: &Vehicle, scenario: &Scenario, tolerance: f64) -> Answer {
    let mut problem = FirstGear::new(car, scenario, SPEED_MPS);
    let states = problem.solve(tolerance, TIMES_S);
    Some((states.map(|y| y[DISTANCE_STATE]), problem.evaluations()))
}

/// Speed at which the car rolls in, m/s.
pub(crate) const SPEED_MPS: f64 = 3.0;

fn contenders() -> Vec<Contender> {
    let mut all = vec![
        Contender { name: "own integrator", solve: own },
        Contender { name: "Dormand-Prince 5(4), ode_solvers", solve: crates::dormand_prince },
        Contender { name: "ESDIRK 3(4), diffsol", solve: crates::esdirk },
        Contender { name: "BDF, diffsol", solve: crates::bdf },
    ];
    #[cfg(feature = "sundials")]
    all.push(Contender { name: "CVODE BDF, SUNDIALS", solve: cvode::bdf });
    all
}

/// Largest difference in time at which the places of the converged run are passed, s.
fn error_s(answer: &Answer, converged: &[[f64; STATES]; 4]) -> f64 {
    let Some((distances, _)) = answer else { return f64::INFINITY };
    let late = distances.iter().zip(converged).map(|(x, y)| (x - y[DISTANCE_STATE]).abs() / y[SPEED_STATE]);
    late.fold(0.0, f64::max)
}

fn main() {
    let (car, scenario) = (cars::rear_drive(), cars::dry(3000.0));
    let converged = FirstGear::new(&car, &scenario, SPEED_MPS).solve(1e-12, TIMES_S);
    println!("at most {:.2} ms of error at each of {TIMES_S:?} s", ALLOWED_S * 1e3);
    println!("{:34} tolerance  evaluations  error, ms        us   of own", "solver");
    let mut own_s = None;
    for contender in contenders() {
        let solve = |tolerance| (contender.solve)(&car, &scenario, tolerance);
        // From the tight end until the error is first too large: a lucky loose tolerance does not count.
        let chosen = (0..RUNGS)
            .map(|rung| 10_f64.powf(-10.0 + 0.25 * f64::from(rung)))
            .map(|tolerance| (tolerance, solve(tolerance)))
            .take_while(|(_, answer)| error_s(answer, &converged) <= ALLOWED_S)
            .last();
        let Some((tolerance, answer)) = chosen else {
            println!("{:34} does not reach it", contender.name);
            continue;
        };
        let fastest_s = (0..30).map(|_| {
            let began = Instant::now();
            divan::black_box(solve(tolerance));
            began.elapsed().as_secs_f64()
        });
        let fastest_s = fastest_s.fold(f64::INFINITY, f64::min);
        let own_s = *own_s.get_or_insert(fastest_s);
        println!(
            "{:34} {tolerance:9.1e} {:12} {:10.3} {:9.0} {:8.1}",
            contender.name,
            answer.map_or(0, |(_, evaluations)| evaluations),
            error_s(&answer, &converged) * 1e3,
            fastest_s * 1e6,
            fastest_s / own_s
        );
    }
}
