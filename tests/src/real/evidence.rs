//! Measured cars as sheets, with what was measured of each and how well: what the numbers of the rules are calibrated on.
//!
//! The sheets say what an owner knows. What a table does not give of a car of 1974 comes from rules that were written before any of
//! these cars was run (`period_sheet`), with a spread.

use bitepoint_inputs::vehicle::VehicleFile;
use serde::Deserialize;

use super::period_sheet;
use super::rows;

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Time from the end of the rollout to 60 mph.
    Sixty,
    /// Time from the end of the rollout to the end of a quarter mile.
    Quarter,
    /// Mean speed over its last 66 ft.
    Trap,
}

impl Mark {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Sixty, Self::Quarter, Self::Trap];

    /// Its name in tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Sixty => "0-60 mph",
            Self::Quarter => "quarter mile",
            Self::Trap => "trap speed",
        }
    }
}

/// One figure of a road test: s or m/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What.
    pub mark: Mark,
    /// The figure, s or m/s.
    pub value: f64,
    /// One standard deviation over the figure: testers, days, instruments.
    pub relative_sd: f64,
}

/// What a car is driven by, with which engine where: where a rule may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Front-wheel drive.
    FrontDrive,
    /// Rear-wheel drive with the engine in front and less than 150 W/kg.
    RearDrive,
    /// The same with more.
    PowerfulRearDrive,
    /// Engine between the axles or behind the rear axle.
    EngineBehind,
    /// All-wheel drive.
    AllWheelDrive,
    /// A car of 1973 or 1974 of which six figures are known.
    Of1974,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::FrontDrive,
        Self::RearDrive,
        Self::PowerfulRearDrive,
        Self::EngineBehind,
        Self::AllWheelDrive,
        Self::Of1974,
    ];

    /// Its name in a chart.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::FrontDrive => "front drive",
            Self::RearDrive => "rear drive",
            Self::PowerfulRearDrive => "rear drive, over 150 W/kg",
            Self::EngineBehind => "engine in the middle or behind",
            Self::AllWheelDrive => "all-wheel drive",
            Self::Of1974 => "1973-74",
        }
    }

    /// Its name in tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::FrontDrive => "front drive",
            Self::RearDrive => "rear drive, engine in front, under 150 W/kg",
            Self::PowerfulRearDrive => "rear drive, engine in front, over 150 W/kg",
            Self::EngineBehind => "engine in the middle or behind",
            Self::AllWheelDrive => "all-wheel drive",
            Self::Of1974 => "cars of 1973-74",
        }
    }
}

/// A measured car.
#[derive(Debug, Clone, PartialEq)]
pub struct Car {
    /// Table and row.
    pub name: String,
    /// What sort of car.
    pub kind: Kind,
    /// Its sheet.
    pub sheet: VehicleFile,
    /// What was measured.
    pub measured: Vec<Measured>,
}

impl Car {
    /// A figure of its road test.
    #[must_use]
    pub fn measured(&self, mark: Mark) -> Option<Measured> {
        self.measured.iter().copied().find(|m| m.mark == mark)
    }
}

/// Driver and instruments of a road test, and how far that may be off, kg (common practice).
const ABOARD_KG: (f64, f64) = (95.0, 12.0);
const MPH_MPS: f64 = 0.44704;
/// Error of a range's middle over that of one tester on one day: the range is over some three of them.
const OF_MIDDLE: f64 = 0.58;
/// Least error of a range's middle: a range over few testers may be narrow by luck.
const LEAST_SD: f64 = 0.007;

#[derive(Debug, Deserialize)]
struct Row {
    row: u32,
    driven_axle: String,
    engine_position: String,
    kerb_mass_kg: f64,
    peak_power_hp: f64,
    peak_power_rpm: f64,
    peak_torque_lbft: f64,
    peak_torque_rpm: f64,
    redline_rpm: f64,
    gear_ratios: String,
    final_drive: f64,
    tyre_size: String,
    aspiration: String,
    differential: String,
    t_0_60_low_s: f64,
    t_0_60_high_s: f64,
    t_quarter_low_s: f64,
    t_quarter_high_s: f64,
    trap_low_mph: f64,
    trap_high_mph: f64,
    model_year: u32,
}

impl Row {
    fn text(&self) -> String {
        let axle = |front| if front { "front" } else { "rear" };
        let limited = if self.differential == "limited" {
            // Of all-wheel drive the table means the rear axle.
            format!("{}_differential = \"limited-slip\"\n", axle(self.driven_axle == "front"))
        } else {
            String::new()
        };
        let ratios: Vec<&str> = self.gear_ratios.split(' ').collect();
        format!(
            r#"name = "row {row}"
model_year = {year}
mass = "{mass} kg"
driven_axle = "{driven}"
peak_power = "{power} hp"
peak_power_at = "{power_at} rpm"
peak_torque = "{torque} lbf·ft"
peak_torque_at = "{torque_at} rpm"
redline = "{redline} rpm"
gear_ratios = [{ratios}]
final_drive = {final_drive}
tyre_size = "{tyre}"
aspiration = "{aspiration}"
[driveline]
{limited}[chassis]
engine_position = "{position}"
driver_mass = {{ value = "{aboard} kg", spread = "{aboard_sd} kg" }}
"#,
            row = self.row,
            year = self.model_year,
            mass = self.kerb_mass_kg,
            driven = self.driven_axle,
            power = self.peak_power_hp,
            power_at = self.peak_power_rpm,
            torque = self.peak_torque_lbft,
            torque_at = self.peak_torque_rpm,
            redline = self.redline_rpm,
            ratios = ratios.join(", "),
            final_drive = self.final_drive,
            tyre = self.tyre_size,
            aspiration = self.aspiration,
            position = self.engine_position,
            aboard = ABOARD_KG.0,
            aboard_sd = ABOARD_KG.1,
        )
    }

    fn kind(&self) -> Kind {
        let w_per_kg = self.peak_power_hp * 745.7 / self.kerb_mass_kg;
        match (self.driven_axle.as_str(), self.engine_position.as_str()) {
            ("front", _) => Kind::FrontDrive,
            ("all", _) => Kind::AllWheelDrive,
            (_, "front") if w_per_kg < 150.0 => Kind::RearDrive,
            (_, "front") => Kind::PowerfulRearDrive,
            _ => Kind::EngineBehind,
        }
    }

    /// The middle of what several testers printed; half of the range is taken as one standard deviation of one tester on one day.
    fn measured(&self) -> Vec<Measured> {
        let of = |mark, low: f64, high: f64, unit: f64| {
            let middle = 0.5 * (low + high);
            Measured {
                mark,
                value: middle * unit,
                relative_sd: (OF_MIDDLE * 0.5 * (high - low) / middle).max(LEAST_SD),
            }
        };
        vec![
            of(Mark::Sixty, self.t_0_60_low_s, self.t_0_60_high_s, 1.0),
            of(Mark::Quarter, self.t_quarter_low_s, self.t_quarter_high_s, 1.0),
            of(Mark::Trap, self.trap_low_mph, self.trap_high_mph, MPH_MPS),
        ]
    }
}

/// A road test of 1974 names no timing convention: half of what a rollout of one foot is worth may be missing, besides tester and day.
const QUARTER_OF_1974_SD: f64 = 0.02;

fn sheet(text: &str) -> VehicleFile {
    VehicleFile::parse("sheet.toml", text)
        .unwrap_or_else(|e| panic!("a rule made a sheet that is refused: {e}\n{text}"))
}

/// The 26 manual cars of 1987 to 2017 (from memory, in two tables) and the 13 of 1973-74.
///
/// # Panics
/// Never: the tables are part of the repository.
#[must_use]
pub fn cars() -> Vec<Car> {
    let tables =
        [include_str!("../../data/manual_road_tests.csv"), include_str!("../../data/manual_road_tests_more.csv")];
    let recent = tables
        .into_iter()
        .flat_map(|text| csv::Reader::from_reader(text.as_bytes()).into_deserialize::<Row>())
        .map(|row| row.expect("a row of the committed table"))
        .map(|row| Car {
            name: format!("manual {}", row.row),
            kind: row.kind(),
            sheet: sheet(&row.text()),
            measured: row.measured(),
        })
        .collect::<Vec<_>>();
    let period = rows::period().into_iter().filter(|row| row.manual == 1).map(|row| Car {
        name: format!("1974 {}", row.row),
        kind: Kind::Of1974,
        sheet: sheet(&period_sheet::text(&row)),
        measured: vec![Measured { mark: Mark::Quarter, value: row.quarter_mile_s, relative_sd: QUARTER_OF_1974_SD }],
    });
    recent.into_iter().chain(period).collect()
}
