//! Tyre sizes as they stand on the sidewall.

use core::fmt;

use serde::Serialize;

/// A size such as 225/40R18.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TyreSize {
    /// Section width, mm.
    pub width_mm: f64,
    /// Section height over section width.
    pub aspect_ratio: f64,
    /// Rim diameter, in.
    pub rim_in: f64,
}

impl TyreSize {
    /// What is accepted.
    pub const ACCEPTED: &'static str = "width in mm / height in % R rim in inches, such as \"225/40R18\": width 105 to 405, height 20 to 90, rim 10 to 24";

    /// Reads "225/40R18", "225/40 R 18", "225/40ZR18 92Y".
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (width, rest) = text.trim().trim_start_matches(['P', 'p']).split_once('/')?;
        let construction = rest.find(|c: char| c.is_ascii_alphabetic())?;
        let (aspect, rest) = rest.split_at(construction);
        let rim = rest.trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
        let letters: String = rest[..rest.len() - rim.len()].chars().filter(|c| *c != ' ').collect();
        if !["R", "ZR", "B", "D"].contains(&letters.to_ascii_uppercase().as_str()) {
            return None;
        }
        // What follows the rim is load index and speed rating.
        let rim = rim.split_whitespace().next()?;
        let size = Self {
            width_mm: width.trim().parse().ok()?,
            aspect_ratio: aspect.trim().parse::<f64>().ok()? / 100.0,
            rim_in: rim.parse().ok()?,
        };
        let believable = (105.0..=405.0).contains(&size.width_mm)
            && (0.2..=0.9).contains(&size.aspect_ratio)
            && (10.0..=24.0).contains(&size.rim_in);
        believable.then_some(size)
    }

    /// Rim diameter, m.
    #[must_use]
    pub fn rim_m(&self) -> f64 {
        self.rim_in * 0.0254
    }

    /// Section width, m.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.width_mm / 1000.0
    }

    /// Free (unloaded) diameter by the marking's own arithmetic, m.
    #[must_use]
    pub fn free_diameter_m(&self) -> f64 {
        self.rim_m() + 2.0 * self.width_m() * self.aspect_ratio
    }
}

impl fmt::Display for TyreSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}R{}", self.width_mm, (self.aspect_ratio * 1000.0).round() / 10.0, self.rim_in)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_markings_own_arithmetic_gives_the_diameter() {
        // 18 · 25.4 + 2 · 0.40 · 225 = 637.2 mm.
        let size = TyreSize::parse("225/40R18").expect("a size");
        assert!((size.free_diameter_m() - 0.6372).abs() < 1e-12);
        assert_eq!(size.to_string(), "225/40R18");
    }

    #[test]
    fn usual_ways_to_write_a_size_are_one() {
        for text in ["225/40 R18", "225/40ZR18 92Y", " 225/40 r 18 ", "P225/40R18"] {
            assert_eq!(TyreSize::parse(text), TyreSize::parse("225/40R18"), "{text}");
        }
    }

    #[test]
    fn nonsense_is_no_size() {
        for text in [
            "",
            "225",
            "225/40",
            "225/40R",
            "225/40R180",
            "40/225R18",
            "225/4R18",
            "a/bRc",
            "225/40X18",
            "é/40R18",
            "225/é",
        ] {
            assert_eq!(TyreSize::parse(text), None, "{text}");
        }
    }
}
