//! Reports of sweeps: what they hold, and that every piece of them can be read.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_plot::folder::ReportFile;
use bitepoint_plot::format::Units;
use bitepoint_plot::sweep::{ShiftReport, SweepReport, notes, shift_files, shift_notes, sweep_files};
use bitepoint_runner::case::Case;
use bitepoint_runner::sweep::{Axis, Cell, Fate, Field, Plan, Sweep, Times, shift_plans, shift_study, sweep};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;

const SHEET: &str = "name = \"Test <car> & \\\"co\\\"\"\nmass = \"1540 kg\"\ndriven_axle = \"rear\"\npeak_power = \"230 hp\"\npeak_power_at = \"6300 rpm\"\n\
    peak_torque = \"290 N·m\"\npeak_torque_at = \"3900 rpm\"\nredline = \"6800 rpm\"\ngear_ratios = [3.79, 2.24, 1.52, 1.18, 1.00]\n\
    final_drive = 3.46\ntyre_size = \"225/50R17\"\naspiration = \"naturally aspirated\"\n";

fn case(scenario: &str) -> Case {
    Case::new(
        VehicleFile::parse("car.toml", SHEET).expect("a car"),
        ScenarioFile::parse("day.toml", scenario, &|_| Err(String::new())).expect("a day"),
    )
}

fn days() -> Vec<Case> {
    vec![case("name = \"Dry\"\n"), case("name = \"Wet\"\nroad.surface = \"standing-water wet\"\n")]
}

fn swept(cases: Vec<Case>, axes: &[&str]) -> Sweep {
    let target = Target::named("60 mph", Clock::FirstMovement).expect("a gate");
    let axes = axes.iter().map(|a| Axis::parse(a).expect(a)).collect();
    let plan = Plan::new(&cases, axes, target, Times::Expected, &Nobody).expect("cases");
    sweep(&plan, &Nobody).expect("nobody calls it off")
}

fn files(sweep: &Sweep) -> Vec<ReportFile> {
    sweep_files(&SweepReport { sweep, notes: &notes(sweep), command: "bitepoint sweep", units: Units::Us })
}

fn named<'a>(files: &'a [ReportFile], name: &str) -> &'a str {
    &files.iter().find(|file| file.name == name).unwrap_or_else(|| panic!("no {name}")).contents
}

/// Every text of a drawing; fails where the drawing is no XML or a text lies outside of it.
fn texts(svg: &str) -> Vec<String> {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"));
    let view: Vec<f64> = document
        .root_element()
        .attribute("viewBox")
        .expect("a view")
        .split(' ')
        .map(|n| n.parse().expect("a number"))
        .collect();
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    texts
        .map(|node| {
            let at = |name| node.attribute(name).and_then(|n| n.parse::<f64>().ok()).expect("a place");
            assert!((0.0..=view[2]).contains(&at("x")) && (0.0..=view[3]).contains(&at("y")), "{node:?}");
            node.text().unwrap_or_default().trim().to_owned()
        })
        .collect()
}

#[test]
fn a_line_names_its_best_its_window_and_what_goes_wrong() {
    let sweep = swept(days(), &["launch.revs=900..6500/400 rpm"]);
    let files = files(&sweep);
    let texts = texts(named(&files, "sweep.svg"));
    for field in &sweep.fields {
        let best = field.best.as_ref().expect("a best");
        let label = format!("{}: {:.2}\u{a0}s", sweep.axes[0].show(best.along[0].value_si), best.time_s);
        assert!(texts.contains(&label), "{label}: {texts:?}");
        assert!(texts.contains(&field.scenario));
        for count in field.counts() {
            let words = [count.fate.name(), &count.fate.key().replace('_', " ")];
            assert!(words.iter().any(|word| texts.iter().any(|text| text == word)), "{words:?}: {texts:?}");
        }
    }
    assert!(texts.iter().any(|text| text == "loses < 0.05 s"));
    let page = named(&files, "index.html");
    assert!(page.contains("Closed course only") && page.contains("Test &lt;car&gt; &amp;"), "{page}");
    assert!(!page.contains("http://") || page.matches("http://").count() == page.matches("http://www.w3.org").count());
}

#[test]
fn a_map_has_a_panel_a_scenario_with_its_best_and_a_scale() {
    let sweep = swept(days(), &["launch.revs=900..6300/600 rpm", "launch.release_time=0.2..3.2/0.5 s"]);
    let files = files(&sweep);
    let texts = texts(named(&files, "sweep.svg"));
    for field in &sweep.fields {
        let best = field.best.as_ref().expect("a best");
        assert!(texts.contains(&format!("{:.2}\u{a0}s", best.time_s)) && texts.contains(&field.scenario), "{texts:?}");
    }
    for word in ["Time lost against the best of each map, s", "0.05", "Engine speed held before the start, rpm"] {
        assert!(texts.iter().any(|text| text == word), "{word}: {texts:?}");
    }
}

#[test]
fn a_sweep_of_which_nothing_gets_there_still_says_so() {
    let sweep = swept(
        vec![case("name = \"Snow\"\nroad.surface = \"packed snow\"\nroad.slope = \"28 %\"\n")],
        &["launch.revs=2000..5000/1000 rpm"],
    );
    assert_eq!(sweep.fields[0].failed(), 4);
    let files = files(&sweep);
    let texts = texts(named(&files, "sweep.svg"));
    assert!(texts.iter().any(|t| t == "no start gets there") && texts.iter().any(|t| t == "cannot move"), "{texts:?}");
    let map = Sweep {
        axes: vec![sweep.axes[0].clone(), Axis::parse("mass=1400,1500 kg").expect("an axis")],
        fields: vec![Field {
            cells: [sweep.fields[0].cells.clone(), sweep.fields[0].cells.clone()].concat(),
            ..sweep.fields[0].clone()
        }],
        ..sweep
    };
    let drawn = self::texts(named(&self::files(&map), "sweep.svg"));
    assert!(drawn.iter().any(|t| t == "cannot move"), "{drawn:?}");
}

#[test]
fn one_odd_start_in_a_map_is_drawn_and_counted() {
    let mut sweep = swept(vec![days().remove(0)], &["launch.revs=3000..4000/250 rpm", "mass=1400,1500,1600 kg"]);
    sweep.fields[0].cells[7] =
        Cell { time_s: None, fate: Fate::NotComputed, figures: None, reason: Some("lost".into()) };
    let files = files(&sweep);
    let svg = named(&files, "sweep.svg");
    texts(svg);
    assert!(svg.contains("not computed"), "the key names it");
    assert!(named(&files, "index.html").contains("1 start could not be run: lost."));
}

#[test]
fn a_study_of_shift_points_draws_pull_and_losses() {
    let target = Target::named("1320 ft", Clock::FirstMovement).expect("a gate");
    let study =
        shift_study(&shift_plans(&days(), target, Times::Expected, &Nobody).expect("plans"), &Nobody).expect("a study");
    let files = shift_files(&ShiftReport { study: &study, notes: &shift_notes(&study), command: "", units: Units::Si });
    let pull = texts(named(&files, "pull.svg"));
    assert!(pull.iter().any(|t| t == "first") && pull.iter().any(|t| t == "Road speed, km/h"), "{pull:?}");
    let shifts = texts(named(&files, "shifts.svg"));
    assert!(shifts.iter().any(|t| t == "1→2") && shifts.iter().any(|t| t == "limiter"), "{shifts:?}");
    let page = named(&files, "index.html");
    let verdicts = ["the limiter decides", "the pull of the gears decides", "earlier than by pull"];
    assert!(verdicts.iter().any(|verdict| page.contains(verdict)));
}
