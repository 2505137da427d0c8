//! A known result as people write it.

use bitepoint_inputs::quantity::{Dimension, UnitSystem, digits};
use bitepoint_inputs::scenario_keys::DRIVERS;
use bitepoint_physics::run::Run;
use bitepoint_physics::timing::Mark;

use crate::target::{Clock, Target};

/// What a result is about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// Time to a mark, s.
    Time(Target),
    /// Mean speed over the last 66 ft before a mark, m/s.
    Trap(Target),
}

/// A result that was measured on this car or one like it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownResult {
    /// What.
    pub figure: Figure,
    /// How much, s or m/s.
    pub value: f64,
    /// One standard deviation of its logarithm: driver, day, clock, and one car of its kind from another.
    pub relative_sd: f64,
    /// Name of the driver who did it.
    pub driver: &'static str,
}

/// Testers' figures for one car differ by so much, one standard deviation: times to a speed, times over a distance, trap speeds (half of the
/// usual range over testers in a table of 18 cars that is from memory).
const ERRORS: [f64; 3] = [0.04, 0.017, 0.015];
/// A published figure is a tester's.
const PUBLISHED: &str = "tester";

const ACCEPTED: &str = "a mark, = and a time, or a trap speed for a distance: \"0-60 mph = 6.2 s, rollout\", \"quarter mile = 14.7 s ± 0.2 s\", \"quarter mile = 95 mph\"; then, after commas, rollout if the clock started one foot late and owner, keen or tester for who drove (tester where nothing is said)";

impl KnownResult {
    /// Reads one result.
    ///
    /// # Errors
    /// What is wrong with it and what would be accepted, in words.
    pub fn parse(text: &str) -> Result<Self, String> {
        let refused = |what: String| format!("{text:?}: {what}\n    accepted: {ACCEPTED}");
        let (mark, rest) = text.split_once('=').ok_or_else(|| refused("there is no =".to_owned()))?;
        let mut words = rest.split(',').map(str::trim);
        let amount = words.next().unwrap_or_default();
        let (mut clock, mut driver) = (Clock::FirstMovement, PUBLISHED);
        for word in words.filter(|word| !word.is_empty()) {
            match DRIVERS.iter().find(|name| **name == word.to_lowercase()) {
                Some(name) => driver = name,
                None if word.eq_ignore_ascii_case("rollout") => clock = Clock::Rollout,
                None => return Err(refused(format!("{word:?} is neither rollout nor a driver"))),
            }
        }
        let target =
            Target::named(mark.trim(), clock).ok_or_else(|| refused(format!("{:?} is no known mark", mark.trim())))?;
        let of_distance = matches!(target.mark().mark, Mark::DistanceM(_));
        let (amount, error) = match amount.split_once('±').or_else(|| amount.split_once("+-")) {
            Some((amount, error)) => (amount.trim(), Some(error.trim())),
            None => (amount, None),
        };
        let bare = amount.chars().all(|c| c.is_ascii_digit() || c == '.');
        let (figure, dimension, usual) = match (Dimension::Time.parse(amount), Dimension::Speed.parse(amount)) {
            (Ok(_), _) if !bare => (Figure::Time(target), Dimension::Time, ERRORS[usize::from(of_distance)]),
            (_, Ok(_)) if of_distance && !bare => (Figure::Trap(target), Dimension::Speed, ERRORS[2]),
            (_, Ok(_)) if !bare => return Err(refused("a speed goes with a distance, as its trap speed".to_owned())),
            _ => return Err(refused(format!("{amount:?} is neither a time nor a speed with its unit"))),
        };
        let read = |text: &str| dimension.parse(text).map_err(|error| refused(error.text()));
        let value = read(amount)?;
        if value <= 0.0 {
            return Err(refused(format!("{amount:?} is not above zero")));
        }
        let relative_sd = match error {
            None => usual,
            Some(error) => read(error)? / value,
        };
        if !(1e-4..=0.5).contains(&relative_sd) {
            return Err(refused(
                "the error is one standard deviation, from a ten-thousandth to a half of the figure".to_owned(),
            ));
        }
        Ok(Self { figure, value, relative_sd, driver })
    }

    /// The mark and the clock.
    #[must_use]
    pub fn target(&self) -> Target {
        match self.figure {
            Figure::Time(target) | Figure::Trap(target) => target,
        }
    }

    /// The figure of a run, s or m/s; nothing if it did not get there.
    #[must_use]
    pub fn of(&self, run: &Run) -> Option<f64> {
        match self.figure {
            Figure::Time(target) => target.time_s(run),
            Figure::Trap(target) => run.traps.iter().find(|trap| trap.name == target.gate)?.speed_mps,
        }
    }

    /// An amount of its kind, with the unit.
    #[must_use]
    pub fn show(&self, amount: f64, system: UnitSystem) -> String {
        match self.figure {
            Figure::Time(_) => format!("{amount:.2} s"),
            Figure::Trap(_) => Dimension::Speed.show(amount, system),
        }
    }

    /// What it is, in words.
    #[must_use]
    pub fn text(&self, system: UnitSystem) -> String {
        let what = match self.figure {
            Figure::Time(Target { gate, clock: Clock::Rollout }) => format!("{gate} with rollout"),
            Figure::Time(target) => target.gate.to_owned(),
            Figure::Trap(target) => format!("trap speed at {}", target.gate),
        };
        let error = digits(100.0 * self.relative_sd);
        format!("{what} = {} ± {error} %, {}", self.show(self.value, system), self.driver)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_read_as_people_write_them() {
        let known = KnownResult::parse("0-60 mph = 6.2 s, rollout").expect("a result");
        assert_eq!(known.figure, Figure::Time(Target { gate: "60 mph", clock: Clock::Rollout }));
        assert_eq!((known.value, known.relative_sd, known.driver), (6.2, 0.04, "tester"));
        let known = KnownResult::parse("quarter mile = 14.7 s ± 0.147 s, Keen").expect("a result");
        assert_eq!((known.value, known.driver), (14.7, "keen"));
        assert!((known.relative_sd - 0.01).abs() < 1e-12);
        let known = KnownResult::parse("1/4 mile = 95 mph").expect("a result");
        assert!(matches!(known.figure, Figure::Trap(Target { gate: "1320 ft", .. })));
        assert!((known.value - 95.0 * 0.44704).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_result_is_refused_in_words() {
        for (text, why) in [
            ("6.2 s", "there is no ="),
            ("0-61 mph = 6.2 s", "no known mark"),
            ("0-60 mph = fast", "neither a time nor a speed"),
            ("0-60 mph = 6.2", "neither a time nor a speed"),
            ("0-60 mph = 95 mph", "a speed goes with a distance"),
            ("0-60 mph = 6.2 s, Tuesday", "neither rollout nor a driver"),
            ("0-60 mph = 0 s", "not above zero"),
            ("0-60 mph = 6.2 s ± 9 s", "one standard deviation"),
        ] {
            let told = KnownResult::parse(text).expect_err(text);
            assert!(told.contains(why) && told.contains("accepted"), "{text}: {told}");
        }
    }
}
