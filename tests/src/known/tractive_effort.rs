//! Tractive effort and effective inertia by gear.
//!
//! T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2, worked example on acceleration (inputs from
//! memory, results recomputed).

use super::solid_axle::{INCH_M, LBF_N};

/// Kilogram square metres per in·lb·s².
pub const IN_LB_S2_KGM2: f64 = LBF_N * INCH_M;
/// Newton metres per ft·lb.
pub const FT_LB_NM: f64 = LBF_N * 12.0 * INCH_M;

/// Engine inertia, in·lb·s².
pub const ENGINE_INERTIA: f64 = 0.8;
/// Gearbox inertia in first gear at the engine, in·lb·s².
pub const FIRST_GEAR_INERTIA: f64 = 1.3;
/// Final-drive inertia at its input, in·lb·s².
pub const FINAL_DRIVE_INERTIA: f64 = 1.2;
/// Inertia of a wheel, in·lb·s².
pub const WHEEL_INERTIA: f64 = 11.0;
/// Largest engine torque, ft·lb.
pub const PEAK_TORQUE_FT_LB: f64 = 201.0;
/// Its engine speed, rpm.
pub const PEAK_RPM: f64 = 4400.0;
/// Gear ratios.
pub const RATIOS: [f64; 5] = [4.28, 2.79, 1.83, 1.36, 1.00];
/// Their efficiencies.
pub const EFFICIENCIES: [f64; 5] = [0.966, 0.967, 0.972, 0.973, 0.970];
/// Final drive.
pub const FINAL_DRIVE: f64 = 2.92;
/// Its efficiency.
pub const FINAL_DRIVE_EFFICIENCY: f64 = 0.99;
/// Wheel radius, in.
pub const RADIUS_IN: f64 = 12.59;

/// Gear (1 for first), largest tractive effort in lbf, and its road speed in mph.
pub const EFFORTS: [(u8, f64, f64); 2] = [(1, 2290.0, 26.4), (5, 537.0, 112.9)];
/// Inertia of engine, gearbox and final drive at the wheels in first gear, in·lb·s².
pub const FIRST_GEAR_AT_WHEELS: f64 = 338.2;
/// The same with two driven wheels, as weight, lb.
pub const FIRST_GEAR_AS_WEIGHT_LB: f64 = 877.0;
