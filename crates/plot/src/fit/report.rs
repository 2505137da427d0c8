//! What a report of a fit is made of, and its sentences.

use bitepoint_inputs::quantity::{Dimension, UnitSystem};
use bitepoint_inputs::scenario_keys::SCENARIO_KEYS;
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use bitepoint_runner::fit::{Fit, FittedInput, Told};

use crate::format::{Units, count, number};

/// Everything that the report of a fit says.
#[derive(Debug, Clone, Copy)]
pub struct FitReport<'a> {
    /// Name of the car.
    pub vehicle_name: &'a str,
    /// The fit.
    pub fit: &'a Fit,
    /// The command that makes it again.
    pub command: &'a str,
    /// Units of what is printed.
    pub units: Units,
}

impl FitReport<'_> {
    /// What came out, in a sentence.
    #[must_use]
    pub fn headline(&self) -> String {
        let told = |verdict| self.fit.inputs.iter().filter(|i| i.told == verdict).count();
        format!(
            "From {} and {}: {} told well, {} in part",
            count(self.fit.starts.len(), "start", "starts"),
            count(self.fit.coast_downs.len(), "coast-down", "coast-downs"),
            count(told(Told::Well), "value", "values"),
            told(Told::Partly) + told(Told::Together)
        )
    }

    pub(crate) fn system(&self) -> UnitSystem {
        match self.units {
            Units::Us => UnitSystem::Us,
            Units::Si => UnitSystem::Si,
        }
    }

    /// An input before or after, with its spread.
    #[must_use]
    pub fn value(&self, input: &FittedInput, after: bool, system: UnitSystem) -> String {
        let path = input.key.strip_prefix("part.").unwrap_or(&input.key);
        let key = VEHICLE_KEYS.iter().chain(SCENARIO_KEYS).find(|k| k.path == path);
        let dimension = key.and_then(|k| k.kind.dimension()).unwrap_or(Dimension::Ratio);
        let (value, sd) =
            if after { (input.after_si, input.after_sd_si) } else { (input.before_si, input.before_sd_si) };
        let (value, sd) = (dimension.show(value, system), dimension.show_difference(sd, value, system));
        match (value.split_once(' '), sd.split_once(' ')) {
            (Some((number, unit)), Some((sd, same))) if unit == same => format!("{number} ± {sd} {unit}"),
            _ => format!("{value} ± {sd}"),
        }
    }

    /// The road load in a sentence; nothing without coast-downs.
    #[must_use]
    pub fn road_load_text(&self, system: UnitSystem) -> Option<String> {
        let load = self.fit.road_load.as_ref()?;
        let slope = load.slope.map_or_else(String::new, |s| {
            format!("; slope {} ± {} %", number(100.0 * s.value, 2), number(100.0 * s.sd, 2))
        });
        Some(format!(
            "F0 {} ± {} N, F1 {} ± {} N·s/m, F2 {} ± {} N·s²/m² (correlation of F1 and F2 {}); with F1 = 0: drag area {} ± {}, \
             rolling resistance {} ± {}{slope}",
            number(load.f0_n.value, 1),
            number(load.f0_n.sd, 1),
            number(load.f1_ns_per_m.value, 2),
            number(load.f1_ns_per_m.sd, 2),
            number(load.f2_ns2_per_m2.value, 4),
            number(load.f2_ns2_per_m2.sd, 4),
            number(load.correlation[2], 2),
            Dimension::Area.show(load.drag_area_m2.value, system),
            Dimension::Area.show_difference(load.drag_area_m2.sd, load.drag_area_m2.value, system),
            number(load.rolling_coefficient.value, 5),
            number(load.rolling_coefficient.sd, 5),
        ))
    }

    /// What the logs do not tell, with at most so many names.
    #[must_use]
    pub fn not_told_text(&self, most: usize) -> String {
        let not: Vec<&str> = self.fit.inputs.iter().filter(|i| i.told == Told::Not).map(|i| i.key.as_str()).collect();
        let shown = not[..not.len().min(most)].join(", ");
        match not.len().saturating_sub(most) {
            0 => format!("not told by these logs, and left as before: {shown}"),
            more => format!("not told by these logs, and left as before: {shown} and {more} more"),
        }
    }
}
