//! Every colour of charts and page, for light and dark.
//!
//! The six series colours follow the idea of Okabe and Ito's set (Color Universal Design, 2008): hues that stay apart for the
//! common colour vision deficiencies. They are darkened for light paper and lightened for dark so that each can also
//! set text. Lines that share a panel differ in dash as well, and areas in hatching: nothing is told by colour alone.

use std::fmt::Write as _;

/// What something is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ink {
    /// Background.
    Paper,
    /// Background of cards and bars.
    Card,
    /// Running text.
    Text,
    /// Text and marks of second rank.
    Muted,
    /// Grid lines.
    Grid,
    /// Axis lines.
    Axis,
    /// First series.
    Blue,
    /// Second series.
    Vermilion,
    /// Third series.
    Green,
    /// Fourth series.
    Purple,
    /// Fifth series.
    Ochre,
    /// Series of second rank.
    Slate,
    /// Least of seven steps of a quantity, nearest to the paper.
    Step0,
    /// Second step.
    Step1,
    /// Third step.
    Step2,
    /// Fourth step.
    Step3,
    /// Fifth step.
    Step4,
    /// Sixth step.
    Step5,
    /// Last step, farthest from the paper.
    Step6,
}

/// One ink's name in style sheets and its two colours.
struct Tone {
    ink: Ink,
    name: &'static str,
    light: &'static str,
    dark: &'static str,
}

const fn tone(ink: Ink, name: &'static str, light: &'static str, dark: &'static str) -> Tone {
    Tone { ink, name, light, dark }
}

const TONES: [Tone; 19] = [
    tone(Ink::Paper, "paper", "#faf8f3", "#12171e"),
    tone(Ink::Card, "card", "#f0ece2", "#1b222b"),
    tone(Ink::Text, "text", "#1b2430", "#e8e6e0"),
    tone(Ink::Muted, "muted", "#525c69", "#a7b0bb"),
    tone(Ink::Grid, "grid", "#e0dace", "#2b343f"),
    tone(Ink::Axis, "axis", "#8b9099", "#6d7784"),
    tone(Ink::Blue, "blue", "#0062a8", "#63b3f5"),
    tone(Ink::Vermilion, "vermilion", "#bb3d00", "#f78d55"),
    tone(Ink::Green, "green", "#156540", "#50cb94"),
    tone(Ink::Purple, "purple", "#883f94", "#ebadf8"),
    tone(Ink::Ochre, "ochre", "#765900", "#e6c547"),
    tone(Ink::Slate, "slate", "#4d5966", "#a3abb7"),
    tone(Ink::Step0, "step0", "#f6f3e6", "#1a222a"),
    tone(Ink::Step1, "step1", "#dce5d8", "#1f3037"),
    tone(Ink::Step2, "step2", "#c4d7cd", "#243f47"),
    tone(Ink::Step3, "step3", "#acc8c3", "#294e57"),
    tone(Ink::Step4, "step4", "#94b9ba", "#2f5e67"),
    tone(Ink::Step5, "step5", "#7ba9b0", "#366e77"),
    tone(Ink::Step6, "step6", "#6199a5", "#3f7f88"),
];

impl Ink {
    /// Steps of a quantity, least first. Their lightness alone tells them apart: no eye confuses their order.
    pub(crate) const STEPS: [Self; 7] =
        [Self::Step0, Self::Step1, Self::Step2, Self::Step3, Self::Step4, Self::Step5, Self::Step6];

    /// Number of the ink, below 256.
    pub(crate) fn index(self) -> u8 {
        self as u8
    }

    pub(crate) fn from_index(index: u8) -> Option<Self> {
        TONES.get(usize::from(index)).map(|tone| tone.ink)
    }

    fn tone(self) -> &'static Tone {
        &TONES[usize::from(self.index())]
    }

    /// Name in style sheets.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.tone().name
    }

    /// Colour on light paper.
    #[must_use]
    pub fn light(self) -> &'static str {
        self.tone().light
    }

    /// Colour on dark paper.
    #[must_use]
    pub fn dark(self) -> &'static str {
        self.tone().dark
    }
}

/// Custom properties for a page: light, dark by the reader's wish, and light again in print.
#[must_use]
pub fn page_variables() -> String {
    let list = |pick: fn(&Tone) -> &'static str| {
        TONES.iter().fold(String::new(), |mut css, tone| {
            let _ = write!(css, "--{}:{};", tone.name, pick(tone));
            css
        })
    };
    format!(
        ":root{{color-scheme:light dark;{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n",
        list(|tone| tone.light),
        list(|tone| tone.dark)
    )
}

/// Rules for drawings inside a page that has `page_variables`.
#[must_use]
pub fn inline_rules() -> String {
    TONES.iter().fold(String::new(), |mut css, Tone { name, .. }| {
        let _ = write!(css, ".s-{name}{{stroke:var(--{name})}}.f-{name}{{fill:var(--{name})}}");
        css
    })
}

/// Rules for a drawing in a file of its own. Colours are written out: not every SVG reader knows custom properties.
#[must_use]
pub fn file_rules() -> String {
    let list = |pick: fn(&Tone) -> &'static str| {
        TONES.iter().fold(String::new(), |mut css, tone| {
            let (name, colour) = (tone.name, pick(tone));
            let _ = write!(css, ".s-{name}{{stroke:{colour}}}.f-{name}{{fill:{colour}}}");
            css
        })
    };
    format!("{}@media (prefers-color-scheme:dark){{{}}}", list(|tone| tone.light), list(|tone| tone.dark))
}

#[cfg(test)]
mod tests {
    use super::*;

    type Rgb = [f64; 3];

    fn linear(hex: &str) -> Rgb {
        [1, 3, 5].map(|i| {
            let c = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        })
    }

    // Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines 2.2, section "relative luminance".
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |hex| {
            let [r, g, b] = linear(hex);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    // Machado, Oliveira and Fernandes, IEEE TVCG 15 (2009) 1291: matrices at full severity, from memory.
    const PROTANOPIA: [Rgb; 3] =
        [[0.152_286, 1.052_583, -0.204_868], [0.114_503, 0.786_281, 0.099_216], [-0.003_882, -0.048_116, 1.051_998]];
    const DEUTERANOPIA: [Rgb; 3] =
        [[0.367_322, 0.860_646, -0.227_968], [0.280_085, 0.672_501, 0.047_413], [-0.011_820, 0.042_940, 0.968_881]];
    const ORDINARY: [Rgb; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn lab(rgb: Rgb) -> Rgb {
        // IEC 61966-2-1 to CIE 1976 L*a*b*, D65.
        let [r, g, b] = rgb.map(|c| c.clamp(0.0, 1.0));
        let f = |t: f64| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
        let x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505);
        let y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
        let z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089);
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn difference(a: &str, b: &str, eye: &[Rgb; 3]) -> f64 {
        let seen = |hex| {
            let c = linear(hex);
            lab(eye.map(|row| row[0] * c[0] + row[1] * c[1] + row[2] * c[2]))
        };
        let (a, b) = (seen(a), seen(b));
        (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
    }

    #[test]
    fn every_ink_that_sets_text_reads_on_paper_and_card_in_light_and_dark() {
        let sets_no_text =
            |ink| matches!(ink, Ink::Paper | Ink::Card | Ink::Grid | Ink::Axis) || Ink::STEPS.contains(&ink);
        for tone in TONES.iter().filter(|tone| !sets_no_text(tone.ink)) {
            for ground in [Ink::Paper, Ink::Card] {
                assert!(contrast(tone.light, ground.light()) >= 4.5, "{} on light", tone.name);
                assert!(contrast(tone.dark, ground.dark()) >= 4.5, "{} on dark", tone.name);
            }
        }
        // Graphics need 3:1 (the same guidelines, 1.4.11).
        assert!(contrast(Ink::Axis.light(), Ink::Paper.light()) >= 3.0);
        assert!(contrast(Ink::Axis.dark(), Ink::Paper.dark()) >= 3.0);
    }

    #[test]
    fn series_that_share_a_panel_stay_apart_for_colour_blind_readers() {
        // A difference of 20 in CIE 1976 units is seen at a glance between lines (common practice, no source).
        for (a, b) in [
            (Ink::Blue, Ink::Vermilion),
            (Ink::Blue, Ink::Slate),
            (Ink::Blue, Ink::Green),
            (Ink::Vermilion, Ink::Slate),
            (Ink::Vermilion, Ink::Purple),
            (Ink::Vermilion, Ink::Green),
            (Ink::Purple, Ink::Ochre),
            (Ink::Purple, Ink::Slate),
            (Ink::Green, Ink::Slate),
            (Ink::Green, Ink::Text),
        ] {
            for eye in [&ORDINARY, &PROTANOPIA, &DEUTERANOPIA] {
                let light = difference(a.light(), b.light(), eye);
                let dark = difference(a.dark(), b.dark(), eye);
                assert!(light > 20.0 && dark > 20.0, "{a:?} {b:?}: {light:.0} light, {dark:.0} dark");
            }
        }
    }

    #[test]
    fn steps_of_a_quantity_differ_in_lightness_for_every_eye_and_let_text_be_read() {
        for eye in [&ORDINARY, &PROTANOPIA, &DEUTERANOPIA] {
            for pair in Ink::STEPS.windows(2) {
                let light = difference(pair[0].light(), pair[1].light(), eye);
                let dark = difference(pair[0].dark(), pair[1].dark(), eye);
                // Areas that touch are told apart from some 5 (common practice, no source).
                assert!(light > 5.0 && dark > 5.0, "{pair:?}: {light:.1} light, {dark:.1} dark");
            }
        }
        for pair in Ink::STEPS.windows(2) {
            assert!(contrast(pair[0].light(), Ink::Text.light()) > contrast(pair[1].light(), Ink::Text.light()));
            assert!(contrast(pair[0].dark(), Ink::Text.dark()) > contrast(pair[1].dark(), Ink::Text.dark()));
        }
        for (ground, ink) in [(Ink::Step6.light(), Ink::Text.light()), (Ink::Step6.dark(), Ink::Text.dark())] {
            assert!(contrast(ground, ink) >= 3.0, "{}", contrast(ground, ink));
        }
    }

    #[test]
    fn an_ink_is_found_again_by_its_number() {
        for tone in &TONES {
            assert_eq!(Ink::from_index(tone.ink.index()), Some(tone.ink));
        }
        assert_eq!(Ink::from_index(200), None);
    }
}
