//! Sheets of every weight, power, driven axle and kind of breathing, made by rule: what a practitioner would call sensible cars.
//!
//! From memory, common practice. Nothing here was chosen with the measured law in sight.

/// A sheet and what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Text of the vehicle file.
    pub text: String,
    /// Kerb mass, kg.
    pub mass_kg: f64,
    /// Peak power, kW.
    pub power_kw: f64,
    /// Driven axle, as in the file.
    pub driven: &'static str,
    /// Whether it has a turbocharger.
    pub is_turbo: bool,
}

const MASSES_KG: [f64; 4] = [900.0, 1300.0, 1750.0, 2300.0];
/// Peak power over kerb mass, W/kg: weak, middling, strong; a front-drive car of the strongest kind is hardly built.
const WATTS_PER_KG: [(&str, [f64; 3]); 3] =
    [("front", [70.0, 100.0, 135.0]), ("rear", [75.0, 125.0, 195.0]), ("all", [75.0, 125.0, 195.0])];
/// Steps of a six-speed gearbox that shrink upwards.
const RATIOS: [f64; 6] = [3.60, 2.06, 1.42, 1.09, 0.89, 0.76];

/// All 36 of them.
#[must_use]
pub fn sheets() -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for (mass_index, mass_kg) in MASSES_KG.into_iter().enumerate() {
        for (driven_index, (driven, levels)) in WATTS_PER_KG.into_iter().enumerate() {
            for (level_index, watts_per_kg) in levels.into_iter().enumerate() {
                // A chequered pattern gives each weight, power and axle both kinds of breathing.
                let is_turbo = (mass_index + driven_index + level_index) % 2 == 1;
                sheets.push(sheet(mass_kg, watts_per_kg, driven, is_turbo));
            }
        }
    }
    sheets
}

/// Size on the sidewall; from 120 W/kg on wider and lower tyres, which the estimates take for summer tyres.
fn tyre_size(mass_kg: f64, watts_per_kg: f64) -> (&'static str, f64) {
    let (ordinary, sporty) = match mass_kg {
        m if m < 1100.0 => (("185/60R15", 0.603), ("205/45R16", 0.591)),
        m if m < 1500.0 => (("205/55R16", 0.632), ("225/45R17", 0.634)),
        m if m < 2000.0 => (("225/55R17", 0.679), ("245/40R18", 0.653)),
        _ => (("255/55R18", 0.738), ("275/45R20", 0.756)),
    };
    if watts_per_kg < 120.0 { ordinary } else { sporty }
}

fn sheet(mass_kg: f64, watts_per_kg: f64, driven: &'static str, is_turbo: bool) -> Sheet {
    const RPM: f64 = core::f64::consts::TAU / 60.0;
    let power_w = mass_kg * watts_per_kg;
    // Naturally aspirated: a peak of torque in the middle; turbocharged: early torque, held.
    let (power_rpm, torque_rpm, redline_rpm, torque_left, aspiration) = if is_turbo {
        (5500.0, 1900.0, 6500.0, 0.85, "turbocharged")
    } else {
        (6200.0, 4200.0, 6700.0, 0.86, "naturally aspirated")
    };
    let torque_nm = power_w / (power_rpm * RPM) / torque_left;
    let (size, diameter_m) = tyre_size(mass_kg, watts_per_kg);
    // First gear ends at 57 km/h in a weak car and 77 km/h in a strong one.
    let first_mps = (46.0 + 0.16 * watts_per_kg) / 3.6;
    let final_drive = redline_rpm * RPM * (3.05 * diameter_m / core::f64::consts::TAU) / (first_mps * RATIOS[0]);
    let ratios = RATIOS.map(|ratio| format!("{ratio:.2}")).join(", ");
    let text = format!(
        r#"name = "{mass_kg:.0} kg, {power:.0} kW, {driven}"
mass = "{mass_kg:.0} kg"
driven_axle = "{driven}"
peak_power = "{power:.1} kW"
peak_power_at = "{power_rpm:.0} rpm"
peak_torque = "{torque_nm:.1} N·m"
peak_torque_at = "{torque_rpm:.0} rpm"
redline = "{redline_rpm:.0} rpm"
gear_ratios = [{ratios}]
final_drive = {final_drive:.3}
tyre_size = "{size}"
aspiration = "{aspiration}"
"#,
        power = power_w * 1e-3,
    );
    Sheet { text, mass_kg, power_kw: power_w * 1e-3, driven, is_turbo }
}
