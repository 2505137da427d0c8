//! Slip ratio of the driven tyres against the slip at which they grip best.

use bitepoint_physics::run::Sample;

use super::report::RunReport;
use crate::format::{SHARE, SPAN};
use crate::palette::Ink;
use crate::spans::{WALKING_MPS, spans, spins};

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Anchor, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel};

pub(super) const KIND: Kind = Kind { name: "slip", title: "Tyre slip", takeaway, alt_text, draw: draw_slip };

/// The axis ends here however far a tyre spins.
const MOST_SHOWN: f64 = 1.0;

/// Largest slip once the car rolls: close to a standstill the ratio has no meaning.
fn largest(samples: &[Sample]) -> Option<&Sample> {
    samples.iter().filter(|s| s.speed_mps > WALKING_MPS && s.slip.is_finite()).max_by(|a, b| a.slip.total_cmp(&b.slip))
}

fn best_slip(samples: &[Sample]) -> Option<f64> {
    samples.iter().map(|s| s.peak_slip).find(|slip| slip.is_finite() && *slip > 0.0)
}

fn takeaway(report: &RunReport) -> String {
    let best = best_slip(report.samples)
        .map_or(String::new(), |slip| format!("The tyres grip best at some {} slip; ", SHARE.text(slip)));
    match largest(report.samples) {
        Some(most) if spins(most) => format!(
            "{best}they were past it for {} and furthest at {}, with {}.",
            SPAN.text(report.run.launch.wheelspin_s),
            SPAN.text(most.time_s),
            SHARE.text(most.slip)
        ),
        Some(most) => format!("{best}once rolling, the most they saw was {}.", SHARE.text(most.slip)),
        None => format!("{best}the car hardly moved, so that there is little slip to tell of."),
    }
}

fn alt_text(report: &RunReport) -> String {
    format!(
        "Slip ratio of the fastest driven tyre against time. Best grip at {}. Largest slip once rolling {}. Past the peak for {}.",
        SHARE.text_or_dash(best_slip(report.samples)),
        SHARE.text_or_dash(largest(report.samples).map(|s| s.slip)),
        SPAN.text(report.run.launch.wheelspin_s)
    )
}

fn draw_slip(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let samples = report.samples;
    let times = time_range(samples)?;
    let most = largest(samples).map_or(0.2, |s| s.slip);
    let best = best_slip(samples).unwrap_or(0.0).min(MOST_SHOWN);
    let top = (1.15 * most).max(1.8 * best).clamp(0.05, MOST_SHOWN);
    let frame = Frame {
        left: layout.pick(52.0, 46.0),
        right: layout.width() - layout.pick(140.0, 86.0),
        top: 30.0,
        bottom: layout.pick(270.0, 240.0),
    };
    Some(draw(layout, frame.bottom + 44.0, |canvas| {
        let low = samples.iter().map(|s| s.slip).filter(|s| s.is_finite()).fold(0.0, f64::min).max(-0.2 * top);
        let panel = Panel::new(frame, times, (SHARE.of(low), SHARE.of(top)));
        panel.y_axis(canvas, "Slip ratio, % of road speed", 6);
        for span in spans(samples, |s| s.time_s >= 0.0 && spins(s)) {
            panel.stretch(canvas, span, Ink::Vermilion, Hatch::Rising);
        }
        let peak = Pen::new(Ink::Text, Dash::Long, 1.75);
        let slip = Pen::new(Ink::Blue, Dash::Solid, 2.0);
        panel.line(canvas, samples.iter().map(|s| (s.time_s, SHARE.of(s.peak_slip))), peak);
        panel.line(canvas, samples.iter().map(|s| (s.time_s, SHARE.of(s.slip))), slip);
        let last = &samples[samples.len() - 1];
        let mut names =
            vec![EndLabel { y: SHARE.of(last.slip), text: layout.pick("fastest tyre", "tyre").to_owned(), pen: slip }];
        if last.peak_slip.is_finite() {
            names.push(EndLabel {
                y: SHARE.of(last.peak_slip),
                text: layout.pick("best grip", "best grip").to_owned(),
                pen: peak,
            });
        }
        panel.end_labels(canvas, &names);
        if let Some(over) = samples.iter().find(|s| s.slip > top) {
            let text =
                layout.pick("▲ off the scale here, where the car is nearly still", "▲ off the scale: nearly still");
            let text = if over.speed_mps < 3.0 { text } else { "▲ off the scale here" };
            let x = (panel.x(over.time_s) + 8.0).min(frame.right - layout.text_px(text));
            canvas.text((x, frame.top + 10.0), text, Anchor::Start, Ink::Muted);
        }
        panel.x_axis(canvas, frame.bottom, TIME_TITLE);
    }))
}
