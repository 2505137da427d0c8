//! Gearbox and final drive: ratios, losses, inertias, and how long a shift takes.

/// A manual gearbox with its final drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Gearbox {
    /// Forward gears, first gear first.
    pub gears: Vec<Gear>,
    /// Clutch disc, input shaft and the gears that turn with it in neutral, kg·m², at input speed.
    pub input_inertia_kgm2: f64,
    /// Final drive.
    pub final_drive: FinalDrive,
    /// How long each part of a shift takes.
    pub shift: ShiftTiming,
}

/// One forward gear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gear {
    /// Input speed over output speed.
    pub ratio: f64,
    /// Share of power that passes.
    pub efficiency: f64,
    /// What this gear adds to the input inertia while it is engaged, kg·m², at input speed.
    pub inertia_kgm2: f64,
}

/// The final drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FinalDrive {
    /// Propshaft (or gearbox output) speed over axle speed.
    pub ratio: f64,
    /// Share of power that passes.
    pub efficiency: f64,
    /// Gearbox output, propshaft, crown wheel and differential case, kg·m², at axle speed.
    pub inertia_kgm2: f64,
}

/// The parts of a shift, s. Torque is away from the beginning of the first to about the middle of the last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShiftTiming {
    /// Pedal from released to pressed.
    pub clutch_out_s: f64,
    /// Lever through neutral and the synchroniser's work.
    pub change_s: f64,
    /// Pedal from pressed to released, throttle back on with it.
    pub clutch_in_s: f64,
}

impl ShiftTiming {
    /// The same parts, each `factor` times as long.
    #[must_use]
    pub fn by(self, factor: f64) -> Self {
        Self {
            clutch_out_s: factor * self.clutch_out_s,
            change_s: factor * self.change_s,
            clutch_in_s: factor * self.clutch_in_s,
        }
    }
}

impl Gearbox {
    /// Engine speed over axle speed in gear `index` (0 is first).
    #[inline]
    #[must_use]
    pub fn overall_ratio(&self, index: usize) -> f64 {
        self.gears[index].ratio * self.final_drive.ratio
    }

    /// Share of power that passes gearbox and final drive in gear `index`.
    #[inline]
    #[must_use]
    pub fn overall_efficiency(&self, index: usize) -> f64 {
        self.gears[index].efficiency * self.final_drive.efficiency
    }
}
