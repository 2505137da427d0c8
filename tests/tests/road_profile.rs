//! A surveyed road is seen piece by piece, however short its pieces are.

use bitepoint_checks::drawn_inputs::CARS;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};

const QUARTER: &str = "1320 ft";

fn run(csv: &str, tolerances: &Tolerances) -> Run {
    let vehicle = VehicleFile::parse("car.toml", CARS[0]).unwrap_or_else(|e| panic!("{e}")).resolve().vehicle;
    let day = "[road]\nslope_profile = \"survey.csv\"\n";
    let day = ScenarioFile::parse("day.toml", day, &|_| Ok(csv.to_owned())).unwrap_or_else(|e| panic!("{e}"));
    let scenario = day.resolve(&vehicle).unwrap_or_else(|e| panic!("{e}")).scenario;
    simulate(&vehicle, &scenario, tolerances).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn a_step_in_the_road_is_never_passed_over() {
    let time = |run: &Run| run.gate(QUARTER).expect("it gets there").time_s;
    let flat = time(&run("distance (m),height (m)\n0,0\n500,0\n", &Tolerances::default()));
    let mut worst = (0.0, String::new());
    // Wherever the solver's steps happen to end: half a metre that rises by 14 cm, every few metres of the last gear.
    for at in (250..380).step_by(3) {
        let up = format!("distance (m),height (m)\n0,0\n{at},0\n{at}.5,0.14\n500,0.14\n");
        let (usual, fine) = (run(&up, &Tolerances::default()), run(&up, &Tolerances { relative: 1e-7 }));
        assert!(time(&fine) > flat, "a rise costs time");
        assert!(usual.energy.closure() < 1e-4, "{up}: {:e}", usual.energy.closure());
        let off_s = (time(&usual) - time(&fine)).abs();
        if off_s > worst.0 {
            worst = (off_s, up);
        }
    }
    assert!(worst.0 < 1e-3, "{worst:?}");
}
