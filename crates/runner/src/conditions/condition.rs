//! What of a day changes a time but is neither car, nor driver, nor surface.

use bitepoint_physics::air::Air;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::road::Slope;
use bitepoint_physics::vehicle::Scenario;
use serde::Serialize;

/// One condition of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// Slope along the path.
    Slope,
    /// Wind along the path.
    Wind,
    /// Temperature of the air.
    Temperature,
    /// Its pressure.
    Pressure,
    /// Its relative humidity.
    Humidity,
    /// Where the clock starts.
    Rollout,
}

/// Number of conditions.
pub const CONDITIONS: usize = 6;

/// The conditions of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// Slope along the path.
    pub slope: Slope,
    /// Wind against the car, m/s; a tail wind is negative.
    pub headwind_mps: f64,
    /// The air.
    pub air: Air,
    /// Distance that the car rolls before the clock starts, m; 0 starts it when the car first moves.
    pub rollout_m: f64,
}

impl Condition {
    /// All of them, in the order of every array over conditions.
    pub const ALL: [Self; CONDITIONS] =
        [Self::Slope, Self::Wind, Self::Temperature, Self::Pressure, Self::Humidity, Self::Rollout];

    /// Its key in a scenario file.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Slope => "road.slope",
            Self::Wind => "air.headwind",
            Self::Temperature => "air.temperature",
            Self::Pressure => "air.pressure",
            Self::Humidity => "air.humidity",
            Self::Rollout => "timing.rollout",
        }
    }
}

impl Conditions {
    /// Those of a scenario, on a clock that starts after `rollout_m`.
    #[must_use]
    pub fn of(scenario: &Scenario, rollout_m: f64) -> Self {
        Self { slope: scenario.slope.clone(), headwind_mps: scenario.headwind_mps, air: scenario.air, rollout_m }
    }

    /// The scenario under these conditions: driver, launch, surface and the clutch's temperature at the start stay as they are.
    #[must_use]
    pub fn put_into(&self, scenario: &Scenario) -> Scenario {
        Scenario { slope: self.slope.clone(), headwind_mps: self.headwind_mps, air: self.air, ..scenario.clone() }
    }

    /// These with one of them as in `other`.
    #[must_use]
    pub fn with(&self, condition: Condition, other: &Self) -> Self {
        let mut mixed = self.clone();
        match condition {
            Condition::Slope => mixed.slope = other.slope.clone(),
            Condition::Wind => mixed.headwind_mps = other.headwind_mps,
            Condition::Temperature => mixed.air.temperature_c = other.air.temperature_c,
            Condition::Pressure => mixed.air.pressure_pa = other.air.pressure_pa,
            Condition::Humidity => mixed.air.relative_humidity = other.air.relative_humidity,
            Condition::Rollout => mixed.rollout_m = other.rollout_m,
        }
        mixed
    }

    /// Whether one of them is as in `other`.
    #[must_use]
    pub fn same(&self, condition: Condition, other: &Self) -> bool {
        self.with(condition, other) == *self
    }

    /// These with one of them larger by so much in SI units (a slope as rise over run, a humidity from 0 to 1). A surveyed road is
    /// tilted as a whole (at its points; between them the curve through these is drawn anew); no humidity or rollout leaves what it can be.
    #[must_use]
    pub fn moved(&self, condition: Condition, by_si: f64) -> Self {
        let mut moved = self.clone();
        match condition {
            Condition::Slope => moved.slope = tilted(&self.slope, by_si),
            Condition::Wind => moved.headwind_mps += by_si,
            Condition::Temperature => moved.air.temperature_c += by_si,
            Condition::Pressure => moved.air.pressure_pa += by_si,
            Condition::Humidity => moved.air.relative_humidity = (self.air.relative_humidity + by_si).clamp(0.0, 1.0),
            Condition::Rollout => moved.rollout_m = (self.rollout_m + by_si).max(0.0),
        }
        moved
    }

    /// One of them in SI units; the slope as its mean over the first `over_m` metres of the run.
    #[must_use]
    pub fn value(&self, condition: Condition, over_m: f64) -> f64 {
        match condition {
            Condition::Slope => match self.slope {
                Slope::Constant { rise_per_run } => rise_per_run,
                Slope::Profile { .. } => self.slope.height_gain_m(over_m) / over_m,
            },
            Condition::Wind => self.headwind_mps,
            Condition::Temperature => self.air.temperature_c,
            Condition::Pressure => self.air.pressure_pa,
            Condition::Humidity => self.air.relative_humidity,
            Condition::Rollout => self.rollout_m,
        }
    }

    /// The same place and day driven the other way. On a surveyed road the car starts `start_m` along the survey, counted as the
    /// survey counts.
    #[must_use]
    pub fn the_other_way(&self, start_m: f64) -> Self {
        let slope = match &self.slope {
            Slope::Constant { rise_per_run } => Slope::Constant { rise_per_run: -rise_per_run },
            Slope::Profile { height_m, .. } => {
                let last_m = height_m.range().1;
                let points: Vec<(f64, f64)> = height_m.points().iter().rev().map(|&(x, h)| (last_m - x, h)).collect();
                profile(&points, last_m - start_m).unwrap_or_else(|| self.slope.clone())
            }
        };
        Self { slope, headwind_mps: -self.headwind_mps, ..self.clone() }
    }

    /// First and last place of a survey, in m from the start of the run; nothing for a constant slope.
    #[must_use]
    pub fn surveyed_m(&self) -> Option<(f64, f64)> {
        match &self.slope {
            Slope::Constant { .. } => None,
            Slope::Profile { height_m, start_m } => {
                let (first, last) = height_m.range();
                Some((first - start_m, last - start_m))
            }
        }
    }
}

fn tilted(slope: &Slope, by: f64) -> Slope {
    match slope {
        Slope::Constant { rise_per_run } => Slope::Constant { rise_per_run: rise_per_run + by },
        Slope::Profile { height_m, start_m } => {
            let points: Vec<(f64, f64)> = height_m.points().iter().map(|&(x, h)| (x, h + by * x)).collect();
            profile(&points, *start_m).unwrap_or_else(|| slope.clone())
        }
    }
}

/// A profile through points that rise in distance, as those of a profile do.
fn profile(points: &[(f64, f64)], start_m: f64) -> Option<Slope> {
    Curve::new(points).ok().map(|height_m| Slope::Profile { height_m, start_m })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn surveyed() -> Conditions {
        let height_m = Curve::new(&[(0.0, 2.0), (100.0, 1.0), (250.0, 4.0)]).expect("points");
        Conditions {
            slope: Slope::Profile { height_m, start_m: 50.0 },
            headwind_mps: 3.0,
            air: Air::standard_at(0.0),
            rollout_m: 0.3,
        }
    }

    #[test]
    fn the_way_back_climbs_what_the_way_out_descends() {
        let out = surveyed();
        // Out from 50 m to 200 m of the survey, back from 200 m.
        let back = out.the_other_way(200.0);
        assert_eq!(back.headwind_mps, -3.0);
        for x in [10.0, 75.0, 149.0] {
            let (here, there) = (out.slope.sine(x), back.slope.sine(150.0 - x));
            assert!((here + there).abs() < 1e-12, "{x} m: {here} and {there}");
        }
        assert_eq!(back.surveyed_m(), Some((-50.0, 200.0)));
        assert_eq!(back.the_other_way(200.0), out, "there and back");
    }

    #[test]
    fn a_road_is_tilted_as_a_whole() {
        let height_m = Curve::new(&[(0.0, 2.0), (100.0, 1.0), (250.0, 4.0)]).expect("points");
        let out = Conditions { slope: Slope::Profile { height_m, start_m: 0.0 }, ..surveyed() };
        let tilted = out.moved(Condition::Slope, 0.01);
        for surveyed_m in [100.0, 250.0] {
            let more = tilted.value(Condition::Slope, surveyed_m) - out.value(Condition::Slope, surveyed_m);
            assert!((more - 0.01).abs() < 1e-12, "{more} up to {surveyed_m} m");
        }
    }

    #[test]
    fn each_condition_is_taken_alone() {
        let (out, other) = (surveyed(), surveyed().the_other_way(200.0).moved(Condition::Temperature, 9.0));
        for condition in Condition::ALL {
            let mixed = out.with(condition, &other);
            for each in Condition::ALL {
                let from = if each == condition { &other } else { &out };
                assert!(mixed.same(each, from), "{condition:?}, {each:?}");
            }
        }
    }
}
