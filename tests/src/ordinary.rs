//! Twelve-line sheets of everyday and sporty manual cars, invented: for checks that must hold for any ordinary car.
//!
//! Every value is drawn from a stated range of its kind of car, from memory. Ratios follow a rule: first gear from the road speed at the
//! redline, top gear a stated fraction of it, steps that shrink evenly. So no sheet is a real car's. The same seed gives the same sheets;
//! the generator is the Mersenne Twister as Python's `random` seeds it, so that a script can draw the same cars.

use core::f64::consts::PI;

use rand_mt::Mt;

/// A kind of car: what its values are drawn from.
struct Kind {
    name: &'static str,
    axle: &'static str,
    turbocharged: bool,
    mass_kg: (f64, f64),
    power_kw: (f64, f64),
    power_rpm: (f64, f64),
    /// Peak torque over the torque at peak power.
    bulge: (f64, f64),
    torque_rpm: (f64, f64),
    /// Redline over the speed of peak power.
    redline: (f64, f64),
    gears: usize,
    /// Road speed at the redline in first gear, km/h.
    first_kmh: (f64, f64),
    tyres: [&'static str; 2],
}

#[rustfmt::skip]
const KINDS: [Kind; 12] = [
    Kind { name: "small car", axle: "front", turbocharged: false, mass_kg: (900.0, 1150.0), power_kw: (55.0, 85.0), power_rpm: (5400.0, 6300.0), bulge: (1.06, 1.16), torque_rpm: (3600.0, 4500.0), redline: (1.04, 1.12), gears: 5, first_kmh: (45.0, 52.0), tyres: ["175/65R14", "185/60R15"] },
    Kind { name: "small turbo", axle: "front", turbocharged: true, mass_kg: (980.0, 1200.0), power_kw: (70.0, 105.0), power_rpm: (5000.0, 5600.0), bulge: (1.25, 1.50), torque_rpm: (1500.0, 2200.0), redline: (1.10, 1.20), gears: 5, first_kmh: (44.0, 52.0), tyres: ["195/55R16", "185/65R15"] },
    Kind { name: "family turbo", axle: "front", turbocharged: true, mass_kg: (1250.0, 1500.0), power_kw: (95.0, 140.0), power_rpm: (4900.0, 5800.0), bulge: (1.25, 1.55), torque_rpm: (1400.0, 2200.0), redline: (1.08, 1.20), gears: 6, first_kmh: (45.0, 54.0), tyres: ["205/55R16", "225/45R17"] },
    Kind { name: "diesel", axle: "front", turbocharged: true, mass_kg: (1350.0, 1650.0), power_kw: (85.0, 140.0), power_rpm: (3500.0, 4000.0), bulge: (1.35, 1.60), torque_rpm: (1600.0, 2000.0), redline: (1.15, 1.28), gears: 6, first_kmh: (36.0, 44.0), tyres: ["205/55R16", "225/50R17"] },
    Kind { name: "warm hatch", axle: "front", turbocharged: false, mass_kg: (1100.0, 1300.0), power_kw: (110.0, 150.0), power_rpm: (6800.0, 8000.0), bulge: (1.04, 1.12), torque_rpm: (4800.0, 6200.0), redline: (1.03, 1.08), gears: 6, first_kmh: (48.0, 58.0), tyres: ["205/45R16", "215/45R17"] },
    Kind { name: "hot hatch", axle: "front", turbocharged: true, mass_kg: (1250.0, 1450.0), power_kw: (160.0, 240.0), power_rpm: (5200.0, 6500.0), bulge: (1.20, 1.50), torque_rpm: (1600.0, 3000.0), redline: (1.06, 1.18), gears: 6, first_kmh: (52.0, 62.0), tyres: ["225/40R18", "235/40R18"] },
    Kind { name: "light roadster", axle: "rear", turbocharged: false, mass_kg: (950.0, 1150.0), power_kw: (90.0, 135.0), power_rpm: (6000.0, 7200.0), bulge: (1.06, 1.16), torque_rpm: (4200.0, 5500.0), redline: (1.04, 1.10), gears: 6, first_kmh: (48.0, 58.0), tyres: ["195/50R16", "205/45R17"] },
    Kind { name: "coupe", axle: "rear", turbocharged: false, mass_kg: (1200.0, 1500.0), power_kw: (140.0, 250.0), power_rpm: (6300.0, 7600.0), bulge: (1.06, 1.18), torque_rpm: (4200.0, 5800.0), redline: (1.04, 1.10), gears: 6, first_kmh: (54.0, 66.0), tyres: ["225/45R17", "255/40R18"] },
    Kind { name: "turbo coupe", axle: "rear", turbocharged: true, mass_kg: (1400.0, 1650.0), power_kw: (190.0, 320.0), power_rpm: (5500.0, 6500.0), bulge: (1.15, 1.40), torque_rpm: (1700.0, 3200.0), redline: (1.08, 1.18), gears: 6, first_kmh: (54.0, 66.0), tyres: ["245/40R18", "265/35R19"] },
    Kind { name: "big engine", axle: "rear", turbocharged: false, mass_kg: (1450.0, 1800.0), power_kw: (260.0, 360.0), power_rpm: (5800.0, 6800.0), bulge: (1.10, 1.25), torque_rpm: (3800.0, 5000.0), redline: (1.04, 1.12), gears: 6, first_kmh: (60.0, 76.0), tyres: ["255/40R19", "285/35R19"] },
    Kind { name: "all-wheel turbo", axle: "all", turbocharged: true, mass_kg: (1380.0, 1600.0), power_kw: (165.0, 260.0), power_rpm: (5500.0, 6500.0), bulge: (1.20, 1.45), torque_rpm: (2000.0, 3600.0), redline: (1.08, 1.18), gears: 6, first_kmh: (52.0, 64.0), tyres: ["225/45R17", "235/40R18"] },
    Kind { name: "mid-engined", axle: "rear", turbocharged: false, mass_kg: (900.0, 1400.0), power_kw: (130.0, 260.0), power_rpm: (6800.0, 8200.0), bulge: (1.05, 1.15), torque_rpm: (5000.0, 6600.0), redline: (1.03, 1.08), gears: 6, first_kmh: (58.0, 72.0), tyres: ["225/45R17", "265/40R18"] },
];

/// Names of the kinds of car.
#[must_use]
pub fn kinds() -> Vec<&'static str> {
    KINDS.iter().map(|kind| kind.name).collect()
}

/// The sheets of a seed: name and text of a vehicle file.
#[must_use]
pub fn sheets(seed: u32, count: usize) -> Vec<(String, String)> {
    let mut rng = Mt::new_with_key([seed]);
    (0..count).map(|number| sheet(&mut rng, number)).collect()
}

/// A number from 0 to 1 with 53 bits, as Python makes it.
fn random(rng: &mut Mt) -> f64 {
    let (high, low) = (rng.next_u32() >> 5, rng.next_u32() >> 6);
    (f64::from(high) * 67_108_864.0 + f64::from(low)) / 9_007_199_254_740_992.0
}

fn uniform(rng: &mut Mt, (low, high): (f64, f64)) -> f64 {
    low + (high - low) * random(rng)
}

/// One of two, as Python chooses it.
fn choice<'a>(rng: &mut Mt, of: &[&'a str; 2]) -> &'a str {
    loop {
        let bits = rng.next_u32() >> 30;
        if let Some(chosen) = of.get(bits as usize) {
            return chosen;
        }
    }
}

fn radius_m(tyre: &str) -> f64 {
    let (width, rest) = tyre.split_once('/').expect("a size");
    let (aspect, rim) = rest.split_once('R').expect("a size");
    let number = |text: &str| text.parse::<f64>().expect("a number");
    (number(rim) * 25.4 + 2.0 * number(width) * number(aspect) / 100.0) / 2000.0 * 0.97
}

/// To the nearest even number at a half, as Python rounds.
fn round(value: f64) -> f64 {
    value.round_ties_even()
}

fn sheet(rng: &mut Mt, number: usize) -> (String, String) {
    let kind = &KINDS[number % KINDS.len()];
    let mass_kg = 10.0 * round(uniform(rng, kind.mass_kg) / 10.0);
    let power_kw = round(uniform(rng, kind.power_kw));
    let power_rpm = 50.0 * round(uniform(rng, kind.power_rpm) / 50.0);
    let torque_rpm = 50.0 * round(uniform(rng, kind.torque_rpm) / 50.0);
    let torque_nm = power_kw * 1000.0 / (power_rpm * PI / 30.0) * uniform(rng, kind.bulge);
    let torque_nm = round(torque_nm.min(0.97 * power_kw * 1000.0 / (torque_rpm * PI / 30.0)));
    let redline_rpm = 50.0 * round(power_rpm * uniform(rng, kind.redline) / 50.0);
    let tyre = choice(rng, &kind.tyres);
    let final_drive = round(uniform(rng, (3.3, 4.4)) * 100.0) / 100.0;
    let first = redline_rpm * PI / 30.0 * radius_m(tyre) * 3.6 / uniform(rng, kind.first_kmh) / final_drive;
    let spread = if kind.gears > 5 { (4.2, 5.2) } else { (4.0, 4.6) };
    let top = first / uniform(rng, spread);
    let steps: Vec<f64> = (0..kind.gears - 1).map(|i| 1.28 - 0.56 * i as f64 / (kind.gears - 2) as f64).collect();
    let total: f64 = steps.iter().sum();
    let mut ratios = vec![first];
    for step in steps {
        ratios.push(ratios[ratios.len() - 1] * (top / first).powf(step / total));
    }
    let ratios: Vec<String> = ratios.iter().map(|ratio| format!("{ratio:.3}")).collect();
    let aspiration = if kind.turbocharged { "turbocharged" } else { "naturally aspirated" };
    let name = format!("{} {number}", kind.name);
    let mut text = format!(
        "name = \"{name}\"\nmass = \"{mass_kg} kg\"\ndriven_axle = \"{}\"\npeak_power = \"{power_kw} kW\"\n\
         peak_power_at = \"{power_rpm} rpm\"\npeak_torque = \"{torque_nm} N·m\"\npeak_torque_at = \"{torque_rpm} rpm\"\n\
         redline = \"{redline_rpm} rpm\"\ngear_ratios = [{}]\nfinal_drive = {final_drive}\ntyre_size = \"{tyre}\"\n\
         aspiration = \"{aspiration}\"\n",
        kind.axle,
        ratios.join(", "),
    );
    if kind.name == "mid-engined" {
        text += "[chassis]\nengine_position = \"mid\"\n";
    }
    (name, text)
}
