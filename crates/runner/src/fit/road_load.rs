//! Road load F0 + F1 v + F2 v² from coast-downs, apart from the model of the car.

use bitepoint_physics::road::GRAVITY_MPS2;
use serde::Serialize;

use super::coast_down::{CoastDown, speeds};
use super::least_squares::{Parameter, Problem, Rows, solve};

/// A number with its standard error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Fitted {
    /// Best value.
    pub value: f64,
    /// Standard error.
    pub sd: f64,
}

/// Road load of one car on one day.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RoadLoad {
    /// Coast-downs that it rests on.
    pub coast_downs: usize,
    /// Constant part, N; with a slope in it where the car went one way alone.
    pub f0_n: Fitted,
    /// Part that grows with speed, N·s/m.
    pub f1_ns_per_m: Fitted,
    /// Part that grows with its square, N·s²/m².
    pub f2_ns2_per_m2: Fitted,
    /// Correlations of F0 with F1, F0 with F2 and F1 with F2.
    pub correlation: [f64; 3],
    /// Slope the way of the first, rise over run; nothing where the car went one way alone.
    pub slope: Option<Fitted>,
    /// With F1 taken as nothing: drag area, m².
    pub drag_area_m2: Fitted,
    /// With F1 taken as nothing: rolling resistance over weight at walking pace, drag of the driveline in it.
    pub rolling_coefficient: Fitted,
    /// Correlation of those two.
    pub drag_rolling_correlation: f64,
    /// Root mean square of measured less fitted speed over its standard deviation: 1 where the form fits.
    pub misfit: f64,
    /// Effective mass that was slowed, kg.
    pub effective_mass_kg: f64,
}

/// What has to be known of car and day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rolling {
    /// Effective mass, kg.
    pub effective_mass_kg: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Density of the air, kg/m³.
    pub density_kg_per_m3: f64,
    /// Growth of the rolling resistance with the square of the speed, as a share a (m/s)².
    pub rolling_growth_s2_per_m2: f64,
    /// Slope the way of the first coast-down where it is not looked for, rise over run.
    pub slope: f64,
    /// Wind against the first coast-down, m/s.
    pub headwind_mps: f64,
}

/// Residuals beyond so many standard deviations count as outliers.
pub(super) const HUBER: f64 = 2.5;

/// Fits the road load; nothing without coast-downs or if they do not tell it.
#[must_use]
pub fn road_load(coasts: &[CoastDown], car: &Rolling) -> Option<RoadLoad> {
    let first = coasts.first()?;
    let both_ways = coasts.iter().any(|c| c.direction != first.direction);
    let free = form(coasts, car, both_ways, true)?;
    let plain = form(coasts, car, both_ways, false)?;
    let at = |f: &Form, i: usize| Fitted { value: f.values[i] * f.scales[i], sd: f.sd[i] * f.scales[i] };
    let weight_n = car.mass_kg * GRAVITY_MPS2;
    let f0 = at(&plain, 0);
    let rolling = Fitted { value: f0.value / weight_n, sd: f0.sd / weight_n };
    let f2 = at(&plain, 1);
    // Rolling resistance grows with speed too: that part is no drag.
    let drag = 2.0 / car.density_kg_per_m3;
    let growth_n = rolling.value * car.rolling_growth_s2_per_m2 * weight_n;
    Some(RoadLoad {
        coast_downs: coasts.len(),
        f0_n: at(&free, 0),
        f1_ns_per_m: at(&free, 2),
        f2_ns2_per_m2: at(&free, 1),
        correlation: [free.correlation(0, 2), free.correlation(0, 1), free.correlation(2, 1)],
        slope: both_ways.then(|| at(&free, 3)),
        drag_area_m2: Fitted { value: drag * (f2.value - growth_n), sd: drag * f2.sd },
        rolling_coefficient: rolling,
        drag_rolling_correlation: plain.correlation(0, 1),
        misfit: free.misfit,
        effective_mass_kg: car.effective_mass_kg,
    })
}

struct Form {
    values: Vec<f64>,
    sd: Vec<f64>,
    scales: Vec<f64>,
    correlation: Vec<Vec<f64>>,
    misfit: f64,
}

impl Form {
    fn correlation(&self, i: usize, j: usize) -> f64 {
        self.correlation[i][j]
    }
}

/// F0, F2, then F1 if it is free, then the slope if it is looked for, then each coast-down's first speed.
fn form(coasts: &[CoastDown], car: &Rolling, slope_free: bool, linear_free: bool) -> Option<Form> {
    // So that all parameters are of the size of one.
    let mut scales = vec![100.0, 0.1];
    let mut starts = vec![1.5, 4.0];
    for (is_free, scale) in [(linear_free, 1.0), (slope_free, 0.01)] {
        if is_free {
            scales.push(scale);
            starts.push(0.0);
        }
    }
    let shared = scales.len();
    for coast in coasts {
        scales.push(1.0);
        starts.push(coast.speed_mps[0]);
    }
    let rows = |p: &[f64]| {
        let f = |i: usize| p[i] * scales[i];
        let linear = if linear_free { f(2) } else { 0.0 };
        let slope = if slope_free { f(shared - 1) } else { car.slope };
        let mut data = Vec::new();
        for (i, coast) in coasts.iter().enumerate() {
            let wind_mps = coast.direction * car.headwind_mps;
            let slope_n = car.mass_kg * GRAVITY_MPS2 * coast.direction * slope / (1.0 + slope * slope).sqrt();
            let decelerate = |v: f64| {
                let air = (v + wind_mps) * (v + wind_mps).abs();
                (f(0) + linear * v + f(1) * air + slope_n) / car.effective_mass_kg
            };
            let predicted = speeds(p[shared + i], &coast.time_s, decelerate);
            data.extend(coast.speed_mps.iter().zip(&predicted).map(|(m, v)| (m - v) / coast.sd_mps));
        }
        Some(Rows { data, prior: Vec::new() })
    };
    let parameters = starts.iter().map(|start| Parameter { start: *start, step: 1e-4, bounds: None }).collect();
    let solution = solve(&Problem { parameters, rows: &rows, huber: Some(HUBER), tolerance: 1e-10 })?;
    let freedom = solution.rows.data.len().checked_sub(starts.len()).filter(|n| *n > 0)? as f64;
    let misfit = (solution.sum_of_squares() / freedom).sqrt();
    // The noise was judged from neighbours alone; slower errors (gusts, the road) show here.
    let sd = solution.standard_errors().iter().map(|sd| sd * misfit.max(1.0)).collect();
    let n = solution.values.len();
    let correlation = (0..n).map(|i| (0..n).map(|j| solution.correlation(i, j)).collect()).collect();
    Some(Form { values: solution.values, sd, scales, correlation, misfit })
}
