//! The report of a comparison: its page and its charts.

use std::sync::LazyLock;

use bitepoint_inputs::part::Part;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::compare::{ChangedInput, CompareReport, Fitted, charts, page, words};
use bitepoint_plot::format::Units;
use bitepoint_runner::case::Case;
use bitepoint_runner::compare::{Asked, Comparison, Money, Variant, compare};
use bitepoint_runner::plan::{Effort, Limits};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use roxmltree::{Document, Node};

static COMPARED: LazyLock<Comparison> = LazyLock::new(|| {
    let vehicle = VehicleFile::parse("car.toml", include_str!("../../../vehicles/ellisar-28.toml")).expect("a car");
    let base = Case::new(vehicle, ScenarioFile::default());
    let variant = |label: &str, change: &str, price: Option<f64>| {
        let part = Part::parse("part.toml", &format!("[change]\n{change}\n")).expect("a part");
        Variant {
            label: label.to_owned(),
            price: price.map(|amount| Money { amount, currency: "EUR".to_owned() }),
            case: Case { vehicle: base.vehicle.fitted(&part.changes).expect("fits"), ..base.clone() },
        }
    };
    let variants = vec![
        variant("Sticky <tyres> & wheels", "tyres.grade = \"track\"\nmass = \"-60 kg\"", Some(900.0)),
        variant("A change with a name that is far too long for any chart to show", "mass = \"-45 kg\"", Some(450.0)),
        variant("same", "mass = \"+0 kg\"", Some(10.0)),
        variant("cannot move", "clutch.torque_capacity = \"145 N·m\"\ngear_ratios = \"-60 %\"", None),
    ];
    // A hill that no launch of it gets up.
    let mut variants = variants;
    variants[3].case.scenario = base.scenario.with("road.slope", "30 %").expect("a slope");
    let together = Some(variants[0].case.clone());
    let target = Target::named("60 mph", Clock::FirstMovement).expect("a gate");
    let asked = Asked {
        base,
        variants,
        together,
        target,
        effort: Effort::default(),
        limits: Limits::default(),
        draws: 256,
        seed: 20,
    };
    compare(&asked, &Nobody).expect("compares")
});

fn report(units: Units, fitted: &[Fitted]) -> CompareReport<'_> {
    CompareReport {
        notes: &[],
        vehicle_name: "Car",
        scenario_name: "Day",
        command: "bitepoint compare",
        comparison: &COMPARED,
        fitted,
        units,
    }
}

fn text_of(node: Node) -> String {
    node.descendants().filter(Node::is_text).filter_map(|n| n.text()).collect()
}

#[test]
fn no_label_is_cut_off_and_every_axis_says_what_it_shows() {
    for units in [Units::Us, Units::Si] {
        let charts = charts(&report(units, &[]));
        let names: Vec<&str> = charts.iter().map(|chart| chart.file_name.as_str()).collect();
        assert_eq!(names, ["worth.svg", "money.svg", "influence.svg"]);
        for chart in &charts {
            assert!(chart.takeaway.ends_with('.') && chart.alt_text.len() > 40, "{}", chart.takeaway);
            for drawing in [&chart.inline_wide, &chart.inline_narrow] {
                let document = Document::parse(drawing).unwrap_or_else(|e| panic!("{}: {e}", chart.file_name));
                let root = document.root_element();
                let size: Vec<f64> = root
                    .attribute("viewBox")
                    .expect("a size")
                    .split(' ')
                    .map(|n| n.parse().expect("a number"))
                    .collect();
                let mut texts = Vec::new();
                for node in document.descendants().filter(|n| n.has_tag_name("text")) {
                    let number =
                        |name: &str| node.attribute(name).and_then(|n| n.parse::<f64>().ok()).expect("a number");
                    let text = text_of(node).trim().to_owned();
                    // Narrower than most sans-serif letters are, so that only what is surely cut off is found.
                    let width = 0.5 * number("font-size") * text.chars().count() as f64;
                    let left = match node.attribute("text-anchor") {
                        Some("end") => number("x") - width,
                        Some("middle") => number("x") - 0.5 * width,
                        _ => number("x"),
                    };
                    assert!(left >= -1.0 && left + width <= size[2] + 1.0, "{}: {text}", chart.file_name);
                    assert!((0.0..=size[3]).contains(&number("y")), "{}: {text}", chart.file_name);
                    texts.push(text);
                }
                let title = match chart.file_name.as_str() {
                    "worth.svg" => "the car as it is, s (left",
                    "money.svg" => "s gained per 1000 EUR",
                    _ => "Share of the variance",
                };
                assert!(texts.iter().any(|text| text.contains(title)), "{}: {texts:?}", chart.file_name);
                assert!(
                    !drawing.contains("NaN") && !texts.iter().any(|text| text.contains("inf")),
                    "{}",
                    chart.file_name
                );
            }
        }
    }
}

#[test]
fn the_page_tells_what_was_typed_what_does_not_arrive_and_every_caution() {
    let row = ChangedInput { key: "mass".to_owned(), before: "1540 kg".to_owned(), after: "1495 kg".to_owned() };
    let fitted = vec![Fitted { note: "A <note>.".to_owned(), inputs: vec![row] }; 4];
    let html = page(&report(Units::Si, &fitted));
    let xml = html.replacen("<!DOCTYPE html>", "", 1);
    for piece in
        ["Sticky &lt;tyres&gt; &amp; wheels", "A &lt;note&gt;.", "1495 kg", "does not get there", "changes nothing"]
    {
        assert!(xml.contains(piece), "no {piece:?}");
    }
    for caution in CAUTIONS {
        assert!(html.contains(caution), "{caution}");
    }
    assert!(!html.contains("NaN") && !html.contains("inf "), "a number that is none was printed");
    assert_eq!(html.matches("<h1").count(), 1);
}

#[test]
fn sentences_say_how_large_and_how_sure() {
    let report = report(Units::Us, &[]);
    assert!(words::headline(&report).starts_with("Sticky <tyres> & wheels: 0."), "{}", words::headline(&report));
    let sorted = words::sorted(&report);
    let of = |head: &str| sorted.iter().find(|(h, _)| *h == head).map(|(_, text)| text.as_str()).unwrap_or_default();
    assert!(of("Quicker").contains("Sticky"), "{sorted:?}");
    assert!(of("Nothing").contains("same"), "{sorted:?}");
    assert!(of("Not there").contains("cannot move"), "{sorted:?}");
    assert_eq!(words::difference(-0.0004), "0.000\u{a0}s");
    assert_eq!(words::difference(0.1234), "+0.123\u{a0}s");
    assert!(words::together(&report).is_some_and(|text| text.starts_with("All together: −")));
    // The nominal car and the mean of draws stand side by side, each named.
    assert!(words::base(&report).contains(" as estimated; ") && words::base(&report).contains("on average"));
    let launches = words::launches(&report);
    assert!(launches.contains("recommended for the car as it is: Hold ") && !launches.contains("same"), "{launches}");
}
