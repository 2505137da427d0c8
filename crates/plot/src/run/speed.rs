//! Speed and engine speed against time, with gates, shifts, wheelspin and clutch slip, over the ribbon of limits.

use bitepoint_physics::run::Sample;

use super::report::RunReport;
use crate::format::{ENGINE_SPEED, GATE_TIME, SPAN, count, gate_name};
use crate::palette::Ink;
use crate::spans::{spans, spins};

use super::charts::Kind;
use super::limits::ribbon;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::labels;
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel, range};

pub(super) const KIND: Kind =
    Kind { name: "speed", title: "Speed and engine speed", takeaway, alt_text, draw: draw_speed };

/// Title of the axis that all charts over time share.
pub(super) const TIME_TITLE: &str = "Time from first movement, s";

fn takeaway(report: &RunReport) -> String {
    let run = report.run;
    let speed = report.units.speed();
    let spin_s = run.launch.wheelspin_s;
    let spin = if spin_s > 0.01 {
        format!("the driven tyres were past their grip for {}", SPAN.text(spin_s))
    } else {
        "the driven tyres never went past their grip".to_owned()
    };
    format!(
        "In {} the car covered {} and ended at {}, with {}; {spin}.",
        SPAN.text(run.duration_s),
        report.units.distance().decimals(0).text(run.distance_m),
        speed.text(run.final_speed_mps),
        count(run.shifts.len(), "shift", "shifts"),
    )
}

fn alt_text(report: &RunReport) -> String {
    let gates: Vec<String> = report
        .run
        .gates
        .iter()
        .filter(|gate| report.chart_gates().contains(&gate.name))
        .filter_map(|gate| Some(format!("{} at {}", gate_name(gate.name), GATE_TIME.text(gate.passed?.time_s))))
        .collect();
    let shifts: Vec<String> = report
        .run
        .shifts
        .iter()
        .map(|shift| {
            format!(
                "{} to {} at {} and {}",
                shift.from_gear,
                shift.from_gear + 1,
                SPAN.text(shift.time_s),
                ENGINE_SPEED.text(shift.engine_radps)
            )
        })
        .collect();
    format!(
        "Road speed and engine speed against time. Speed at the end {}. Gates: {}. Shifts: {}. Wheelspin {}.",
        report.units.speed().text(report.run.final_speed_mps),
        if gates.is_empty() { "none passed".to_owned() } else { gates.join(", ") },
        if shifts.is_empty() { "none".to_owned() } else { shifts.join(", ") },
        SPAN.text(report.run.launch.wheelspin_s),
    )
}

/// From the first sample's time to the last's; nothing for fewer than two.
pub(super) fn time_range(samples: &[Sample]) -> Option<(f64, f64)> {
    let (first, last) = (samples.first()?.time_s, samples.last()?.time_s);
    (first.is_finite() && last.is_finite() && last > first)
        .then_some((first.max(-0.5), last))
        .filter(|(from, to)| to > from)
}

fn draw_speed(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let samples = report.samples;
    let times = time_range(samples)?;
    let gate_rows = if report.chart_gates().iter().any(|name| report.passed(name).is_some()) { 3 } else { 0 };
    let row_px = layout.font_px() + 4.0;
    let left = layout.pick(52.0, 46.0);
    let right = layout.width() - layout.pick(110.0, 74.0);
    let top = 22.0 + gate_rows as f64 * row_px;
    let speed_frame = Frame { left, right, top, bottom: top + layout.pick(230.0, 190.0) };
    let revs_top = speed_frame.bottom + 34.0;
    let revs_frame = Frame { left, right, top: revs_top, bottom: revs_top + layout.pick(140.0, 120.0) };
    let ribbon_top = revs_frame.bottom + 30.0;
    let axis = ribbon_top + 24.0;

    Some(draw(layout, axis + 42.0, |canvas| {
        let unit = report.units.speed();
        let speeds = range(samples.iter().map(|s| unit.of(s.speed_mps)), &[0.0]);
        let speed = Panel::new(speed_frame, times, speeds);
        // Room above the highest revs for the names of the shifts.
        let headroom = layout.pick(1.2, 1.3) * ENGINE_SPEED.of(report.run.peaks.engine_radps);
        let revs_values = samples.iter().map(|s| ENGINE_SPEED.of(s.engine_radps));
        let revs = Panel::new(revs_frame, times, range(revs_values, &[0.0, headroom]));
        speed.y_axis(canvas, &format!("Speed, {}", unit.unit), 6);
        revs.y_axis(canvas, "Engine speed, rpm", 5);

        let spin = spans(samples, |s| s.time_s >= 0.0 && spins(s));
        for &span in &spin {
            speed.stretch(canvas, span, Ink::Vermilion, Hatch::Rising);
        }
        let slipping = spans(samples, |s| s.clutch_slipping);
        for &span in &slipping {
            revs.stretch(canvas, span, Ink::Purple, Hatch::Falling);
        }

        gates(report, canvas, &speed, &revs, row_px, gate_rows);
        let speed_pen = Pen::new(Ink::Blue, Dash::Solid, 2.25);
        let revs_pen = Pen::new(Ink::Vermilion, Dash::Solid, 2.0);
        speed.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.speed_mps))), speed_pen);
        revs.line(canvas, samples.iter().map(|s| (s.time_s, ENGINE_SPEED.of(s.engine_radps))), revs_pen);
        let last = &samples[samples.len() - 1];
        speed.end_labels(
            canvas,
            &[EndLabel {
                y: unit.of(last.speed_mps),
                text: layout.pick("road speed", "road").to_owned(),
                pen: speed_pen,
            }],
        );
        revs.end_labels(
            canvas,
            &[EndLabel { y: ENGINE_SPEED.of(last.engine_radps), text: "engine".to_owned(), pen: revs_pen }],
        );
        shifts(report, canvas, &revs);
        if !spin.is_empty() {
            let text = format!("wheelspin {}", SPAN.text(report.run.launch.wheelspin_s));
            speed.area_key(canvas, Ink::Vermilion, Hatch::Rising, &text);
        }
        if !slipping.is_empty() {
            revs.area_key(canvas, Ink::Purple, Hatch::Falling, "clutch slips");
        }
        ribbon(canvas, &revs, samples, ribbon_top, 20.0);
        canvas.text((2.0, ribbon_top - 13.0), "What limits the car", Anchor::Start, Ink::Text);
        speed.x_axis(canvas, axis, TIME_TITLE);
    }))
}

fn gates(report: &RunReport, canvas: &Canvas, speed: &Panel, revs: &Panel, row_px: f64, rows: usize) {
    let passed: Vec<_> = report
        .chart_gates()
        .iter()
        .filter_map(|name| report.gate(name))
        .filter_map(|gate| Some((gate_name(gate.name), gate.passed?)))
        .take(canvas.layout.pick(7, 4))
        .collect();
    let unit = report.units.speed();
    let boxes: Vec<(f64, f64)> = passed
        .iter()
        .map(|(name, at)| {
            let width = canvas.layout.text_px(&gate_label(name, at.time_s));
            let low = 0.5 * width + 2.0;
            (speed.x(at.time_s).clamp(low, (canvas.layout.width() - low).max(low)), width)
        })
        .collect();
    let rows_taken = labels::rows(&boxes, 10.0, rows);
    let placed: Vec<_> =
        passed.iter().zip(&boxes).zip(rows_taken).filter_map(|((gate, at), row)| Some((gate, at.0, row?))).collect();
    let row_y = |row: usize| speed.frame.top - 26.0 - row as f64 * row_px;
    // All lines before all names, so that no line crosses a name.
    for ((_, at), _, row) in &placed {
        let x = speed.x(at.time_s);
        canvas.line((x, row_y(*row)), (x, speed.frame.bottom), Pen::MARK);
        canvas.line((x, revs.frame.top), (x, revs.frame.bottom), Pen::MARK);
        canvas.dot((x, speed.y(unit.of(at.speed_mps))), 3.5, Ink::Text);
    }
    for ((name, at), centre, row) in &placed {
        canvas.text((*centre, row_y(*row)), &gate_label(name, at.time_s), Anchor::Middle, Ink::Text);
    }
}

fn gate_label(name: &str, time_s: f64) -> String {
    format!("{name} {}", SPAN.text(time_s))
}

fn shifts(report: &RunReport, canvas: &Canvas, revs: &Panel) {
    let row_px = canvas.layout.font_px() + 1.0;
    let names: Vec<String> =
        report.run.shifts.iter().map(|shift| format!("{}→{}", shift.from_gear, shift.from_gear + 1)).collect();
    let boxes: Vec<(f64, f64)> = report
        .run
        .shifts
        .iter()
        .zip(&names)
        .map(|(shift, name)| (revs.x(shift.time_s), canvas.layout.text_px(name)))
        .collect();
    for ((shift, name), row) in report.run.shifts.iter().zip(&names).zip(labels::rows(&boxes, 3.0, 2)) {
        let (x, y) = (revs.x(shift.time_s), revs.y(ENGINE_SPEED.of(shift.engine_radps)));
        canvas.dot((x, y), 3.0, Ink::Text);
        if let Some(row) = row {
            canvas.text((x, y - 11.0 - row as f64 * row_px), name, Anchor::Middle, Ink::Text);
        }
    }
}
