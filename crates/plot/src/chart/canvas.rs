//! A sheet to draw on, in CSS pixels, over the SVG backend of `plotters`.

use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{Circle, Drawable, PathElement, PointCollection, Polygon, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontDesc, FontFamily, FontStyle, RGBColor, ShapeStyle, TextStyle};

use crate::palette::Ink;

use super::markup::{Drawing, Hatch, Mark};

/// Where a drawing is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layout {
    /// Desktop and print.
    Wide,
    /// Telephone.
    Narrow,
}

impl Layout {
    /// Width, px.
    pub(crate) fn width(self) -> f64 {
        self.pick(840.0, 358.0)
    }

    /// Size of labels, px.
    pub(crate) fn font_px(self) -> f64 {
        self.pick(13.0, 12.0)
    }

    pub(crate) fn pick<T>(self, wide: T, narrow: T) -> T {
        match self {
            Self::Wide => wide,
            Self::Narrow => narrow,
        }
    }

    /// Estimated width of a label, px: sans-serif digits and lower case are some 0.56 em wide on average.
    pub(crate) fn text_px(self, text: &str) -> f64 {
        text.chars().count() as f64 * 0.56 * self.font_px()
    }
}

/// How a line is broken up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Dash {
    Solid,
    Long,
    Short,
    Dots,
    Mixed,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pen {
    pub(crate) ink: Ink,
    pub(crate) dash: Dash,
    pub(crate) width_px: f64,
}

impl Pen {
    pub(crate) const GRID: Self = Self::new(Ink::Grid, Dash::Solid, 1.0);
    pub(crate) const AXIS: Self = Self::new(Ink::Axis, Dash::Solid, 1.0);
    pub(crate) const MARK: Self = Self::new(Ink::Muted, Dash::Dots, 1.0);

    pub(crate) const fn new(ink: Ink, dash: Dash, width_px: f64) -> Self {
        Self { ink, dash, width_px }
    }
}

/// Where a text sits against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// The backend writes whole numbers, so that a drawing is made this many times larger and shown smaller: lines stay smooth.
const SUBPIXELS: f64 = 4.0;

/// The backend divides the size of a font by this before it writes it.
const BACKEND_FONT_DIVISOR: f64 = 1.24;

pub(crate) struct Canvas<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
    pub(crate) layout: Layout,
}

/// Draws on a new sheet of this height.
pub(crate) fn draw(layout: Layout, height_px: f64, paint: impl FnOnce(&Canvas)) -> Drawing {
    let mut svg = String::new();
    let size = ((layout.width() * SUBPIXELS) as u32, (height_px * SUBPIXELS) as u32);
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        let canvas = Canvas { area, layout };
        paint(&canvas);
        canvas.area.present().expect("a string takes all that is written to it");
    }
    Drawing::new(&svg, layout.width(), height_px)
}

fn to_backend((x, y): (f64, f64)) -> (i32, i32) {
    ((x * SUBPIXELS).round() as i32, (y * SUBPIXELS).round() as i32)
}

fn style(mark: Mark, filled: bool, width_px: f64) -> ShapeStyle {
    let (r, g, b) = mark.rgb();
    ShapeStyle { color: RGBColor(r, g, b).into(), filled, stroke_width: (width_px * SUBPIXELS).round() as u32 }
}

impl Canvas<'_> {
    fn put<E>(&self, element: &E)
    where
        for<'b> &'b E: PointCollection<'b, (i32, i32)>,
        E: for<'b> Drawable<SVGBackend<'b>>,
    {
        self.area.draw(element).expect("a string takes all that is written to it");
    }

    /// A line through points.
    pub(crate) fn path(&self, points: &[(f64, f64)], pen: Pen) {
        if points.len() < 2 {
            return;
        }
        let points: Vec<_> = points.iter().copied().map(to_backend).collect();
        self.put(&PathElement::new(points, style(Mark::line(pen.ink, pen.dash), false, pen.width_px)));
    }

    pub(crate) fn line(&self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A filled polygon.
    pub(crate) fn polygon(&self, points: &[(f64, f64)], ink: Ink, hatch: Hatch) {
        if points.len() < 3 {
            return;
        }
        let points: Vec<_> = points.iter().copied().map(to_backend).collect();
        self.put(&Polygon::new(points, style(Mark::area(ink, hatch), true, 0.0)));
    }

    /// A filled rectangle between two corners.
    pub(crate) fn rect(&self, from: (f64, f64), to: (f64, f64), ink: Ink, hatch: Hatch) {
        self.put(&Rectangle::new([to_backend(from), to_backend(to)], style(Mark::area(ink, hatch), true, 0.0)));
    }

    /// The outline of a rectangle.
    pub(crate) fn frame(&self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        self.path(&[from, (to.0, from.1), to, (from.0, to.1), from], pen);
    }

    pub(crate) fn dot(&self, at: (f64, f64), radius_px: f64, ink: Ink) {
        self.put(&Circle::new(
            to_backend(at),
            (radius_px * SUBPIXELS) as i32,
            style(Mark::area(ink, Hatch::Full), true, 0.0),
        ));
    }

    /// Text, centred on the height of its point.
    pub(crate) fn text(&self, at: (f64, f64), text: &str, anchor: Anchor, ink: Ink) {
        self.write(at, text, anchor, ink, FontStyle::Normal);
    }

    pub(crate) fn bold(&self, at: (f64, f64), text: &str, anchor: Anchor, ink: Ink) {
        self.write(at, text, anchor, ink, FontStyle::Bold);
    }

    fn write(&self, at: (f64, f64), text: &str, anchor: Anchor, ink: Ink, weight: FontStyle) {
        let (r, g, b) = Mark::area(ink, Hatch::Full).rgb();
        let h = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let size = self.layout.font_px() * SUBPIXELS * BACKEND_FONT_DIVISOR;
        let colour = RGBColor(r, g, b);
        let style = TextStyle::from(FontDesc::new(FontFamily::SansSerif, size, weight))
            .color(&colour)
            .pos(Pos::new(h, VPos::Center));
        self.put(&Text::new(text.to_owned(), to_backend(at), style));
    }
}
