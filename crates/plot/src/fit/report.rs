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
    /// What is known of the car besides its file.
    pub notes: &'a [String],
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

    fn system(&self) -> UnitSystem {
        match self.units {
            Units::Us => UnitSystem::Us,
            Units::Si => UnitSystem::Si,
        }
    }

    /// An input before or after, with its spread.
    #[must_use]
    pub fn value(&self, input: &FittedInput, after: bool) -> String {
        let system = self.system();
        let path = input.key.strip_prefix("part.").unwrap_or(&input.key);
        let key = VEHICLE_KEYS.iter().chain(SCENARIO_KEYS).find(|k| k.path == path);
        let dimension = key.and_then(|k| k.kind.dimension()).unwrap_or(Dimension::Ratio);
        let (value, sd) =
            if after { (input.after_si, input.after_sd_si) } else { (input.before_si, input.before_sd_si) };
        with_error(&dimension.show(value, system), &dimension.show_difference(sd, value, system))
    }

    /// The road load in a sentence; nothing without coast-downs.
    #[must_use]
    pub fn road_load_text(&self) -> Option<String> {
        let system = self.system();
        let load = self.fit.road_load.as_ref()?;
        let slope = load.slope.map_or_else(String::new, |s| {
            format!("; slope {} ± {} %", number(100.0 * s.value, 2), number(100.0 * s.sd, 2))
        });
        Some(format!(
            "F0 {} ± {} N, F1 {} ± {} N·s/m, F2 {} ± {} N·s²/m² (correlation of F1 and F2 {}); with F1 = 0: drag area {}, \
             rolling resistance {} ± {}{slope}",
            number(load.f0_n.value, 1),
            number(load.f0_n.sd, 1),
            number(load.f1_ns_per_m.value, 2),
            number(load.f1_ns_per_m.sd, 2),
            number(load.f2_ns2_per_m2.value, 4),
            number(load.f2_ns2_per_m2.sd, 4),
            number(load.correlation[2], 2),
            with_error(
                &Dimension::Area.show(load.drag_area_m2.value, system),
                &Dimension::Area.show_difference(load.drag_area_m2.sd, load.drag_area_m2.value, system)
            ),
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

/// A value and its standard error in one unit: two digits of the error, and as many decimals of the value.
fn with_error(value: &str, sd: &str) -> String {
    let parts = |text: &str| {
        let (figure, unit) = text.split_once(' ').unwrap_or((text, ""));
        figure.parse::<f64>().ok().map(|figure| (figure, unit.to_owned()))
    };
    match (parts(value), parts(sd)) {
        (Some((value, unit)), Some((sd, same))) if unit == same && sd > 0.0 => {
            let decimals = (1.0 - sd.log10().floor()).clamp(0.0, 6.0) as usize;
            let text = format!("{} ± {}", number(value, decimals), number(sd, decimals));
            if unit.is_empty() { text } else { format!("{text} {unit}") }
        }
        _ => format!("{value} ± {sd}"),
    }
}

#[cfg(test)]
mod tests {
    use super::with_error;

    #[test]
    fn a_value_has_the_decimals_of_its_error_and_the_unit_stands_once() {
        assert_eq!(with_error("299.5 lbf·ft", "27.31 lbf·ft"), "300 ± 27 lbf·ft");
        assert_eq!(with_error("-0.0001887 %", "0.00026 %"), "−0.00019 ± 0.00026 %");
        assert_eq!(with_error("6985 rpm", "40 rpm"), "6985 ± 40 rpm");
        assert_eq!(with_error("1.023", "0.04412"), "1.023 ± 0.044");
        assert_eq!(with_error("20 °C", "2 K"), "20 °C ± 2 K");
    }
}
