//! From what the backend wrote to an SVG that follows its reader's light or dark.
//!
//! The backend knows fixed colours only. So everything is drawn in marker colours that no eye ever sees: each stands for an
//! ink and a dash or hatching. Here every marker becomes the ink's light colour, for readers of SVG without style
//! sheets, and a class, by which a style sheet picks the colour for light or dark.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::palette::{self, Ink};

use super::canvas::Dash;

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Hatch {
    Full,
    Tint,
    Rising,
    Falling,
    Level,
    Upright,
    Cross,
    Points,
    /// Wide apart and without a tint, for areas over a map's colours.
    WideRising,
    WideFalling,
    WideLevel,
    WideUpright,
    WideCross,
}

/// A marker colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Mark {
    ink: Ink,
    manner: u8,
}

const DASHES: [Dash; 5] = [Dash::Solid, Dash::Long, Dash::Short, Dash::Dots, Dash::Mixed];
const HATCHES: [Hatch; 13] = [
    Hatch::Full,
    Hatch::Tint,
    Hatch::Rising,
    Hatch::Falling,
    Hatch::Level,
    Hatch::Upright,
    Hatch::Cross,
    Hatch::Points,
    Hatch::WideRising,
    Hatch::WideFalling,
    Hatch::WideLevel,
    Hatch::WideUpright,
    Hatch::WideCross,
];

impl Mark {
    pub(crate) fn line(ink: Ink, dash: Dash) -> Self {
        Self { ink, manner: dash as u8 }
    }

    pub(crate) fn area(ink: Ink, hatch: Hatch) -> Self {
        Self { ink, manner: hatch as u8 }
    }

    pub(crate) fn rgb(self) -> (u8, u8, u8) {
        (self.ink.index(), self.manner, 0)
    }

    fn read(hex: &str) -> Option<Self> {
        let byte = |i| u8::from_str_radix(hex.get(i..i + 2)?, 16).ok();
        Some(Self { ink: Ink::from_index(byte(0)?)?, manner: byte(2)? })
    }

    fn dash(self) -> Dash {
        DASHES[usize::from(self.manner) % DASHES.len()]
    }

    fn hatch(self) -> Hatch {
        HATCHES[usize::from(self.manner) % HATCHES.len()]
    }
}

/// A drawing without its frame.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    view_box: String,
    width_px: f64,
    height_px: f64,
    body: String,
    fills: BTreeSet<(Ink, Hatch)>,
}

const FONT: &str = "text{font-family:system-ui,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif;\
                    paint-order:stroke;stroke-width:12px;stroke-linejoin:round;font-variant-numeric:tabular-nums}\
                    polyline,line{stroke-linejoin:round;stroke-linecap:butt}";

/// Stands in the body for the identity of the drawing, which differs between a file and the variants in a page.
const IDENTITY: &str = "\u{1}";

impl Drawing {
    pub(crate) fn new(svg: &str, width_px: f64, height_px: f64) -> Self {
        let view_box = between(svg, "viewBox=\"", "\"").unwrap_or("0 0 1 1").to_owned();
        let inner = svg.find(">\n").map_or("", |at| &svg[at + 2..]).trim_end().trim_end_matches("</svg>");
        let mut fills = BTreeSet::new();
        let body = paint(inner, &mut fills);
        Self { view_box, width_px, height_px, body, fills }
    }

    /// For a file of its own.
    pub(crate) fn file(&self, id: &str, title: &str, alt_text: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"{}\" role=\"img\" \
             aria-labelledby=\"title desc\">\n<title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n\
             <style>{FONT}text{{stroke:{}}}{}@media (prefers-color-scheme:dark){{text{{stroke:{}}}}}</style>\n\
             <rect width=\"100%\" height=\"100%\" fill=\"{}\" class=\"f-paper\"/>\n{}{}</svg>\n",
            self.width_px,
            self.height_px,
            self.view_box,
            escape(title),
            escape(alt_text),
            Ink::Paper.light(),
            palette::file_rules(),
            Ink::Paper.dark(),
            Ink::Paper.light(),
            self.patterns(id),
            self.body.replace(IDENTITY, id),
        )
    }

    /// For a page that has the palette's variables, `palette::inline_rules` and `text_rules`.
    pub(crate) fn inline(&self, id: &str, variant: &str, alt_text: &str) -> String {
        let id = format!("{id}-{variant}");
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"chart {variant}\" viewBox=\"{}\" role=\"img\" \
             aria-label=\"{}\">\n{}{}</svg>\n",
            self.view_box,
            escape(alt_text),
            self.patterns(&id),
            self.body.replace(IDENTITY, &id),
        )
    }

    fn patterns(&self, id: &str) -> String {
        let mut defs = String::new();
        for &(ink, hatch) in &self.fills {
            let (lines, tile) = match hatch {
                Hatch::Full => continue,
                Hatch::Tint => ("", 24),
                Hatch::Rising => ("M-6 6L6 -6M0 24L24 0M18 30L30 18", 24),
                Hatch::Falling => ("M-6 18L6 30M0 0L24 24M18 -6L30 6", 24),
                Hatch::Level => ("M0 12L24 12", 24),
                Hatch::Upright => ("M12 0L12 24", 24),
                Hatch::Cross => ("M0 0L24 24M0 24L24 0", 24),
                Hatch::Points => ("M9 12L15 12", 24),
                Hatch::WideRising => ("M-12 12L12 -12M0 48L48 0M36 60L60 36", 48),
                Hatch::WideFalling => ("M-12 36L12 60M0 0L48 48M36 -12L60 12", 48),
                Hatch::WideLevel => ("M0 24L48 24", 48),
                Hatch::WideUpright => ("M24 0L24 48", 48),
                Hatch::WideCross => ("M0 0L48 48M0 48L48 0", 48),
            };
            let (name, light) = (ink.name(), ink.light());
            let width = if hatch == Hatch::Points { 6 } else { 3 };
            let tint = if tile == 24 { 0.16 } else { 0.0 };
            let _ = write!(
                defs,
                "<pattern id=\"{id}-{name}-{}\" width=\"{tile}\" height=\"{tile}\" patternUnits=\"userSpaceOnUse\">\
                 <rect width=\"{tile}\" height=\"{tile}\" fill=\"{light}\" class=\"f-{name}\" opacity=\"{tint}\"/>",
                hatch as u8
            );
            if !lines.is_empty() {
                let _ = write!(
                    defs,
                    "<path d=\"{lines}\" fill=\"none\" stroke=\"{light}\" class=\"s-{name}\" stroke-width=\"{width}\" opacity=\"0.75\"/>"
                );
            }
            defs.push_str("</pattern>");
        }
        if defs.is_empty() { defs } else { format!("<defs>{defs}</defs>\n") }
    }
}

/// Rules for the text of drawings inside a page.
pub(crate) fn text_rules() -> String {
    format!("{}.chart text{{stroke:var(--paper)}}", FONT.replace("text{", ".chart text{"))
}

fn between<'a>(text: &'a str, from: &str, to: &str) -> Option<&'a str> {
    let start = text.find(from)? + from.len();
    let length = text[start..].find(to)?;
    Some(&text[start..start + length])
}

/// Text as it stands in markup.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// Turns every marker colour into a colour and a class.
fn paint(svg: &str, fills: &mut BTreeSet<(Ink, Hatch)>) -> String {
    let mut out = String::with_capacity(svg.len());
    for line in svg.split_inclusive('\n') {
        // A line of text starts without a tag and is copied: it may say anything.
        if !line.starts_with('<') {
            out.push_str(line);
            continue;
        }
        let mut rest = line;
        while let Some(at) = rest.find("=\"#") {
            let key = rest[..at].rsplit(' ').next().unwrap_or("");
            let (before, after) = (&rest[..at - key.len()], &rest[at + 3..]);
            out.push_str(before);
            let mark = after.split('"').next().and_then(Mark::read);
            match (key, mark) {
                ("stroke", Some(mark)) => {
                    let dash = match mark.dash() {
                        Dash::Solid => "",
                        Dash::Long => " stroke-dasharray=\"36 18\"",
                        Dash::Short => " stroke-dasharray=\"18 12\"",
                        Dash::Dots => " stroke-dasharray=\"6 10\"",
                        Dash::Mixed => " stroke-dasharray=\"36 12 6 12\"",
                    };
                    let _ = write!(out, "stroke=\"{}\" class=\"s-{}\"{dash}", mark.ink.light(), mark.ink.name());
                }
                ("fill", Some(mark)) if mark.hatch() == Hatch::Full => {
                    let _ = write!(out, "fill=\"{}\" class=\"f-{}\"", mark.ink.light(), mark.ink.name());
                }
                ("fill", Some(mark)) => {
                    fills.insert((mark.ink, mark.hatch()));
                    let _ = write!(out, "fill=\"url(#{IDENTITY}-{}-{})\"", mark.ink.name(), mark.hatch() as u8);
                }
                _ => {
                    out.push_str(key);
                    out.push_str("=\"#");
                    rest = after;
                    continue;
                }
            }
            rest = after.split_once('"').map_or("", |(_, rest)| rest);
        }
        out.push_str(rest);
    }
    // Opaque is what SVG takes without being told.
    out.replace(" opacity=\"1\"", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_marker_becomes_a_class_and_text_stays_as_it_is() {
        let drawn = "<svg width=\"4\" height=\"4\" viewBox=\"0 0 4 4\" xmlns=\"x\">\n<line stroke=\"#060100\" x1=\"0\"/>\n\
                     <text fill=\"#020000\">\nfill=\"#020000\"\n</text>\n<rect fill=\"#070200\" stroke=\"none\"/>\n</svg>\n";
        let drawing = Drawing::new(drawn, 1.0, 1.0);
        let svg = drawing.inline("speed", "wide", "a < b");
        assert!(svg.contains("class=\"s-blue\" stroke-dasharray=\"36 18\""), "{svg}");
        assert!(svg.contains("class=\"f-text\">\nfill=\"#020000\"\n</text>"), "{svg}");
        assert!(svg.contains("fill=\"url(#speed-wide-vermilion-2)\""), "{svg}");
        assert!(svg.contains("<pattern id=\"speed-wide-vermilion-2\""), "{svg}");
        assert!(svg.contains("aria-label=\"a &lt; b\""), "{svg}");
    }

    #[test]
    fn dashes_and_hatchings_are_found_again_by_their_numbers() {
        for (i, dash) in DASHES.iter().enumerate() {
            assert_eq!(*dash as usize, i);
        }
        for (i, hatch) in HATCHES.iter().enumerate() {
            assert_eq!(*hatch as usize, i);
        }
    }
}
