//! Temperature of the clutch against where it fades and where it is harmed.

use super::report::RunReport;
use crate::format::{ENERGY, SPAN};
use crate::palette::Ink;

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel, range};

pub(super) const KIND: Kind =
    Kind { name: "clutch", title: "Clutch temperature", takeaway, alt_text, draw: draw_clutch };

fn takeaway(report: &RunReport) -> String {
    let (unit, difference) = (report.units.temperature(), report.units.temperature_difference());
    let peak_c = report.run.peaks.clutch_face_c;
    let heat = ENERGY.decimals(0).text(report.run.peaks.clutch_energy_j);
    let peak = unit.text(peak_c);
    if peak_c >= report.clutch_harm_c {
        format!(
            "The clutch face reached {peak}, past the {} at which it takes lasting harm.",
            unit.text(report.clutch_harm_c)
        )
    } else if peak_c >= report.clutch_fade_start_c {
        format!(
            "The clutch face reached {peak}: it fades from {}, and lasting harm was {} away.",
            unit.text(report.clutch_fade_start_c),
            difference.text(report.clutch_harm_c - peak_c)
        )
    } else {
        format!(
            "The clutch took {heat} and its face reached {peak}, {} short of fading.",
            difference.text(report.clutch_fade_start_c - peak_c)
        )
    }
}

fn alt_text(report: &RunReport) -> String {
    let unit = report.units.temperature();
    let peaks = &report.run.peaks;
    format!(
        "Clutch face and mass temperature against time. Face peak {}, mass peak {}, fade from {}, lasting harm from {}. \
         Friction heat {} in {} of slip.",
        unit.text(peaks.clutch_face_c),
        unit.text(peaks.clutch_mass_c),
        unit.text(report.clutch_fade_start_c),
        unit.text(report.clutch_harm_c),
        ENERGY.text(peaks.clutch_energy_j),
        SPAN.text(peaks.clutch_slipping_s),
    )
}

fn draw_clutch(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let samples = report.samples;
    let times = time_range(samples)?;
    let unit = report.units.temperature();
    let frame = Frame {
        left: layout.pick(52.0, 46.0),
        right: layout.width() - layout.pick(150.0, 94.0),
        top: 30.0,
        bottom: layout.pick(290.0, 250.0),
    };
    Some(draw(layout, frame.bottom + 44.0, |canvas| {
        let limits = [report.clutch_fade_start_c, report.clutch_harm_c].map(|c| unit.of(c));
        let values = samples.iter().flat_map(|s| [unit.of(s.clutch_face_c), unit.of(s.clutch_mass_c)]);
        let panel = Panel::new(frame, times, range(values, &[limits[0], limits[1], unit.of(0.0)]));
        panel.y_axis(canvas, &format!("Temperature, {}", unit.unit), 6);
        let band: Vec<_> = [times.0, times.1].iter().map(|&t| (t, limits[0], limits[1])).collect();
        panel.between(canvas, &band, Ink::Vermilion, Hatch::Tint);
        let fade = Pen::new(Ink::Vermilion, Dash::Short, 1.5);
        let harm = Pen::new(Ink::Vermilion, Dash::Solid, 1.5);
        let face = Pen::new(Ink::Purple, Dash::Solid, 2.25);
        let mass = Pen::new(Ink::Slate, Dash::Long, 2.0);
        for (y, pen) in [(limits[0], fade), (limits[1], harm)] {
            panel.line(canvas, [times.0, times.1].iter().map(|&t| (t, y)), pen);
        }
        panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.clutch_face_c))), face);
        panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.clutch_mass_c))), mass);
        let last = &samples[samples.len() - 1];
        let name = |wide: &str, narrow: &str| layout.pick(wide, narrow).to_owned();
        panel.end_labels(
            canvas,
            &[
                EndLabel { y: limits[1], text: name("lasting harm", "harm"), pen: harm },
                EndLabel { y: limits[0], text: name("begins to fade", "fades"), pen: fade },
                EndLabel { y: unit.of(last.clutch_face_c), text: name("clutch face", "face"), pen: face },
                EndLabel { y: unit.of(last.clutch_mass_c), text: name("mass behind it", "mass"), pen: mass },
            ],
        );
        panel.x_axis(canvas, frame.bottom, TIME_TITLE);
    }))
}
