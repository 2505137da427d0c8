//! Charts for the page on real cars, by `plotters`, in the house's inks.

use std::path::Path;

use bitepoint_plot::palette::Ink;
use plotters::coord::Shift;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::evidence::{Car, Kind, Mark as Figure};
use super::parts::Part;
use super::prediction::Prediction;
use super::rows::ModernRow;
use super::spread_sheets::Sheet;
use super::spread_tests::{Law, SheetRun, Times};

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Axes<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

/// Shape of a mark: nothing is told by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Dot,
    Ring,
    Square,
    Triangle,
    Cross,
}

fn colour(ink: Ink) -> RGBColor {
    let hex = u32::from_str_radix(&ink.light()[1..], 16).expect("an ink is written as six digits");
    RGBColor((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

fn font(size: i32, ink: Ink) -> TextStyle<'static> {
    ("sans-serif", size).into_font().color(&colour(ink))
}

/// Text that begins at its point and is centred on its height.
fn beside(ink: Ink) -> TextStyle<'static> {
    font(13, ink).pos(Pos::new(HPos::Left, VPos::Center))
}

fn sheet<'a>(path: &'a Path, size: (u32, u32)) -> Area<'a> {
    let area = SVGBackend::new(path, size).into_drawing_area();
    area.fill(&colour(Ink::Paper)).expect("an SVG takes all that is drawn");
    area
}

fn axes<'a, 'b>(
    area: &Area<'b>,
    title: &str,
    (x, y): ((f64, f64), (f64, f64)),
    (x_title, y_title): (&str, &str),
) -> Axes<'a, 'b> {
    let mut chart = ChartBuilder::on(area)
        .caption(title, font(16, Ink::Text))
        .margin(10)
        .margin_right(18)
        .x_label_area_size(42)
        .y_label_area_size(56)
        .build_cartesian_2d(x.0..x.1, y.0..y.1)
        .expect("ranges are not empty");
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(colour(Ink::Grid))
        .axis_style(colour(Ink::Axis))
        .label_style(font(13, Ink::Muted))
        .axis_desc_style(font(14, Ink::Text))
        .x_labels(8)
        .y_labels(8)
        .x_label_formatter(&plain)
        .y_label_formatter(&plain)
        .x_desc(x_title)
        .y_desc(y_title)
        .draw()
        .expect("an SVG takes all that is drawn");
    chart
}

fn plain(value: &f64) -> String {
    format!("{value:.0}").replace('-', "\u{2212}")
}

fn put(chart: &mut Axes<'_, '_>, at: (f64, f64), mark: Mark, ink: Ink, size: i32) {
    let plane = chart.plotting_area();
    let (full, line) = (colour(ink).filled(), colour(ink).stroke_width(2));
    match mark {
        Mark::Dot => plane.draw(&Circle::new(at, size, full)),
        Mark::Ring => plane.draw(&Circle::new(at, size, line)),
        Mark::Triangle => plane.draw(&TriangleMarker::new(at, size + 2, full)),
        Mark::Cross => plane.draw(&plotters::element::Cross::new(at, size, line)),
        Mark::Square => {
            let box_px = [(-size, -size), (size, -size), (size, size), (-size, size), (-size, -size)];
            plane.draw(&(EmptyElement::at(at) + PathElement::new(box_px.to_vec(), line)))
        }
    }
    .expect("an SVG takes all that is drawn");
}

fn line(chart: &mut Axes<'_, '_>, points: Vec<(f64, f64)>, ink: Ink, width_px: u32) {
    chart
        .plotting_area()
        .draw(&PathElement::new(points, colour(ink).stroke_width(width_px)))
        .expect("an SVG takes all that is drawn");
}

fn zone(chart: &mut Axes<'_, '_>, from: (f64, f64), to: (f64, f64)) {
    chart
        .plotting_area()
        .draw(&Rectangle::new([from, to], colour(Ink::Card).filled()))
        .expect("an SVG takes all that is drawn");
}

fn note(chart: &mut Axes<'_, '_>, at: (f64, f64), text: &str, ink: Ink) {
    chart.plotting_area().draw(&Text::new(text.to_owned(), at, beside(ink))).expect("an SVG takes all that is drawn");
}

fn key(chart: &mut Axes<'_, '_>, at: (f64, f64), offset_x: f64, (mark, ink): (Mark, Ink), text: &str) {
    put(chart, at, mark, ink, 4);
    note(chart, (at.0 + offset_x, at.1), text, ink);
}

/// Computed against measured figures of cars that the numbers were not calibrated on, with their bands.
pub fn left_out(path: &Path, cars: &[Car], predictions: &[Prediction]) {
    let area = sheet(path, (1180, 470));
    let panels = area.split_evenly((1, 3));
    let ranges = [(3.5, 10.5), (12.0, 22.0), (33.0, 55.0)];
    for ((panel, figure), range) in panels.iter().zip(Figure::ALL).zip(ranges) {
        let unit = if figure == Figure::Trap { "m/s" } else { "s" };
        let titles = (format!("measured, {unit}"), format!("computed, {unit}"));
        let mut chart = axes(panel, figure.name(), (range, range), (&titles.0, &titles.1));
        line(&mut chart, vec![(range.0, range.0), (range.1, range.1)], Ink::Axis, 1);
        for (car, found) in cars.iter().zip(predictions) {
            let Some(measured) = car.measured(figure) else { continue };
            let (mark, ink) = of_kind(car.kind);
            let band = found.bands[figure as usize];
            line(&mut chart, vec![(measured.value, band.low_s), (measured.value, band.high_s)], ink, 1);
            put(&mut chart, (measured.value, found.figures[figure as usize]), mark, ink, 4);
        }
        if figure == Figure::Sixty {
            let (width, mut y) = (range.1 - range.0, range.1 - 0.04 * (range.1 - range.0));
            for kind in Kind::ALL {
                key(&mut chart, (range.0 + 0.03 * width, y), 0.025 * width, of_kind(kind), kind.short());
                y -= 0.05 * width;
            }
        }
    }
    area.present().expect("the folder can be written to");
}

fn of_kind(kind: Kind) -> (Mark, Ink) {
    match kind {
        Kind::FrontDrive => (Mark::Dot, Ink::Blue),
        Kind::RearDrive => (Mark::Triangle, Ink::Vermilion),
        Kind::PowerfulRearDrive => (Mark::Square, Ink::Vermilion),
        Kind::EngineBehind => (Mark::Ring, Ink::Vermilion),
        Kind::AllWheelDrive => (Mark::Cross, Ink::Green),
        Kind::Of1974 => (Mark::Dot, Ink::Axis),
    }
}

fn axle(driven: &str) -> (Mark, Ink) {
    match driven {
        "front" => (Mark::Dot, Ink::Blue),
        "rear" => (Mark::Triangle, Ink::Vermilion),
        _ => (Mark::Cross, Ink::Green),
    }
}

/// Residuals against the law over the 0-60 time: measured cars and sheets.
pub fn residuals(path: &Path, law: &Law, rows: &[ModernRow], sheets: &[Sheet], runs: &[SheetRun]) {
    let area = sheet(path, (900, 880));
    let panels = area.split_evenly((2, 1));
    let x = (3.5, 13.5);
    let percent = [
        ("Quarter mile against the line of the measured cars", 6.0, 2.0),
        ("0-30 mph against the line of the measured cars", 30.0, 200.0 * law.thirty_rms),
    ];
    for (i, (panel, (title, reach, allowed))) in panels.iter().zip(percent).enumerate() {
        let of = |times: &Times| 100.0 * if i == 0 { law.quarter_residual(times) } else { law.thirty_residual(times) };
        let mut chart = axes(panel, title, (x, (-reach, reach)), ("0-60 mph, s", "above the line, %"));
        zone(&mut chart, (x.0, -allowed), (x.1, allowed));
        line(&mut chart, vec![(x.0, 0.0), (x.1, 0.0)], Ink::Axis, 1);
        for row in rows {
            put(&mut chart, (row.t_0_60_s, of(&row.times())), Mark::Ring, Ink::Axis, 2);
        }
        for (sheet, run) in sheets.iter().zip(runs) {
            let (mark, ink) = axle(sheet.driven);
            put(&mut chart, (run.from_rest.sixty_s, of(&run.from_rest)), mark, ink, 4);
        }
        let at = |k: f64| (10.6, reach * (0.92 - 0.1 * k));
        key(&mut chart, at(0.0), 0.15, (Mark::Ring, Ink::Axis), "measured car");
        key(&mut chart, at(1.0), 0.15, axle("front"), "sheet, front-drive");
        key(&mut chart, at(2.0), 0.15, axle("rear"), "sheet, rear-drive");
        key(&mut chart, at(3.0), 0.15, axle("all"), "sheet, all wheels driven");
        let shaded = if i == 0 { "shaded: ±2 %" } else { "shaded: twice the scatter of the measured cars" };
        note(&mut chart, (3.7, -0.88 * reach), shaded, Ink::Muted);
    }
    area.present().expect("the folder can be written to");
}

/// Residual of each sheet's quarter mile, as estimated and with more grip.
pub fn sheets(path: &Path, law: &Law, sheets: &[Sheet], runs: &[SheetRun], gripping: &[SheetRun]) {
    let area = sheet(path, (900, 60 + 22 * sheets.len() as u32 + 60));
    let count = sheets.len() as f64;
    let mut chart = ChartBuilder::on(&area)
        .caption("Quarter mile of each sheet against the line of the measured cars", font(16, Ink::Text))
        .margin(10)
        .margin_right(18)
        .x_label_area_size(42)
        .y_label_area_size(210)
        .build_cartesian_2d(-6.0..6.0, count..-2.2)
        .expect("ranges are not empty");
    chart
        .configure_mesh()
        .disable_y_mesh()
        .disable_y_axis()
        .light_line_style(TRANSPARENT)
        .bold_line_style(colour(Ink::Grid))
        .axis_style(colour(Ink::Axis))
        .label_style(font(13, Ink::Muted))
        .axis_desc_style(font(14, Ink::Text))
        .x_label_formatter(&plain)
        .x_desc("above the line, %; shaded: ±2 %")
        .draw()
        .expect("an SVG takes all that is drawn");
    zone(&mut chart, (-2.0, -0.6), (2.0, count));
    line(&mut chart, vec![(0.0, -0.6), (0.0, count)], Ink::Axis, 1);
    for (i, sheet) in sheets.iter().enumerate() {
        let y = i as f64;
        let turbo = if sheet.is_turbo { ", turbo" } else { "" };
        let name = format!("{:.0} kg, {:.0} kW, {}{turbo}", sheet.mass_kg, sheet.power_kw, sheet.driven);
        let (_, at_y) = chart.backend_coord(&(-6.0, y));
        area.draw(&Text::new(name, (14, at_y), beside(Ink::Text))).expect("an SVG takes all that is drawn");
        let of = |run: &SheetRun| (100.0 * law.quarter_residual(&run.from_rest)).clamp(-6.0, 6.0);
        let (estimated, grip) = (of(&runs[i]), of(&gripping[i]));
        line(&mut chart, vec![(estimated, y), (grip, y)], Ink::Axis, 1);
        put(&mut chart, (grip, y), Mark::Ring, Ink::Vermilion, 4);
        put(&mut chart, (estimated, y), Mark::Dot, Ink::Blue, 4);
    }
    key(&mut chart, (-5.8, -1.5), 0.15, (Mark::Dot, Ink::Blue), Part::None.name());
    key(&mut chart, (-3.8, -1.5), 0.15, (Mark::Ring, Ink::Vermilion), Part::Grip.name());
    area.present().expect("the folder can be written to");
}
