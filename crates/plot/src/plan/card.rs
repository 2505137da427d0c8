//! The launch card: one A5 page in black on white, read at arm's length.

use std::fmt::Write as _;

use bitepoint_runner::plan::{Decision, Plan};

use super::report::{PlanDay, PlanReport, target_text};
use super::words;
use crate::format::{ENGINE_SPEED, SPAN};

const WIDTH_MM: f64 = 148.0;
const HEIGHT_MM: f64 = 210.0;
const MARGIN_MM: f64 = 9.0;
/// Nothing stands lower than this above the edge, mm.
const FOOT_MM: f64 = 6.0;
/// The right column begins here, mm.
const COLUMN_MM: f64 = MARGIN_MM + 33.0;
/// Width of a letter over its height, on average, in the widest of common sans-serifs; bold and plain.
const BOLD: f64 = 0.68;
const PLAIN: f64 = 0.58;

/// What a card says before anything is driven. Short: the long ones stand in the report.
const CAUTION: &str = "Closed course only; local law, the venue's rules and its officials come first. Hard launches break \
                       drivelines and burn clutches. Clutch and tyres get hot enough to burn skin. A prediction does not make it safe or legal.";

/// Writes text and rules, in mm from the top left.
struct Card {
    svg: String,
    y_mm: f64,
    /// Share of its usual leading, for a card with much to say.
    pitch: f64,
}

impl Card {
    fn down(&mut self, mm: f64) {
        self.y_mm += self.pitch * mm;
    }

    fn text(&mut self, x_mm: f64, size_mm: f64, bold: bool, end: bool, text: &str) {
        let escaped = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let weight = if bold { " font-weight=\"700\"" } else { "" };
        let anchor = if end { " text-anchor=\"end\"" } else { "" };
        let _ = writeln!(
            self.svg,
            "<text x=\"{x_mm:.2}\" y=\"{:.2}\" font-size=\"{size_mm:.2}\"{weight}{anchor}>{escaped}</text>",
            self.y_mm
        );
    }

    fn rule(&mut self, thick_mm: f64) {
        let right = WIDTH_MM - MARGIN_MM;
        let _ = writeln!(
            self.svg,
            "<path d=\"M{MARGIN_MM} {y:.2}H{right}\" stroke=\"#000\" stroke-width=\"{thick_mm}\"/>",
            y = self.y_mm
        );
    }

    /// A label in the left column, and a line of large type beside it, made smaller where it would not fit.
    fn step(&mut self, label: &str, large: &str, small: &str) {
        let (left, room) = (COLUMN_MM, WIDTH_MM - MARGIN_MM - COLUMN_MM);
        self.down(13.0);
        self.text(MARGIN_MM, 4.4, true, false, label);
        self.text(left, fitting(large, 12.0, room), true, false, large);
        if !small.is_empty() {
            for line in wrapped(small, 4.6, room) {
                self.down(6.0);
                self.text(left, 4.6, false, false, &line);
            }
        }
        self.down(4.2);
        self.rule(0.2);
    }

    /// A remedy: what is felt, and what to change.
    fn remedy(&mut self, felt: &str, change: &str) {
        let left = COLUMN_MM;
        let mut first = true;
        for line in wrapped(change, 4.3, WIDTH_MM - MARGIN_MM - left) {
            self.down(5.4);
            if first {
                self.text(MARGIN_MM, 4.3, true, false, felt);
                first = false;
            }
            self.text(left, 4.3, false, false, &line);
        }
    }
}

/// The size at which a line fits its room, at most `size_mm`.
fn fitting(text: &str, size_mm: f64, room_mm: f64) -> f64 {
    size_mm.min(room_mm / (BOLD * text.chars().count().max(1) as f64))
}

/// Text in lines that fit.
fn wrapped(text: &str, size_mm: f64, room_mm: f64) -> Vec<String> {
    let most = (room_mm / (PLAIN * size_mm)) as usize;
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let fits =
            lines.last().is_some_and(|line| line.is_empty() || line.chars().count() + 1 + word.chars().count() <= most);
        if !fits {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

/// The card of a day as an SVG of 148 by 210 mm; it is white in the dark as well: it is paper.
#[must_use]
pub fn card(report: &PlanReport<'_>, day: &PlanDay<'_>) -> String {
    // What does not fit its page is set closer: at first as it should be, then as it must be.
    let mut card = filled(report, day, 1.0);
    let room_mm = HEIGHT_MM - FOOT_MM;
    if card.y_mm > room_mm {
        card = filled(report, day, room_mm / card.y_mm);
    }
    let description =
        format!("{}, {}: {}", report.vehicle_name, day.name, words::described(day.plan).paragraph(report.units));
    let escape = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;");
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"card\" width=\"{WIDTH_MM}mm\" height=\"{HEIGHT_MM}mm\" viewBox=\"0 0 {WIDTH_MM} {HEIGHT_MM}\" \
         role=\"img\" aria-label=\"{}\" font-family=\"system-ui,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif\" fill=\"#000\">\n\
         <rect width=\"{WIDTH_MM}\" height=\"{HEIGHT_MM}\" fill=\"#fff\"/>\n{}</svg>\n",
        escape(&description),
        card.svg
    )
}

fn filled(report: &PlanReport<'_>, day: &PlanDay<'_>, pitch: f64) -> Card {
    let mut card = Card { svg: String::new(), y_mm: 0.0, pitch };
    head(&mut card, report, day);
    steps(&mut card, report, day.plan);
    remedies(&mut card, report, day.plan);
    foot(&mut card, report, day.plan);
    card
}

fn head(card: &mut Card, report: &PlanReport<'_>, day: &PlanDay<'_>) {
    let right = WIDTH_MM - MARGIN_MM;
    card.down(15.0);
    let time = format!("{}\u{a0}s", SPAN.number(day.plan.driver.expected.mean_s));
    card.text(MARGIN_MM, fitting(day.name, 9.0, 86.0), true, false, day.name);
    card.text(right, 9.0, true, true, &time);
    card.down(6.5);
    card.text(MARGIN_MM, fitting(report.vehicle_name, 4.6, 80.0), false, false, report.vehicle_name);
    card.text(right, 4.2, false, true, &format!("expected, {}", target_text(report.target)));
    card.down(3.5);
    card.rule(0.9);
}

fn steps(card: &mut Card, report: &PlanReport<'_>, plan: &Plan) {
    let choice = &plan.driver;
    let launch = &choice.launch;
    let described = words::described(plan);
    let within = |decision: Decision| {
        let window = choice.windows.iter().find(|w| w.decision == decision);
        window.map_or(String::new(), |w| format!("within 0.05\u{a0}s from {}", words::window(w, report.units)))
    };
    card.step("HOLD", &ENGINE_SPEED.text(launch.held_radps), &held_note(plan, within(Decision::HeldRevs)));
    let (large, small) = match described.clutch(report.units).split_once(", ") {
        Some((first, rest)) => (first.to_owned(), rest.to_owned()),
        None => (described.clutch(report.units), String::new()),
    };
    card.step("CLUTCH", large.trim_end_matches('.'), small.trim_end_matches('.'));
    let (large, small) = described.throttle_card(report.units);
    let small: Vec<String> = core::iter::once(small).chain(described.wheelspin()).collect();
    card.step("THROTTLE", &large, small.join(". ").trim_end_matches('.'));
    shifts(card, report, plan);
}

/// One line a shift: gears and revs large, the speed at which they come beside them.
fn shifts(card: &mut Card, report: &PlanReport<'_>, plan: &Plan) {
    let choice = &plan.driver;
    let size_mm = if choice.run.shifts.len() > 2 { 7.0 } else { 9.0 };
    card.down(if choice.run.shifts.is_empty() { 9.0 } else { 2.0 });
    if choice.run.shifts.is_empty() {
        card.text(MARGIN_MM, 4.4, true, false, "SHIFT");
        card.text(COLUMN_MM, 6.0, true, false, "not before the finish");
    }
    for (i, shift) in choice.run.shifts.iter().enumerate() {
        card.down(size_mm + 0.5);
        if i == 0 {
            card.text(MARGIN_MM, 4.4, true, false, "SHIFT");
        }
        let gear = usize::from(shift.from_gear);
        let at = ENGINE_SPEED.text(Decision::ShiftRevs(gear - 1).of(&choice.launch));
        card.text(COLUMN_MM, 4.6, false, false, &format!("{gear}–{}", gear + 1));
        card.text(COLUMN_MM + 11.0, size_mm, true, false, &at);
        let speed = report.units.speed().decimals(0).text(shift.speed_mps);
        card.text(WIDTH_MM - MARGIN_MM, 4.6, false, true, &speed);
    }
    card.down(4.2);
    card.rule(0.2);
}

/// Beside the held revs: with a launch limiter under an open throttle the engine rises to it whatever is held.
fn held_note(plan: &Plan, within: String) -> String {
    let vehicle = &plan.resolved.vehicle.vehicle;
    let bite = plan.driver.run.launch.bite_radps;
    let lead = plan.driver.launch.throttle_lead_s > 0.0;
    match vehicle.engine.launch_limiter {
        Some(_) if lead && bite > plan.driver.launch.held_radps => {
            format!("foot down before the bite: the engine rises to {}", ENGINE_SPEED.text(bite))
        }
        _ => within,
    }
}

fn remedies(card: &mut Card, report: &PlanReport<'_>, plan: &Plan) {
    card.down(6.6);
    card.text(MARGIN_MM, 4.4, true, false, "IF IT GOES WRONG, NEXT TIME");
    let [less, more] = plan.other_grip;
    card.remedy("Wheels spin", &words::change(less.change, report.units));
    card.remedy("Engine bogs", &words::change(more.change, report.units));
    card.remedy("Clutch slips", &words::against_slip(&plan.driver));
    card.down(3.4);
    card.rule(0.2);
}

fn foot(card: &mut Card, report: &PlanReport<'_>, plan: &Plan) {
    card.down(6.0);
    let heat = format!("{}.", words::clutch(plan, report.units));
    card.down(-5.4);
    card.remedy("CLUTCH", &heat);
    // The cautions stand at the foot of the page, wherever the rest ends.
    let lines = wrapped(CAUTION, 3.3, WIDTH_MM - 2.0 * MARGIN_MM);
    card.y_mm = (HEIGHT_MM - MARGIN_MM - 4.4 * lines.len() as f64).max(card.y_mm + 3.4);
    card.rule(0.9);
    for line in lines {
        card.down(4.4);
        card.text(MARGIN_MM, 3.3, false, false, &line);
    }
}
