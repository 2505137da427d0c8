//! The change of the time against each condition: small panels with one scale of time.

use bitepoint_runner::conditions::{Condition, Response, Study};

use super::report::ConditionsReport;
use super::unit::{heading, name, scale, short_heading};
use super::words;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::time_difference;
use crate::palette::Ink;

/// The chart; nothing where there is no response.
pub(super) fn chart(report: &ConditionsReport<'_>) -> Option<Chart> {
    let study = report.study;
    if study.responses.is_empty() || study.responses.iter().any(|r| r.points.len() < 2) {
        return None;
    }
    let caption = Caption {
        name: "responses",
        title: "The time against each condition",
        takeaway: takeaway(report),
        alt_text: format!(
            "Six panels with one scale of time. {}.",
            study.responses.iter().map(|r| told(r, report)).collect::<Vec<_>>().join("; ")
        ),
    };
    Chart::draw(caption, |layout| Some(panels(report, layout)))
}

fn told(response: &Response, report: &ConditionsReport<'_>) -> String {
    let scale = scale(response.condition, report.units);
    let end = |point: Option<&bitepoint_runner::conditions::Point>| {
        point.map_or_else(String::new, |p| format!("{} at {}", time_difference(p.change_s), scale.text(p.at_si)))
    };
    format!("{}: {} and {}", name(response.condition), end(response.points.first()), end(response.points.last()))
}

fn takeaway(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let each = |condition| words::per_unit(study, report.units, condition);
    let told: Vec<String> = [Condition::Slope, Condition::Wind, Condition::Temperature]
        .into_iter()
        .filter_map(|condition| each(condition).map(|(seconds, _, unit)| (condition, seconds, unit)))
        .map(|(condition, seconds, unit)| {
            let what = match condition {
                Condition::Wind => "head wind",
                other => name(other),
            };
            format!("{unit} of {what} {seconds}")
        })
        .collect();
    format!("Around this run: {}.", told.join(", "))
}

/// Times of all panels, s, with those of bands.
fn changes(study: &Study) -> impl Iterator<Item = f64> {
    study.responses.iter().flat_map(|r| &r.points).flat_map(|p| {
        let band = p.band_s.map_or([p.change_s; 2], |b| [b.low_s, b.high_s]);
        [p.change_s, band[0], band[1]]
    })
}

fn panels(report: &ConditionsReport<'_>, layout: Layout) -> Drawing {
    let study = report.study;
    let columns = layout.pick(3, 2);
    let (gap, height) = (layout.pick(50.0, 42.0), layout.pick(150.0, 118.0));
    let (left, right) = (layout.pick(44.0, 42.0), layout.width() - layout.pick(12.0, 14.0));
    let width = (right - left - gap * (columns - 1) as f64) / columns as f64;
    let head = layout.pick(52.0, 66.0);
    let row = height + 62.0;
    let rows = study.responses.len().div_ceil(columns);
    let times = range(changes(study), &[0.0]);
    draw(layout, head + row * rows as f64 - 8.0, |canvas| {
        canvas.text((2.0, 10.0), "Change of the time from this run's, s", Anchor::Start, Ink::Text);
        key(canvas, layout.pick((300.0, 10.0), (2.0, 30.0)));
        for (i, response) in study.responses.iter().enumerate() {
            let (column, line) = (i % columns, i / columns);
            let x = left + (width + gap) * column as f64;
            let top = head + row * line as f64;
            panel(report, canvas, response, Frame { left: x, right: x + width, top, bottom: top + height }, times);
        }
    })
}

/// What the marks mean.
fn key(canvas: &Canvas, (x, y): (f64, f64)) {
    canvas.dot((x + 6.0, y), 4.5, Ink::Text);
    canvas.text((x + 16.0, y), "this run", Anchor::Start, Ink::Text);
    let second = x + 34.0 + canvas.layout.text_px("this run");
    diamond(canvas, (second, y));
    canvas.text((second + 10.0, y), "reference", Anchor::Start, Ink::Vermilion);
    let third = second + 30.0 + canvas.layout.text_px("reference");
    canvas.rect((third, y - 6.0), (third + 16.0, y + 6.0), Ink::Blue, Hatch::Tint);
    canvas.text((third + 21.0, y), "90 % (car)", Anchor::Start, Ink::Blue);
}

fn diamond(canvas: &Canvas, (x, y): (f64, f64)) {
    let r = 6.0;
    canvas.polygon(&[(x - r, y), (x, y - r), (x + r, y), (x, y + r)], Ink::Vermilion, Hatch::Full);
}

fn panel(report: &ConditionsReport<'_>, canvas: &Canvas, response: &Response, frame: Frame, times: (f64, f64)) {
    let scale = scale(response.condition, report.units);
    let points = &response.points;
    let across = (scale.of(points[0].at_si), scale.of(points[points.len() - 1].at_si));
    let panel = Panel::new(frame, across, times).with_x_numbers(canvas.layout.pick(7, 3));
    panel.y_axis(canvas, "", canvas.layout.pick(6, 5));
    let what = canvas.layout.pick(heading(response.condition), short_heading(response.condition));
    canvas.bold((frame.left, frame.top - 12.0), &format!("{what}, {}", scale.unit), Anchor::Start, Ink::Text);
    let zero = panel.y(0.0);
    canvas.line((frame.left, zero), (frame.right, zero), Pen::MARK);
    let banded: Vec<(f64, f64, f64)> =
        points.iter().filter_map(|p| p.band_s.map(|b| (scale.of(p.at_si), b.low_s, b.high_s))).collect();
    // At the run itself the band has no width: its two sides touch there.
    let sides = banded.split(|(_, low, high)| low >= high);
    let day = scale.of(response.day_si);
    for side in sides.filter(|side| !side.is_empty()) {
        let before = side[0].0 > day;
        let mut with_tip = side.to_vec();
        with_tip.insert(if before { 0 } else { side.len() }, (day, 0.0, 1e-9));
        panel.between(canvas, &with_tip, Ink::Blue, Hatch::Tint);
    }
    panel.line(canvas, points.iter().map(|p| (scale.of(p.at_si), p.change_s)), Pen::new(Ink::Blue, Dash::Solid, 2.25));
    if let Some(reference) = points.iter().find(|p| p.at_si == response.reference_si) {
        diamond(canvas, (panel.x(scale.of(reference.at_si)), panel.y(reference.change_s)));
    }
    canvas.dot((panel.x(day), zero), 4.5, Ink::Text);
    panel.x_axis(canvas, frame.bottom, "");
}
