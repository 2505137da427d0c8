//! Torque of the half-shafts, and boost where there is any.

use super::report::RunReport;
use crate::format::{SHARE, number};
use crate::palette::Ink;

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Dash, Layout, Pen, draw};
use crate::chart::markup::Drawing;
use crate::chart::panel::{EndLabel, Frame, Panel, range};

pub(super) const KIND: Kind = Kind { name: "shaft", title: "Shaft torque", takeaway, alt_text, draw: draw_shaft };

fn takeaway(report: &RunReport) -> String {
    let peaks = &report.run.peaks;
    let unit = report.units.torque();
    let ratio = peaks.shaft_torque_nm / peaks.steady_shaft_torque_nm;
    let compared = if ratio.is_finite() {
        format!(
            ", {} times the {} that the engine can hold there in first gear",
            number(ratio, 1),
            unit.text(peaks.steady_shaft_torque_nm)
        )
    } else {
        String::new()
    };
    format!("The half-shafts together saw up to {}{compared}.", unit.text(peaks.shaft_torque_nm))
}

fn alt_text(report: &RunReport) -> String {
    let peaks = &report.run.peaks;
    let unit = report.units.torque();
    let boost = if report.has_boost() {
        format!(" Boost when the clutch began to bite {}.", SHARE.text(report.run.launch.bite_boost))
    } else {
        String::new()
    };
    format!(
        "Torque of all half-shafts together against time. Peak {}; the engine holds {} there in first gear.{boost}",
        unit.text(peaks.shaft_torque_nm),
        unit.text(peaks.steady_shaft_torque_nm)
    )
}

fn draw_shaft(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let samples = report.samples;
    let times = time_range(samples)?;
    let unit = report.units.torque();
    let left = layout.pick(60.0, 46.0);
    let right = layout.width() - layout.pick(150.0, 90.0);
    let shaft = Frame { left, right, top: 30.0, bottom: layout.pick(250.0, 220.0) };
    let boost = Frame { left, right, top: shaft.bottom + 36.0, bottom: shaft.bottom + 36.0 + 90.0 };
    let foot = if report.has_boost() { boost.bottom } else { shaft.bottom };
    Some(draw(layout, foot + 44.0, |canvas| {
        let steady_nm = report.run.peaks.steady_shaft_torque_nm;
        let panel =
            Panel::new(shaft, times, range(samples.iter().map(|s| unit.of(s.shaft_nm)), &[0.0, unit.of(steady_nm)]));
        panel.y_axis(canvas, &format!("Torque at the axle, {}", unit.unit), 6);
        let steady = Pen::new(Ink::Text, Dash::Long, 1.5);
        let torque = Pen::new(Ink::Green, Dash::Solid, 2.0);
        panel.line(canvas, [times.0, times.1].iter().map(|&t| (t, unit.of(steady_nm))), steady);
        panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.shaft_nm))), torque);
        let last = &samples[samples.len() - 1];
        let mut names = vec![EndLabel { y: unit.of(last.shaft_nm), text: "half-shafts".to_owned(), pen: torque }];
        if steady_nm.is_finite() {
            names.push(EndLabel {
                y: unit.of(steady_nm),
                text: layout.pick("engine can hold", "can hold").to_owned(),
                pen: steady,
            });
        }
        panel.end_labels(canvas, &names);
        if report.has_boost() {
            let panel = Panel::new(boost, times, (0.0, 108.0));
            panel.y_axis(canvas, "Boost, % of full", 3);
            let pen = Pen::new(Ink::Blue, Dash::Solid, 2.0);
            panel.line(canvas, samples.iter().map(|s| (s.time_s, SHARE.of(s.boost))), pen);
            panel.end_labels(canvas, &[EndLabel { y: SHARE.of(last.boost), text: "boost".to_owned(), pen }]);
        }
        panel.x_axis(canvas, foot, TIME_TITLE);
    }))
}
