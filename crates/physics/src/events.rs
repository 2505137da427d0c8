//! What can end a step early, as functions of the state that rise through zero when due.

use crate::dense::top;
use crate::driver::WheelspinResponse;
use crate::elementary::smaller;
use crate::integrator::Step;
use crate::mode::{Coupling, Mesh, Mode, ShiftPhase};
use crate::model::Model;
use crate::model::state::{AXLE, DISTANCE, ENGINE, INPUT, PEDAL, SPEED};
use crate::vehicle::Finish;

/// What can end a step early.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Event {
    /// The car leaves its standstill.
    Moves,
    /// The car comes to a standstill again.
    Stops,
    /// The clutch locks, or is asked for more than it can carry.
    Clutch,
    /// A limiter cuts fuel or gives it back.
    Limiter,
    /// The engine stalls.
    Stall,
    /// The revs of the next shift are reached.
    ShiftPoint,
    /// The gearbox input has the speed of the gear to come.
    Synchronised,
    /// The pedal that the driver lets up by feel is up.
    PedalUp,
    /// The road speed is reached at which the driver leaves the part throttle.
    ThrottleOpens,
    /// The launch limiter lets go.
    LaunchLimiterEnds,
    /// The end of the run.
    Finish,
}

/// All of them; at equal times the first counts.
pub(crate) const EVENTS: [Event; 11] = [
    Event::Moves,
    Event::Stops,
    Event::Clutch,
    Event::Limiter,
    Event::Stall,
    Event::ShiftPoint,
    Event::Synchronised,
    Event::PedalUp,
    Event::ThrottleOpens,
    Event::LaunchLimiterEnds,
    Event::Finish,
];

/// How far under zero a speed may be and still count as zero, m/s: the first step of a car that begins to move under forces of
/// next to nothing may end a rounding error or two behind where it began.
const STANDSTILL_MPS: f64 = 1e-12;

/// Value of an event that can't happen in a mode.
const NEVER: f64 = -1e9;

impl Event {
    /// Whether its value depends on forces, which are known only after an evaluation of the rates.
    pub(crate) fn looks_at_forces(self, mode: &Mode) -> bool {
        match self {
            Self::Moves => mode.held,
            Self::Clutch => mode.coupling == Coupling::Locked,
            _ => false,
        }
    }

    /// How fast its value rises, where that is known from the states' `rates` alone and may turn round within a step; zero for
    /// all others.
    #[inline]
    fn rise<const N: usize>(self, mode: &Mode, rates: &[f64; N]) -> f64 {
        match self {
            Self::Clutch => match mode.coupling {
                Coupling::Slipping(sign) => -sign * (rates[ENGINE] - rates[INPUT]),
                Coupling::Locked => 0.0,
            },
            Self::Limiter => {
                if mode.fuel_cut {
                    -rates[ENGINE]
                } else {
                    rates[ENGINE]
                }
            }
            Self::Stall => -rates[ENGINE],
            Self::ShiftPoint => rates[INPUT],
            _ => 0.0,
        }
    }

    /// Whether some event's value may both rise and fall within a step: whatever [`Event::rise`] looks at turns round. Asked of every step;
    /// to ask each event for its top takes 2 to 3 % of a run.
    #[inline(always)]
    pub(crate) fn some_turn<const N: usize>(step: &Step<N>) -> bool {
        let turns = |rate: fn(&[f64; N]) -> f64| rate(&step.from_rates) * rate(&step.to_rates) < 0.0;
        turns(|rates| rates[ENGINE]) || turns(|rates| rates[INPUT]) || turns(|rates| rates[ENGINE] - rates[INPUT])
    }

    /// Where in a step its value is largest, as a share of the step, if it both rises and falls there.
    #[inline]
    pub(crate) fn top<const N: usize>(self, mode: &Mode, step: &Step<N>) -> Option<f64> {
        top(self.rise(mode, &step.from_rates), self.rise(mode, &step.to_rates))
    }

    /// Its value where `y` gives a component of the state; above zero is due. `moved` says whether the car has ever moved. Most look at
    /// one or two components.
    #[inline]
    pub(crate) fn value<const N: usize>(self, model: &Model<'_, N>, y: impl Fn(usize) -> f64, moved: bool) -> f64 {
        let (mode, instant, vehicle) = (&model.mode, &model.instant, model.vehicle);
        match self {
            // The driver lets the brakes go once the clutch bites.
            Self::Moves if mode.held && (instant.clutch_capacity_nm > 0.0 || moved) => instant.net_n,
            Self::Moves => NEVER,
            Self::Stops if mode.held => NEVER,
            Self::Stops => -y(SPEED) - STANDSTILL_MPS,
            Self::Clutch => match mode.coupling {
                Coupling::Slipping(sign) => -sign * (y(ENGINE) - y(INPUT)),
                Coupling::Locked => instant.clutch_nm.abs() - instant.clutch_capacity_nm,
            },
            Self::Limiter => {
                let limiter = model.limiter();
                if mode.fuel_cut { limiter.resume_radps - y(ENGINE) } else { y(ENGINE) - limiter.cut_radps }
            }
            Self::Stall => vehicle.engine.stall_radps - y(ENGINE),
            Self::ShiftPoint => {
                let last = mode.gear + 1 >= vehicle.gearbox.gears.len();
                if mode.shift != ShiftPhase::Driving || last {
                    return NEVER;
                }
                let due = y(INPUT) - model.scenario.driver.shift_radps(mode.gear);
                match &model.scenario.driver.wheelspin {
                    WheelspinResponse::Trimmed(_) => smaller(due, model.short_of_flare(&y)),
                    WheelspinResponse::None | WheelspinResponse::Ideal => due,
                }
            }
            Self::Synchronised => match mode.mesh {
                Mesh::Synchronising(torque) => {
                    -torque.signum() * (y(INPUT) - vehicle.gearbox.overall_ratio(mode.gear) * y(AXLE))
                }
                Mesh::Engaged | Mesh::Neutral => NEVER,
            },
            Self::PedalUp if mode.pedal.by_feel() => y(PEDAL) - 1.0,
            Self::PedalUp => NEVER,
            Self::ThrottleOpens => match &model.scenario.driver.part_throttle {
                Some(part) if mode.part_throttle => y(SPEED) - part.until_mps,
                _ => NEVER,
            },
            Self::LaunchLimiterEnds => match &vehicle.engine.launch_limiter {
                Some(launch) if mode.launch_limited => y(SPEED) - launch.until_mps,
                _ => NEVER,
            },
            Self::Finish => match model.scenario.finish {
                Finish::Distance { distance_m } => y(DISTANCE) - distance_m,
                Finish::Speed { speed_mps } => y(SPEED) - speed_mps,
            },
        }
    }
}
