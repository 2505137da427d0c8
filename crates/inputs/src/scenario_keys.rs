//! Every key of a scenario file. A file may be empty of all but a name: what is left out is a dry, flat, windless day.
//!
//! The ranges are there to catch slips of units and of the decimal point. Common practice, no source, unless said otherwise.

use crate::key::{Kind, key_table, quantity as q, rpm};
use crate::quantity::Dimension as D;

/// Surfaces by name.
pub const SURFACES: &[&str] =
    &["dry asphalt", "damp asphalt", "standing-water wet", "prepared strip", "gravel", "packed snow", "ice"];
/// Shapes of clutch release.
pub const RELEASE_SHAPES: &[&str] = &["straight", "quick to bite"];
/// Answers to wheelspin.
pub const WHEELSPIN_ANSWERS: &[&str] = &["none", "trimmed", "ideal"];
/// Drivers by name.
pub const DRIVERS: &[&str] = &["owner", "keen", "tester"];

key_table! {
    /// Every key of a scenario file, in the order in which people read them.
    SCENARIO_KEYS;
    NAME = "name", Kind::Text, "Name of the scenario", "\"Dry, flat\"";

    DRIVER = "driver", Kind::Choice(DRIVERS), "Who drives: lags, foot speed, scatter and shift time follow from it", "\"keen\"";

    SURFACE = "road.surface", Kind::Choice(SURFACES), "Surface by name", "\"dry asphalt\"";
    FRICTION_SCALE = "road.friction_scale", q(D::Ratio, 0.03, 2.5), "Friction over that of the same tyre on dry asphalt", "1.0";
    SLIP_STIFFNESS_SCALE = "road.slip_stiffness_scale", q(D::Ratio, 0.05, 2.0), "Slip stiffness over that on dry asphalt", "1.0";
    ROLLING_SCALE = "road.rolling_resistance_scale", q(D::Ratio, 0.5, 10.0), "Rolling resistance over that on dry asphalt", "1.0";
    RIGHT_TO_LEFT = "road.right_to_left_friction", q(D::Ratio, 0.05, 20.0), "Friction under the right-hand wheels over that under the left-hand ones", "1.0";
    SLOPE = "road.slope", q(D::Slope, -0.3, 0.3), "Slope along the path, uphill positive", "\"-1.5 %\"";
    SLOPE_PROFILE = "road.slope_profile", Kind::File, "CSV of distance and height, with units in its header", "\"strip.csv\"";
    START_AT = "road.start_at", q(D::Length, 0.0, 100e3), "Where on that profile the car starts", "\"50 m\"";

    TEMPERATURE = "air.temperature", q(D::Temperature, -50.0, 60.0), "Temperature", "\"20 °C\"";
    PRESSURE = "air.pressure", q(D::Pressure, 45e3, 110e3), "Pressure at the place itself, not reduced to sea level", "\"1013 hPa\"";
    ALTITUDE = "air.altitude", q(D::Length, -450.0, 5500.0), "Height above sea level, where the pressure is not known", "\"1600 m\"";
    HUMIDITY = "air.humidity", q(D::Ratio, 0.0, 1.0), "Relative humidity", "\"50 %\"";
    HEADWIND = "air.headwind", q(D::Speed, -40.0, 40.0), "Wind against the car; a tail wind is negative", "\"10 km/h\"";

    CLUTCH_START = "clutch.start_temperature", q(D::Temperature, -50.0, 400.0), "Clutch temperature at the start", "\"60 °C\"";

    REVS = "launch.revs", q(D::AngularSpeed, rpm(500.0), rpm(12_000.0)), "Engine speed held before the start", "\"3500 rpm\"";
    KEPT_REVS = "launch.kept_revs", q(D::AngularSpeed, rpm(500.0), rpm(12_000.0)), "Engine speed that the driver keeps while the clutch slips", "\"3000 rpm\"";
    RELEASE_TIME = "launch.release_time", q(D::Time, 0.02, 10.0), "Time for the clutch pedal from pressed to released", "\"0.6 s\"";
    RELEASE_SHAPE = "launch.release_shape", Kind::Choice(RELEASE_SHAPES), "Shape of that release", "\"quick to bite\"";
    THROTTLE_EASE = "launch.throttle_ease", q(D::Time, 0.0, 10.0), "Time for the throttle from holding revs to wide open, or to the part throttle", "\"0.5 s\"";
    PART_THROTTLE = "launch.part_throttle", q(D::Ratio, 0.05, 1.0), "Throttle that is held first, in first gear; 1 is wide open at once", "0.7";
    PART_UNTIL = "launch.part_throttle_until", q(D::Speed, 0.0, 120.0), "Road speed at which the part throttle begins to open further", "\"50 km/h\"";
    THROTTLE_OPEN = "launch.throttle_open", q(D::Time, 0.0, 10.0), "Time for the throttle from the part throttle to wide open", "\"1 s\"";
    THROTTLE_LEAD = "launch.throttle_lead", q(D::Time, -1.0, 3.0), "How long before the clutch bites the throttle begins to open; negative is after the bite", "\"0 s\"";
    CLUTCH_FEEL = "launch.clutch_feel", Kind::Flag, "Whether the driver keeps the revs with the pedal while the clutch slips; else it comes up regardless", "true";
    REVS_LAG = "launch.revs_lag", q(D::Time, 0.01, 1.0), "Lag of felt engine speed behind true engine speed", "\"0.12 s\"";
    STEADINESS = "launch.steadiness", q(D::Ratio, 0.1, 3.0), "Damping ratio with which the pedal brings the revs back", "0.7";
    FOOT_TIME = "launch.foot_time", q(D::Time, 0.02, 2.0), "Time in which a foot answers by a full stroke, at the fastest", "\"0.25 s\"";
    WHEELSPIN = "launch.wheelspin", Kind::Choice(WHEELSPIN_ANSWERS), "What the driver does about wheelspin", "\"trimmed\"";
    SLIP_LAG = "launch.slip_lag", q(D::Time, 0.01, 2.0), "Lag of felt slip behind true slip", "\"0.2 s\"";
    TARGET_SLIP = "launch.target_slip", q(D::Ratio, 0.02, 2.0), "Slip beyond which the driver trims the throttle", "0.15";
    TRIM_GAIN = "launch.trim_gain", q(D::Ratio, 0.0, 20.0), "Fraction of the throttle taken back per unit of slip beyond that, at first", "1.2";

    SHIFT_AT = "shifting.shift_at", Kind::List { dimension: D::AngularSpeed, low: rpm(1000.0), high: rpm(18_000.0), least: 1, most: 10 }, "Engine speed at which each gear is left, first gear first; one value for all", "\"6800 rpm\"";
    SHIFT_REACTION = "shifting.reaction", q(D::Time, 0.0, 2.0), "How late each shift begins", "\"0.10 s\"";
    SHIFT_TIME_FACTOR = "shifting.time_factor", q(D::Ratio, 0.2, 5.0), "Time that this driver's shifts take over the car's gearbox.shift_time", "1.0";
    SHIFT_LIFT = "shifting.lift", Kind::Flag, "Whether the throttle is lifted in a shift", "true";

    SCATTER_REVS = "driver_scatter.revs", q(D::AngularSpeed, 0.0, rpm(2000.0)), "Standard deviation of the held engine speed", "\"150 rpm\"";
    SCATTER_KEPT = "driver_scatter.kept_revs", q(D::AngularSpeed, 0.0, rpm(2000.0)), "Standard deviation of the engine speed kept while the clutch slips", "\"150 rpm\"";
    SCATTER_RELEASE = "driver_scatter.release_time", q(D::Time, 0.0, 2.0), "Standard deviation of the release time", "\"0.1 s\"";
    SCATTER_EASE = "driver_scatter.throttle_ease", q(D::Time, 0.0, 2.0), "Standard deviation of the throttle ease", "\"0.1 s\"";
    SCATTER_PART = "driver_scatter.part_throttle", q(D::Ratio, 0.0, 0.5), "Standard deviation of the part throttle, of wide open", "\"4 %\"";
    SCATTER_LEAD = "driver_scatter.throttle_lead", q(D::Time, 0.0, 1.0), "Standard deviation of the throttle lead", "\"0.05 s\"";
    SCATTER_SLIP_LAG = "driver_scatter.slip_lag", q(D::Time, 0.0, 1.0), "Standard deviation of the lag of felt slip", "\"0.04 s\"";
    SCATTER_SHIFT_AT = "driver_scatter.shift_at", q(D::AngularSpeed, 0.0, rpm(1000.0)), "Standard deviation of the engine speed at shifts", "\"80 rpm\"";
    SCATTER_SHIFT_REACTION = "driver_scatter.shift_reaction", q(D::Time, 0.0, 1.0), "Standard deviation of the reaction at shifts", "\"0.03 s\"";

    ROLLOUT = "timing.rollout", q(D::Length, 0.0, 1.0), "Distance that the car rolls before the clock starts, for the times with rollout", "\"1 ft\"";
    FINISH_DISTANCE = "timing.finish_distance", q(D::Length, 5.0, 10e3), "Distance that ends the run", "\"1320 ft\"";
    FINISH_SPEED = "timing.finish_speed", q(D::Speed, 2.0, 120.0), "Road speed that ends the run", "\"60 mph\"";
    TIME_LIMIT = "timing.time_limit", q(D::Time, 1.0, 600.0), "The run is given up after this long", "\"60 s\"";
}
