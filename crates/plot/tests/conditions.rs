//! The page and charts of a study of conditions, read as a browser would.

mod common;

use bitepoint_checks::drawn_inputs::CARS;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::conditions::{ConditionsReport, files, page, paragraphs};
use bitepoint_plot::format::Units;
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{Measurement, Reference, Request, StandardAir, Study, study};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use common::parse;
use roxmltree::Document;

const DAY: &str = "name = \"Hill & <wind>\"\n[road]\nslope = \"-1 %\"\n[air]\nheadwind = \"-3 m/s\"\n";

fn studied(day: &str, clock: Clock, times: Option<(f64, Option<f64>)>, draws: u32) -> Study {
    let case = Case::new(
        VehicleFile::parse("car.toml", CARS[0]).unwrap_or_else(|e| panic!("{e}")),
        ScenarioFile::parse("day.toml", day, &|_| Err("none".to_owned())).unwrap_or_else(|e| panic!("{e}")),
    );
    let request = Request {
        target: Target::named("60 mph", Clock::Rollout).expect("a gate"),
        reference: Reference::level_and_still(StandardAir::Iso2533, clock),
        measurement: times.map(|(time_s, back_s)| Measurement {
            time_s,
            back_s,
            timing_sd_s: 0.01,
            back_start_m: None,
        }),
        draws,
        seed: 1,
        responses: true,
    };
    study(&case, &request, &Nobody).unwrap_or_else(|e| panic!("{e:?}"))
}

fn report(study: &Study, units: Units) -> ConditionsReport<'_> {
    ConditionsReport { title: "A study", command: "bitepoint conditions", study, notes: &[], units }
}

#[test]
fn every_page_and_chart_is_well_formed_whatever_was_measured() {
    for (times, draws) in [(None, 0), (None, 6), (Some((5.9, None)), 6), (Some((5.9, Some(6.2))), 6)] {
        let study = studied(DAY, Clock::FirstMovement, times, draws);
        for units in [Units::Us, Units::Si] {
            let html = page(&report(&study, units));
            let xml = parse(&html);
            let document = Document::parse(&xml).unwrap_or_else(|error| panic!("{error}"));
            let text: String = document.descendants().filter_map(|n| n.text()).collect();
            assert!(text.contains("Hill & <wind>") && text.contains(CAUTIONS[0]));
            assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
            let files = files(&report(&study, units));
            assert_eq!(files.len(), 3);
            for file in files.iter().filter(|file| file.name.ends_with(".svg")) {
                Document::parse(&file.contents).unwrap_or_else(|error| panic!("{}: {error}", file.name));
            }
        }
    }
}

#[test]
fn the_printed_parts_add_up_to_the_printed_difference() {
    let study = studied(DAY, Clock::FirstMovement, Some((5.9, None)), 6);
    let text = paragraphs(&report(&study, Units::Si))[0].replace('−', "-");
    let (_, told) = text.split_once("The difference of ").expect("a difference");
    let number =
        |text: &str| text.split('\u{a0}').next().and_then(|n| n.rsplit(' ').next()).and_then(|n| n.parse::<f64>().ok());
    let (whole, parts) = told.split_once(" is made of: ").expect("parts");
    let whole = number(whole).expect("a number");
    let sum: f64 = parts.split(", ").filter_map(number).sum();
    assert!(parts.split(", ").count() >= 4 && (whole - sum).abs() < 1e-9, "{whole} against {sum}: {told}");
}

#[test]
fn a_day_that_is_the_reference_is_told_to_need_no_correction() {
    let day = "[air]\ntemperature = \"15 °C\"\nhumidity = \"0 %\"\n";
    let study = studied(day, Clock::Rollout, None, 4);
    assert_eq!(study.correction.corrected_s, study.correction.time_s);
    let text = paragraphs(&report(&study, Units::Us))[0].clone();
    assert!(text.contains("nothing is corrected"), "{text}");
}
