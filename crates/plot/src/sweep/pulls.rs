//! The pull in each gear against road speed, where the next pulls as hard, and where the quickest runs left each gear.

use bitepoint_runner::sweep::{GearStudy, ShiftStudy};
use bitepoint_runner::tractive_effort::Pull;

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::Drawing;
use crate::chart::panel::{Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::{ACCELERATION, ENGINE_SPEED, Units};
use crate::palette::Ink;

use super::look;

/// The day whose pull is drawn: air and slope change it by little.
const DAY: usize = 0;

pub(super) fn chart(study: &ShiftStudy, units: Units) -> Option<Chart> {
    let caption =
        Caption { name: "pull", title: "The pull in each gear", takeaway: takeaway(study), alt_text: alt_text(study) };
    Chart::draw(caption, |layout| paint(study, layout, units))
}

fn takeaway(study: &ShiftStudy) -> String {
    let (mut crossed, mut limited) = (Vec::new(), Vec::new());
    for gear in &study.gears {
        match gear.found[DAY].crossing.crossing_radps {
            Some(radps) => crossed.push(format!("from {} in {}", ENGINE_SPEED.text(radps), ordinal(gear.from_gear))),
            None => limited.push(ordinal(gear.from_gear)),
        }
    }
    let limited = (!limited.is_empty()).then(|| {
        format!(
            "In {} this gear pulls harder than the next all the way to the limiter, so that the limiter decides.",
            limited.join(", ")
        )
    });
    let crossed = (!crossed.is_empty()).then(|| format!("The next gear pulls as hard {}.", crossed.join(", ")));
    limited.into_iter().chain(crossed).collect::<Vec<_>>().join(" ")
}

fn ordinal(gear: u8) -> String {
    match gear {
        1 => "first".to_owned(),
        2 => "second".to_owned(),
        3 => "third".to_owned(),
        4 => "fourth".to_owned(),
        5 => "fifth".to_owned(),
        gear => format!("gear {gear}"),
    }
}

fn alt_text(study: &ShiftStudy) -> String {
    let each: Vec<String> = study
        .gears
        .iter()
        .map(|gear| {
            let found = &gear.found[DAY];
            let left = ENGINE_SPEED.text_or_dash(found.shift.map(|s| s.engine_radps));
            let crossing =
                found.crossing.crossing_radps.map_or("none before the limiter".to_owned(), |r| ENGINE_SPEED.text(r));
            format!("gear {}: crossing {crossing}, left in the quickest run at {left}", gear.from_gear)
        })
        .collect();
    format!("Acceleration at full load against road speed, one line a gear. {}.", each.join("; "))
}

fn paint(study: &ShiftStudy, layout: Layout, units: Units) -> Option<Drawing> {
    let day = study.days.get(DAY)?;
    // The gears that are left, and the one that follows the last of them.
    let shown = &day.pulls[..day.pulls.len().min(study.gears.len() + 1)];
    let speed = units.speed();
    let frame = Frame {
        left: layout.pick(52.0, 46.0),
        right: layout.width() - 14.0,
        top: 30.0,
        bottom: layout.pick(330.0, 280.0),
    };
    let points = || shown.iter().flatten();
    let fastest = points().map(|p| p.speed_mps).fold(0.0, f64::max);
    let pulls = range(points().map(|p| ACCELERATION.of(p.acceleration_mps2)), &[0.0]);
    Some(draw(layout, frame.bottom + layout.pick(66.0, 84.0), |canvas| {
        let panel = Panel::new(frame, (0.0, speed.of(fastest)), pulls);
        panel.y_axis(canvas, "Acceleration at full load, g", 6);
        let place = |pull: &Pull| (speed.of(pull.speed_mps), ACCELERATION.of(pull.acceleration_mps2));
        for (gear, pulls) in shown.iter().enumerate() {
            let pen = look::pen(gear);
            panel.line(canvas, pulls.iter().map(place), pen);
            // Below its beginning: there the gears lie farthest apart.
            if let Some(first) = pulls.first() {
                let (x, y) = place(first);
                let text = if layout == Layout::Wide { ordinal(gear as u8 + 1) } else { (gear + 1).to_string() };
                canvas.bold((panel.x(x), panel.y(y) + 12.0), &text, Anchor::Middle, pen.ink);
            }
        }
        for gear in &study.gears {
            marks(canvas, &panel, &day.pulls[usize::from(gear.from_gear) - 1], gear, place);
        }
        panel.x_axis(canvas, frame.bottom, &format!("Road speed, {}", speed.unit));
        legend(canvas, frame.bottom + 54.0);
    }))
}

/// The crossing, or the limiter, and where the quickest run left the gear.
fn marks(canvas: &Canvas, panel: &Panel, pulls: &[Pull], gear: &GearStudy, place: impl Fn(&Pull) -> (f64, f64)) {
    let found = &gear.found[DAY];
    let at = |radps: f64| {
        let after = pulls.partition_point(|p| p.engine_radps < radps).clamp(1, pulls.len() - 1);
        let (a, b) = (place(&pulls[after - 1]), place(&pulls[after]));
        let share =
            (radps - pulls[after - 1].engine_radps) / (pulls[after].engine_radps - pulls[after - 1].engine_radps);
        let share = share.clamp(0.0, 1.0);
        (panel.x(a.0 + share * (b.0 - a.0)), panel.y(a.1 + share * (b.1 - a.1)))
    };
    if let Some(radps) = found.crossing.crossing_radps {
        let (x, y) = at(radps);
        crossing_mark(canvas, (x, y));
        canvas.text((x + 9.0, y - 9.0), &ENGINE_SPEED.text(radps), Anchor::Start, Ink::Text);
    }
    if let Some(shift) = found.shift {
        let (x, y) = at(shift.engine_radps);
        left_mark(canvas, (x, y));
        if found.crossing.crossing_radps.is_none() {
            let text = ENGINE_SPEED.text(shift.engine_radps);
            let fits = x + 9.0 + canvas.layout.text_px(&text) < panel.frame.right;
            let (at, anchor) = if fits { (x + 9.0, Anchor::Start) } else { (x - 9.0, Anchor::End) };
            canvas.text((at, y - 9.0), &text, anchor, Ink::Text);
        }
    }
}

fn crossing_mark(canvas: &Canvas, (x, y): (f64, f64)) {
    let pen = Pen::new(Ink::Text, Dash::Solid, 1.75);
    canvas.line((x - 5.0, y - 5.0), (x + 5.0, y + 5.0), pen);
    canvas.line((x - 5.0, y + 5.0), (x + 5.0, y - 5.0), pen);
}

fn left_mark(canvas: &Canvas, at: (f64, f64)) {
    canvas.dot(at, 5.5, Ink::Text);
    canvas.dot(at, 3.5, Ink::Paper);
}

fn legend(canvas: &Canvas, y: f64) {
    let apart = canvas.layout.pick((330.0, 0.0), (0.0, 18.0));
    crossing_mark(canvas, (10.0, y));
    canvas.text((22.0, y), "from here the next gear pulls as hard", Anchor::Start, Ink::Text);
    left_mark(canvas, (10.0 + apart.0, y + apart.1));
    canvas.text((22.0 + apart.0, y + apart.1), "left here in the quickest run", Anchor::Start, Ink::Text);
}
