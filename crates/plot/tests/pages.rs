//! The page and the charts of real runs, read as a browser would.

mod common;

use bitepoint_physics::run::{Ending, Run, Sample};
use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::Units;
use bitepoint_plot::run::charts;
use bitepoint_plot::run::page;
use common::{Case, parse};
use roxmltree::{Document, Node};

fn cases() -> Vec<Case> {
    vec![
        common::spin(),
        common::boosted(),
        common::wet(),
        common::stalled(),
        common::rolled_back(),
        common::out_of_time(),
    ]
}

fn text_of(node: Node) -> String {
    node.descendants().filter(|n| n.is_text()).filter_map(|n| n.text()).collect::<String>()
}

#[test]
fn every_page_is_well_formed_and_asks_nothing_of_the_network() {
    for case in cases() {
        for units in [Units::Us, Units::Si] {
            let html = page(&case.report(units));
            let xml = parse(&html);
            let document = Document::parse(&xml).unwrap_or_else(|error| panic!("{}: {error}", case.name));
            for node in document.descendants().filter(Node::is_element) {
                assert!(
                    !["script", "link", "img", "iframe", "object", "use", "image"].contains(&node.tag_name().name())
                );
                for attribute in node.attributes() {
                    let value = attribute.value();
                    assert!(!value.contains("http:") && !value.contains("https:"), "{value}");
                    assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
                    if attribute.name() == "href" {
                        let target = value.strip_prefix('#').expect("links stay on the page");
                        assert!(document.descendants().any(|n| n.attribute("id") == Some(target)));
                    }
                }
            }
            let style = document.descendants().filter(|n| n.has_tag_name("style")).map(text_of).collect::<String>();
            assert!(!style.contains("url(") && !style.contains("@import"));
        }
    }
}

#[test]
fn no_two_elements_of_a_page_share_an_id_and_every_pattern_is_there() {
    for case in cases() {
        let xml = parse(&page(&case.report(Units::Us)));
        let document = Document::parse(&xml).unwrap();
        let mut ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
        for fill in document.descendants().filter_map(|n| n.attribute("fill")).filter(|f| f.starts_with("url(#")) {
            assert!(ids.contains(&&fill[5..fill.len() - 1]), "{fill}");
        }
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
    }
}

#[test]
fn headings_come_in_order_and_every_table_has_a_caption_and_scoped_heads() {
    for case in cases() {
        let xml = parse(&page(&case.report(Units::Us)));
        let document = Document::parse(&xml).unwrap();
        let mut depth = 0;
        for node in document.descendants().filter(Node::is_element) {
            let name = node.tag_name().name();
            if let Some(level) = name.strip_prefix('h').and_then(|level| level.parse::<u32>().ok()) {
                assert!(level <= depth + 1, "{}: h{level} after h{depth}", case.name);
                depth = level;
            }
            if name == "table" {
                assert!(node.children().any(|n| n.has_tag_name("caption")));
                assert!(node.descendants().filter(|n| n.has_tag_name("th")).all(|n| n.attribute("scope").is_some()));
            }
        }
        assert_eq!(document.descendants().filter(|n| n.has_tag_name("h1")).count(), 1);
    }
}

#[test]
fn what_a_user_typed_is_shown_as_typed() {
    let case = common::spin();
    let xml = parse(&page(&case.report(Units::Us)));
    assert!(text_of(Document::parse(&xml).unwrap().root()).contains("The clutch <face> & its mass were hot: 1 < 2."));
}

#[test]
fn every_input_stands_below_its_part_with_its_value_in_the_readers_units() {
    let case = common::spin();
    for (units, mass) in [(Units::Us, "3260 lb"), (Units::Si, "1480 kg")] {
        let xml = parse(&page(&case.report(units)));
        let document = Document::parse(&xml).unwrap();
        let tables: Vec<Vec<String>> = document
            .descendants()
            .filter(|n| n.attribute("class") == Some("inputs"))
            .map(|table| table.descendants().filter(|n| n.has_tag_name("tr")).map(text_of).collect())
            .collect();
        // What was given stands in view, what was estimated is folded below it.
        let [given, estimated] = tables.as_slice() else { panic!("{} tables", tables.len()) };
        let body = given.iter().position(|row| row == "body").unwrap();
        assert_eq!(given[body + 1], format!("mass{mass} ± 1 %given"));
        let body = estimated.iter().position(|row| row == "body").unwrap();
        assert!(
            estimated[body + 1].starts_with("drag_area") && estimated[body + 1].contains("estimated: frontal area")
        );
        assert_eq!(estimated[body + 2], "clutch");
    }
}

#[test]
fn every_caution_stands_in_every_report() {
    for case in cases() {
        let xml = parse(&page(&case.report(Units::Si)));
        let text = text_of(Document::parse(&xml).unwrap().root());
        for caution in CAUTIONS {
            assert!(text.contains(caution), "{caution}");
        }
    }
}

#[test]
fn the_page_leads_with_the_times_that_the_run_has() {
    let case = common::spin();
    let html = page(&case.report(Units::Us));
    let at = |name: &str| case.run.gates.iter().find(|gate| gate.name == name).and_then(|gate| gate.passed).unwrap();
    let headline = html.split("<h1").nth(1).and_then(|h| h.split("</h1>").next()).unwrap();
    assert!(headline.contains(&format!("0–60\u{a0}mph in {:.2}\u{a0}s", at("60 mph").time_s)), "{headline}");
    assert!(headline.contains(&format!("{:.2}\u{a0}s", at("1320 ft").time_s)), "{headline}");
    assert!(html.contains(&format!("{:.3}\u{a0}s with rollout", at("60 mph").with_rollout_s.unwrap())));
}

#[test]
fn an_unfinished_run_says_so_first() {
    for (case, ending, words) in [
        (common::stalled(), Ending::Stalled, "the engine stalled"),
        (common::rolled_back(), Ending::RolledBack, "rolled backwards"),
        (common::out_of_time(), Ending::OutOfTime, "time ran out"),
    ] {
        assert_eq!(case.run.ending, ending, "{}", case.name);
        let html = page(&case.report(Units::Us));
        let headline = html.split("<h1").nth(1).and_then(|h| h.split("</h1>").next()).unwrap();
        assert!(headline.contains("Not finished") && headline.contains(words), "{headline}");
    }
}

#[test]
fn every_chart_is_well_formed_svg_with_its_axes_named_in_their_units() {
    for case in cases() {
        for (units, speed, force, torque, temperature) in
            [(Units::Us, "mph", "lbf", "lbf·ft", "°F"), (Units::Si, "km/h", "kN", "N·m", "°C")]
        {
            for chart in charts(&case.report(units)) {
                for drawing in [&chart.svg, &chart.inline_wide, &chart.inline_narrow] {
                    let document = Document::parse(drawing).unwrap_or_else(|e| panic!("{}: {e}", chart.file_name));
                    let texts: Vec<String> = document
                        .descendants()
                        .filter(|n| n.has_tag_name("text"))
                        .map(|n| text_of(n).trim().to_owned())
                        .collect();
                    let wanted: Vec<String> = match chart.file_name.as_str() {
                        "speed.svg" => vec![
                            format!("Speed, {speed}"),
                            "Engine speed, rpm".into(),
                            "Time from first movement, s".into(),
                            "road".into(),
                        ],
                        "launch.svg" => vec![
                            "Engine and gearbox input, rpm".into(),
                            format!("Tread and road speed, {speed}"),
                            "Time from first movement, s".into(),
                            "engine".into(),
                        ],
                        "limits.svg" => vec!["Total, s".into(), "Time from first movement, s".into()],
                        "forces.svg" => vec![
                            format!("Force along the road, {force}"),
                            "Time from first movement, s".into(),
                            "rolling".into(),
                        ],
                        "slip.svg" => vec![
                            "Slip ratio, % of road speed".into(),
                            "Time from first movement, s".into(),
                            "best grip".into(),
                        ],
                        "clutch.svg" => vec![
                            format!("Temperature, {temperature}"),
                            "Time from first movement, s".into(),
                            "harm".into(),
                        ],
                        "shaft.svg" => vec![
                            format!("Torque at the axle, {torque}"),
                            "Time from first movement, s".into(),
                            "half-shafts".into(),
                        ],
                        "energy.svg" => vec!["Energy, kJ and % of all that was spent".into()],
                        "lost.svg" => vec!["Time lost".into(), ", s".into()],
                        other => panic!("no axis is known for {other}"),
                    };
                    for title in wanted {
                        assert!(
                            texts.iter().any(|text| text.contains(&title)),
                            "{} {title}: {texts:?}",
                            chart.file_name
                        );
                    }
                    assert!(!drawing.contains("NaN") && !drawing.contains("inf"), "{}", chart.file_name);
                }
            }
        }
    }
}

#[test]
fn every_chart_follows_light_and_dark_and_says_its_numbers_in_words() {
    let case = common::boosted();
    let report = case.report(Units::Us);
    let charts = charts(&report);
    assert_eq!(charts.len(), 9);
    for chart in &charts {
        assert!(chart.svg.contains("prefers-color-scheme:dark") && chart.svg.contains("class=\"f-paper\""));
        assert!(chart.alt_text.chars().filter(char::is_ascii_digit).count() >= 3, "{}", chart.alt_text);
        assert!(chart.takeaway.ends_with('.') && chart.takeaway.len() > 20);
        let document = Document::parse(&chart.inline_wide).unwrap();
        assert_eq!(document.root_element().attribute("aria-label"), Some(chart.alt_text.as_str()));
    }
    let alt = |name: &str| &charts.iter().find(|chart| chart.file_name == name).unwrap().alt_text;
    let face = report.units.temperature().text(case.run.peaks.clutch_face_c);
    assert!(alt("clutch.svg").contains(&face));
    assert!(alt("shaft.svg").contains(&report.units.torque().text(case.run.peaks.shaft_torque_nm)));
}

#[test]
fn the_hatched_areas_of_the_launch_are_named_on_a_telephone_too() {
    for case in [common::spin(), common::boosted(), common::wet()] {
        let charts = charts(&case.report(Units::Us));
        let launch = charts.iter().find(|chart| chart.file_name == "launch.svg").unwrap();
        for drawing in [&launch.inline_wide, &launch.inline_narrow] {
            assert!(drawing.contains("clutch slips") && drawing.contains("tyre slips"), "{}", case.name);
        }
    }
}

#[test]
fn text_on_a_telephone_is_no_smaller_than_eleven_pixels() {
    let case = common::spin();
    for chart in charts(&case.report(Units::Us)) {
        let document = Document::parse(&chart.inline_narrow).unwrap();
        let width: f64 =
            document.root_element().attribute("viewBox").and_then(|b| b.split(' ').nth(2)?.parse().ok()).unwrap();
        for node in document.descendants().filter(|n| n.has_tag_name("text")) {
            let size: f64 = node.attribute("font-size").unwrap().parse().unwrap();
            // A screen of 390 px leaves 358 px between the page's margins.
            assert!(size * 358.0 / width >= 11.0, "{}: {size} of {width}", chart.file_name);
        }
    }
}

#[test]
fn no_label_is_cut_off_at_the_edge_of_its_drawing() {
    for case in cases() {
        for chart in charts(&case.report(Units::Us)) {
            for drawing in [&chart.inline_wide, &chart.inline_narrow] {
                let document = Document::parse(drawing).unwrap();
                let sizes: Vec<f64> = document
                    .root_element()
                    .attribute("viewBox")
                    .unwrap()
                    .split(' ')
                    .map(|n| n.parse().unwrap())
                    .collect();
                for node in document.descendants().filter(|n| n.has_tag_name("text")) {
                    let number = |name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
                    let text = text_of(node);
                    // Narrower than most sans-serif letters are, so that only what is surely cut off is found.
                    let width = 0.5 * number("font-size") * text.trim().chars().count() as f64;
                    let left = match node.attribute("text-anchor") {
                        Some("end") => number("x") - width,
                        Some("middle") => number("x") - 0.5 * width,
                        _ => number("x"),
                    };
                    let inside =
                        left >= -1.0 && left + width <= sizes[2] + 1.0 && (0.0..=sizes[3]).contains(&number("y"));
                    assert!(inside, "{} {}: {}", case.name, chart.file_name, text.trim());
                }
            }
        }
    }
}

#[test]
fn thousands_of_samples_make_no_larger_drawing_than_a_screen_can_show() {
    let case = common::spin();
    assert!(case.samples.len() > 2000, "{}", case.samples.len());
    for chart in charts(&case.report(Units::Us)) {
        assert!(chart.svg.len() < 60_000, "{}: {} bytes", chart.file_name, chart.svg.len());
    }
}

fn with(case: &Case, change: impl Fn(&mut Run, &mut Vec<Sample>)) -> Case {
    let mut case =
        Case { inputs: Vec::new(), notes: Vec::new(), bands: Vec::new(), command: String::new(), ..common::copy(case) };
    change(&mut case.run, &mut case.samples);
    case
}

#[test]
fn a_report_without_samples_keeps_its_page_and_leaves_out_what_needs_them() {
    let case = with(&common::spin(), |_, samples| samples.clear());
    let report = case.report(Units::Us);
    let charts = charts(&report);
    let names: Vec<&str> = charts.iter().map(|chart| chart.file_name.as_str()).collect();
    assert_eq!(names, ["energy.svg", "lost.svg"]);
    assert!(Document::parse(&parse(&page(&report))).is_ok());
}

#[test]
fn a_car_that_never_moved_gives_a_page_that_says_so() {
    let mut case = with(&common::stalled(), |run, samples| {
        run.first_movement_s = None;
        run.launch.clutch_home_s = None;
        run.launch.clutch_home_mps = None;
        run.gates.iter_mut().for_each(|gate| gate.passed = None);
        run.traps.iter_mut().for_each(|trap| trap.speed_mps = None);
        run.rolling.iter_mut().for_each(|pair| pair.time_s = None);
        run.shifts.clear();
        run.limited_s = [0.0; 8];
        run.duration_s = 0.0;
        samples.retain(|sample| sample.time_s < 0.0);
    });
    case.standings.clear();
    let html = page(&case.report(Units::Us));
    let xml = parse(&html);
    let text = text_of(Document::parse(&xml).unwrap().root());
    assert!(text.contains("the engine stalled and the car never moved"));
    assert!(text.contains("No mark was reached."));
    assert!(!text.contains("NaN") && !text.contains("inf "));
}

#[test]
fn values_that_are_no_numbers_are_never_printed_as_such() {
    let case = with(&common::spin(), |run, samples| {
        run.peaks.steady_shaft_torque_nm = 0.0;
        run.peaks.clutch_face_c = f64::NAN;
        run.energy.engine_work_j = f64::NAN;
        run.energy.aero_j = f64::NAN;
        for (i, sample) in samples.iter_mut().enumerate() {
            if i % 7 == 0 {
                sample.slip = f64::INFINITY;
                sample.peak_slip = f64::INFINITY;
                sample.clutch_face_c = f64::NAN;
            }
        }
    });
    let html = page(&case.report(Units::Si));
    let xml = parse(&html);
    let document = Document::parse(&xml).unwrap();
    let text = text_of(document.root());
    assert!(!text.contains("NaN") && !text.contains("inf"), "a number that is none was printed");
    for node in document.descendants().filter(Node::is_element) {
        for attribute in node.attributes() {
            assert!(!attribute.value().contains("NaN"), "{}", attribute.value());
        }
    }
}

#[test]
fn two_samples_are_enough_for_charts_and_one_is_too_few() {
    let two = with(&common::stalled(), |_, samples| samples.truncate(2));
    assert!(charts(&two.report(Units::Us)).iter().any(|chart| chart.file_name == "speed.svg"));
    let one = with(&common::stalled(), |_, samples| samples.truncate(1));
    assert!(charts(&one.report(Units::Us)).iter().all(|chart| chart.file_name != "speed.svg"));
}
