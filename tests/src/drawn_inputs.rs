//! Arbitrary valid cars, scenarios and slopes out of bytes, by way of the files' own readers.
//!
//! Bytes name keys and where in the believable range of each its value lies; a value that cannot be true with the others is
//! refused by the reader and left out, so that whatever the bytes are, a valid car comes of them.

use bitepoint_inputs::key::{Key, Kind};
use bitepoint_inputs::quantity::{Dimension, UnitSystem};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::scenario_keys::SCENARIO_KEYS;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// The cars from which drawing begins. A further one would change what car the corpora's bytes stand for.
pub const CARS: [&str; 5] = [
    include_str!("../../vehicles/ellisar-28.toml"),
    include_str!("../../vehicles/gravane-62.toml"),
    include_str!("../../vehicles/ombrel-20.toml"),
    include_str!("../../vehicles/pilfret-roadster.toml"),
    include_str!("../../vehicles/tumbrill-14.toml"),
];

/// Bytes that are read one after another; when they are used up, zeros follow.
pub struct Bytes<'a>(&'a [u8]);

impl<'a> Bytes<'a> {
    /// All of `bytes`, from the first.
    #[must_use]
    pub fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }

    /// The next byte.
    pub fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        first
    }

    /// A number from 0 to `below` - 1.
    fn index(&mut self, below: usize) -> usize {
        usize::from(self.byte()) % below
    }

    /// A number from `low` to `high`.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = f64::from(u16::from_le_bytes([self.byte(), self.byte()])) / 65535.0;
        low + (high - low) * share
    }

    /// A value of a key, written as [`VehicleFile::with`] takes it; nothing for texts and files.
    fn value(&mut self, key: &Key) -> Option<String> {
        let show = |dimension: Dimension, si: f64| dimension.show(si, UnitSystem::Si);
        Some(match key.kind {
            Kind::Text | Kind::File => return None,
            Kind::Flag => self.byte().is_multiple_of(2).to_string(),
            Kind::Choice(words) => words[self.index(words.len())].to_owned(),
            Kind::Quantity { dimension, low, high } => show(dimension, self.between(low, high)),
            Kind::List { dimension, low, high, least, most } => {
                let count = least + self.index(most - least + 1);
                let mut items: Vec<f64> = (0..count).map(|_| self.between(low, high)).collect();
                // Ratios have to fall; the other lists may do so.
                items.sort_by(|a, b| b.total_cmp(a));
                let items: Vec<String> = items.iter().map(|x| format!("{:?}", show(dimension, *x))).collect();
                format!("[{}]", items.join(", "))
            }
            Kind::TorqueCurve => {
                let mut rpm = 0.0;
                let points: Vec<String> = (0..2 + self.index(7))
                    .map(|_| {
                        rpm += self.between(300.0, 3500.0);
                        format!("[\"{rpm:.0} rpm\", \"{:.0} N·m\"]", self.between(20.0, 900.0))
                    })
                    .collect();
                format!("[{}]", points.join(", "))
            }
            Kind::TyreSize => {
                let (width, aspect, rim) =
                    (self.between(105.0, 405.0), self.between(20.0, 90.0), self.between(10.0, 24.0));
                format!("{width:.0}/{aspect:.0}R{rim:.0}")
            }
        })
    }

    /// Up to 15 keys, each with a value.
    fn changes(&mut self, keys: &[&'static Key]) -> Vec<(&'static str, String)> {
        (0..self.index(16))
            .filter_map(|_| {
                let key = keys[self.index(keys.len())];
                self.value(key).map(|value| (key.path, value))
            })
            .collect()
    }

    /// A valid vehicle file.
    pub fn vehicle(&mut self) -> VehicleFile {
        let text = CARS[self.index(CARS.len())];
        let mut file = VehicleFile::parse("car.toml", text).unwrap_or_else(|e| panic!("{e}"));
        for (key, value) in self.changes(VEHICLE_KEYS) {
            file = file.with(key, &value).unwrap_or(file);
        }
        file
    }

    /// A valid scenario file, one in four with a slope profile.
    pub fn scenario(&mut self) -> ScenarioFile {
        let mut file = if self.byte() % 4 == 3 {
            let csv = self.slope_profile();
            let text = "[road]\nslope_profile = \"drawn.csv\"\n";
            ScenarioFile::parse("day.toml", text, &|_| Ok(csv.clone())).unwrap_or_else(|e| panic!("{e}\n{csv}"))
        } else {
            ScenarioFile::default()
        };
        for (key, value) in self.changes(SCENARIO_KEYS) {
            file = file.with(key, &value).unwrap_or(file);
        }
        file
    }

    /// A profile that reaches the default finish, with slopes of up to 29 %.
    fn slope_profile(&mut self) -> String {
        let (mut distance_m, mut height_m) = (0.0, 0.0);
        let mut csv = "distance (m), height (m)\n0,0\n".to_owned();
        while distance_m < 500.0 {
            let run_m = self.between(0.5, 200.0);
            distance_m += run_m;
            height_m += run_m * self.between(-0.29, 0.29);
            csv += &format!("{distance_m},{height_m}\n");
        }
        csv
    }

    /// Deviates for the spreads of values, about -3 to 3, from the bytes that are left.
    pub fn deviates(self) -> impl Fn(&str) -> f64 {
        let rest = self.0.to_vec();
        move |key: &str| {
            if rest.is_empty() {
                return 0.0;
            }
            let place = key.bytes().fold(0_usize, |sum, b| sum.wrapping_mul(31).wrapping_add(usize::from(b)));
            (f64::from(rest[place % rest.len()]) - 128.0) / 42.0
        }
    }
}

/// A car, a day, and whether every value of both lies where the files allow it.
pub struct Drawn {
    /// The car.
    pub vehicle: Vehicle,
    /// The day.
    pub scenario: Scenario,
    /// Whether both could have come from files.
    pub believable: bool,
}

/// Draws a car and a day; nothing if the two do not go together. One in 32 cars then gets values that no file may hold.
#[must_use]
pub fn draw(data: &[u8]) -> Option<Drawn> {
    let mut bytes = Bytes::new(data);
    let beyond_files = bytes.byte() % 32 == 31;
    let (car, day) = (bytes.vehicle(), bytes.scenario());
    let expected = car.resolve().vehicle;
    day.resolve(&expected).ok()?;
    let factors: Vec<(usize, f64)> = if beyond_files {
        (0..1 + bytes.index(4)).map(|_| (bytes.index(OUTSIDE), 10_f64.powf(bytes.between(-9.0, 9.0)))).collect()
    } else {
        Vec::new()
    };
    let normal = bytes.deviates();
    let mut vehicle = car.resolve_with(&normal);
    for (which, factor) in factors {
        *stiffness_or_inertia(&mut vehicle, which).1 *= factor;
    }
    Some(Drawn { vehicle, scenario: day.resolve_with(&expected, None, &normal), believable: !beyond_files })
}

/// Number of values that [`stiffness_or_inertia`] names.
pub const OUTSIDE: usize = 20;

/// A value of the car that sets how stiff its equations are, with its name.
pub fn stiffness_or_inertia(vehicle: &mut Vehicle, which: usize) -> (&'static str, &mut f64) {
    match which % OUTSIDE {
        0 => ("engine inertia", &mut vehicle.engine.inertia_kgm2),
        1 => ("throttle lag", &mut vehicle.engine.throttle_lag_s),
        2 => ("gearbox-input inertia", &mut vehicle.gearbox.input_inertia_kgm2),
        3 => ("final-drive inertia", &mut vehicle.gearbox.final_drive.inertia_kgm2),
        4 => ("driveline stiffness", &mut vehicle.driveline.stiffness_nm_per_rad),
        5 => ("driveline damping", &mut vehicle.driveline.damping_nm_s_per_rad),
        6 => ("driveline lash", &mut vehicle.driveline.lash_rad),
        7 => ("front wheel inertia", &mut vehicle.front_tyre.wheel_inertia_kgm2),
        8 => ("rear wheel inertia", &mut vehicle.rear_tyre.wheel_inertia_kgm2),
        9 => ("front relaxation length", &mut vehicle.front_tyre.relaxation_length_m),
        10 => ("rear relaxation length", &mut vehicle.rear_tyre.relaxation_length_m),
        11 => ("front slip stiffness", &mut vehicle.front_tyre.magic_formula.pkx1),
        12 => ("rear slip stiffness", &mut vehicle.rear_tyre.magic_formula.pkx1),
        13 => ("mass", &mut vehicle.chassis.mass_kg),
        14 => ("pitch frequency", &mut vehicle.chassis.pitch_frequency_hz),
        15 => ("pitch damping", &mut vehicle.chassis.pitch_damping_ratio),
        16 => ("clutch clamp", &mut vehicle.clutch.clamp_n),
        17 => ("clutch-face heat capacity", &mut vehicle.clutch.face_capacity_j_per_k),
        18 => ("clutch-mass heat capacity", &mut vehicle.clutch.mass_capacity_j_per_k),
        _ => ("clutch face-to-mass conductance", &mut vehicle.clutch.face_to_mass_w_per_k),
    }
}
