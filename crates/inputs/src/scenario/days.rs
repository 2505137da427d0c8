//! Days that need no file: a surface on the flat, in still air at 20 °C.

use super::ScenarioFile;

/// Names of the built-in days, what they are called in reports, and their surfaces.
pub const BUILT_IN_DAYS: [(&str, &str, &str); 7] = [
    ("dry", "Dry, flat", "dry asphalt"),
    ("damp", "Damp, flat", "damp asphalt"),
    ("wet", "Wet, flat", "standing-water wet"),
    ("strip", "Prepared strip", "prepared strip"),
    ("gravel", "Gravel, flat", "gravel"),
    ("snow", "Packed snow, flat", "packed snow"),
    ("ice", "Ice, flat", "ice"),
];

impl ScenarioFile {
    /// The built-in day of that name, in any case.
    #[must_use]
    pub fn built_in(name: &str) -> Option<Self> {
        let (word, text) = built_in_text(name)?;
        Self::parse(word, &text, &|_| Err("a built-in day names no file".to_owned())).ok()
    }
}

/// Name and text of the built-in day of that name, in any case.
#[must_use]
pub fn built_in_text(name: &str) -> Option<(&'static str, String)> {
    let (word, title, surface) = BUILT_IN_DAYS.into_iter().find(|day| day.0.eq_ignore_ascii_case(name))?;
    Some((word, format!("name = \"{title}\"\n\n[road]\nsurface = \"{surface}\"\n")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_surface_has_its_day_and_the_dry_one_is_the_usual_one() {
        let surfaces = BUILT_IN_DAYS.map(|day| day.2);
        assert_eq!(surfaces.as_slice(), crate::scenario_keys::SURFACES);
        for (name, title, _) in BUILT_IN_DAYS {
            assert_eq!(ScenarioFile::built_in(name).map(|day| day.name().to_owned()), Some(title.to_owned()));
        }
        assert_eq!(ScenarioFile::built_in("WET"), ScenarioFile::built_in("wet"));
        assert_eq!(ScenarioFile::built_in("rain"), None);
        assert_eq!(ScenarioFile::default().name(), "Dry, flat");
    }
}
