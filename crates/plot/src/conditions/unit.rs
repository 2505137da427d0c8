//! In which unit each condition is read, and per how much of it a time is told.

use bitepoint_runner::conditions::Condition;

use crate::format::{SHARE, Scale, Units};

/// Unit in which a condition is read.
pub(super) fn scale(condition: Condition, units: Units) -> Scale {
    match condition {
        Condition::Slope => SHARE.decimals(2),
        Condition::Wind => units.speed(),
        Condition::Temperature => units.temperature(),
        Condition::Pressure => units.pressure(),
        Condition::Humidity => SHARE,
        Condition::Rollout => units.distance().decimals(2),
    }
}

/// Amount of a condition per which a time is told: in SI, and as people say it.
pub(super) fn per(condition: Condition, units: Units, rollout_m: f64) -> (f64, String) {
    let said = |number: f64, scale: Scale| {
        // From the printed unit back to SI; a difference has no zero.
        let si_per_unit = 1.0 / (scale.of(1.0) - scale.of(0.0));
        (number * si_per_unit, format!("{number}\u{a0}{}", scale.unit))
    };
    match condition {
        Condition::Slope => said(1.0, SHARE),
        Condition::Wind => said(10.0, units.speed()),
        Condition::Temperature => said(10.0, units.temperature_difference()),
        Condition::Pressure => said(
            match units {
                Units::Us => 1.0,
                Units::Si => 10.0,
            },
            units.pressure(),
        ),
        Condition::Humidity => (0.1, "10\u{a0}points".to_owned()),
        Condition::Rollout => (rollout_m, units.distance().decimals(2).text(rollout_m)),
    }
}

/// Name of a condition.
pub(super) fn name(condition: Condition) -> &'static str {
    match condition {
        Condition::Slope => "slope",
        Condition::Wind => "wind",
        Condition::Temperature => "temperature",
        Condition::Pressure => "pressure",
        Condition::Humidity => "humidity",
        Condition::Rollout => "rollout",
    }
}

/// The same at the head of a row or an axis.
pub(super) fn heading(condition: Condition) -> &'static str {
    match condition {
        Condition::Slope => "Slope, uphill positive",
        Condition::Wind => "Head wind",
        Condition::Temperature => "Air temperature",
        Condition::Pressure => "Air pressure",
        Condition::Humidity => "Humidity",
        Condition::Rollout => "Rollout",
    }
}

/// The same for a narrow panel.
pub(super) fn short_heading(condition: Condition) -> &'static str {
    match condition {
        Condition::Slope => "Slope",
        Condition::Temperature => "Temperature",
        Condition::Pressure => "Pressure",
        other => heading(other),
    }
}
