//! Every key of a vehicle file. The top level is the twelve-line sheet; all else is estimated unless it is given.
//!
//! The ranges say what is believable for a car on tyres, from small to racing; they are there to catch slips of
//! units and of the decimal point. Common practice, no source, unless said otherwise.
//!
//! The examples of the sheet's keys describe no real car.
//! Gears by rule: without slip first gear runs 58 km/h at the redline and sixth gear 300 km/h at the revs of peak power;
//! each step is 0.92 times the one before. The final drive is a round 3.40; no gear is direct.

use crate::key::{Kind, key_table, quantity as q, rpm};
use crate::quantity::Dimension as D;

/// Differentials.
pub const DIFFERENTIALS: &[&str] = &["open", "limited-slip", "locked"];
/// Kinds of breathing.
pub const ASPIRATIONS: &[&str] = &["naturally aspirated", "turbocharged", "supercharged"];
/// Driven axles.
pub const DRIVEN_AXLES: &[&str] = &["front", "rear", "all"];
/// Standards of power rating.
pub const STANDARDS: &[&str] = &["SAE J1349", "ISO 1585", "DIN 70020", "uncorrected", "SAE J245"];
/// Grades of tyre.
pub const TYRE_GRADES: &[&str] = &["economy", "touring", "summer", "track"];
/// Where the engine sits.
pub const ENGINE_POSITIONS: &[&str] = &["front", "mid", "rear"];

const SHARE: Kind = q(D::Ratio, 0.0, 1.0);

key_table! {
    /// Every key of a vehicle file, in the order in which people read them.
    VEHICLE_KEYS;
    NAME(required) = "name", Kind::Text, "Name of the car", "\"Weekend car\"";
    MASS(required) = "mass", q(D::Mass, 300.0, 5000.0), "Kerb mass: ready to drive, full tank, nobody in it", "\"1480 kg\"";
    MODEL_YEAR = "model_year", q(D::Ratio, 1950.0, 2040.0), "Model year: what tyres, drag, gearbox and power rating were like", "2012";
    KNOWN = "known", Kind::Text, "Results known of this car or one like it, with ; between them; all answers take them into account", "\"0-60 mph = 7.1 s, rollout; quarter mile = 15.3 s\"";
    DRIVEN_AXLE(required) = "driven_axle", Kind::Choice(DRIVEN_AXLES), "Axle that the engine drives", "\"rear\"";
    PEAK_POWER = "peak_power", q(D::Power, 8e3, 1.5e6), "Largest power at the flywheel, as the maker rates it", "\"250 hp\"";
    PEAK_POWER_AT = "peak_power_at", q(D::AngularSpeed, rpm(1500.0), rpm(16_000.0)), "Engine speed of peak power", "\"6500 rpm\"";
    PEAK_TORQUE = "peak_torque", q(D::Torque, 20.0, 2500.0), "Largest torque at the flywheel", "\"240 lbf·ft\"";
    PEAK_TORQUE_AT = "peak_torque_at", q(D::AngularSpeed, rpm(700.0), rpm(14_000.0)), "Engine speed of peak torque; the lowest one if it is held over a range", "\"4400 rpm\"";
    REDLINE(required) = "redline", q(D::AngularSpeed, rpm(2500.0), rpm(18_000.0)), "Highest engine speed that the maker allows", "\"7200 rpm\"";
    GEAR_RATIOS(required) = "gear_ratios", Kind::List { dimension: D::Ratio, low: 0.3, high: 8.0, least: 2, most: 10 }, "Gear ratios, first gear first", "[4.24, 2.53, 1.64, 1.16, 0.89, 0.74]";
    FINAL_DRIVE(required) = "final_drive", q(D::Ratio, 1.5, 8.0), "Final drive ratio", "3.40";
    TYRE_SIZE(required) = "tyre_size", Kind::TyreSize, "Tyre size as it stands on the sidewall", "\"225/45R17\"";
    ASPIRATION(required) = "aspiration", Kind::Choice(ASPIRATIONS), "How the engine breathes", "\"naturally aspirated\"";

    TORQUE_CURVE = "engine.torque_curve", Kind::TorqueCurve, "Full-load torque against engine speed, boost built; stands in for peak power and torque", "[[\"1000 rpm\", \"210 N·m\"], [\"4400 rpm\", \"305 N·m\"], [\"6500 rpm\", \"250 N·m\"]]";
    DISPLACEMENT = "engine.displacement", q(D::Volume, 0.3e-3, 10e-3), "Swept volume", "\"2.0 L\"";
    RATED_TO = "engine.rated_to", Kind::Choice(STANDARDS), "Standard of the power rating", "\"SAE J1349\"";
    OUTPUT_SCALE = "engine.output_scale", q(D::Ratio, 0.5, 1.5), "This engine's torque over its rating", "1.0";
    AIR_CORRECTION_SHARE = "engine.air_correction_share", SHARE, "Share of the standard's air correction that this engine takes", "1.0";
    IDLE_TORQUE_SHARE = "engine.idle_torque_share", q(D::Ratio, 0.1, 1.0), "Full-load torque at idle over peak torque", "0.65";
    PLATEAU_SHARE = "engine.plateau_share", SHARE, "How far torque is held up between its peak and peak power: 0 falls smoothly, 1 holds until peak power stops it", "0.6";
    REDLINE_POWER_SHARE = "engine.redline_power_share", q(D::Ratio, 0.3, 1.0), "Power at the redline over peak power", "0.95";
    IDLE = "engine.idle", q(D::AngularSpeed, rpm(400.0), rpm(2500.0)), "Idle speed", "\"800 rpm\"";
    STALL = "engine.stall", q(D::AngularSpeed, rpm(100.0), rpm(1500.0)), "Speed under which the engine dies", "\"360 rpm\"";
    LIMITER = "engine.limiter", q(D::AngularSpeed, rpm(2500.0), rpm(18_500.0)), "Speed at which fuel is cut", "\"7350 rpm\"";
    LIMITER_RESUME = "engine.limiter_resume", q(D::AngularSpeed, rpm(2000.0), rpm(18_400.0)), "Speed at which fuel comes back", "\"7250 rpm\"";
    LAUNCH_LIMITER = "engine.launch_limiter", q(D::AngularSpeed, rpm(1200.0), rpm(12_000.0)), "Speed of a second fuel cut for standing starts; none if left out", "\"4000 rpm\"";
    LAUNCH_LIMITER_UNTIL = "engine.launch_limiter_until", q(D::Speed, 0.1, 30.0), "Road speed at which the launch limiter lets go", "\"10 km/h\"";
    ENGINE_INERTIA = "engine.inertia", q(D::Inertia, 0.02, 2.0), "Crankshaft, flywheel and clutch cover", "\"0.18 kg·m²\"";
    MOTORING_CONSTANT = "engine.motoring_constant", q(D::Torque, 0.0, 200.0), "Drag of the unfuelled engine: the part that does not change with speed", "\"12 N·m\"";
    MOTORING_LINEAR = "engine.motoring_linear", q(D::TorsionalDamping, 0.0, 1.0), "Drag of the unfuelled engine: the part that grows with speed", "\"0.018 N·m·s/rad\"";
    MOTORING_QUADRATIC = "engine.motoring_quadratic", q(D::TorquePerSpeedSquared, 0.0, 2e-3), "Drag of the unfuelled engine: the part that grows with speed squared", "\"5.8e-5 N·m·s²/rad²\"";
    THROTTLE_LAG = "engine.throttle_lag", q(D::Time, 0.005, 1.0), "First-order lag from pedal to torque", "\"60 ms\"";
    OFF_BOOST_SHARE = "engine.off_boost_share", q(D::Ratio, 0.2, 1.0), "Largest torque before any boost over peak torque", "0.5";
    OFF_BOOST_CURVE = "engine.off_boost_curve", Kind::TorqueCurve, "Full-load torque before any boost has built", "[[\"1000 rpm\", \"110 N·m\"], [\"4000 rpm\", \"170 N·m\"], [\"6500 rpm\", \"140 N·m\"]]";
    SPOOL_TIME = "engine.spool_time", q(D::Time, 0.02, 5.0), "Time constant with which boost builds at full load and the speed of peak torque", "\"0.35 s\"";
    SPOOL_AT = "engine.spool_at", q(D::AngularSpeed, rpm(800.0), rpm(12_000.0)), "Engine speed at which the spool time was stated", "\"2500 rpm\"";

    CLUTCH_CAPACITY = "clutch.torque_capacity", q(D::Torque, 30.0, 5000.0), "Torque that the cool, closed clutch carries", "\"420 N·m\"";
    CLUTCH_FRICTION = "clutch.friction_coefficient", q(D::Ratio, 0.1, 0.8), "Friction coefficient of a cool face", "0.3";
    CLUTCH_RADIUS = "clutch.effective_radius", q(D::Length, 0.04, 0.25), "Effective radius of the faces", "\"96 mm\"";
    CLUTCH_FACES = "clutch.faces", q(D::Ratio, 2.0, 12.0), "Number of friction faces: two for each disc", "2";
    CLUTCH_CLAMP = "clutch.clamp_force", q(D::Force, 500.0, 40e3), "Clamp force, pedal released", "\"7.3 kN\"";
    BITE_POINT = "clutch.bite_point", q(D::Ratio, 0.02, 0.9), "Pedal position, 0 pressed to 1 released, at which the clutch begins to carry", "0.35";
    WORKING_BAND = "clutch.working_band", q(D::Ratio, 0.05, 0.98), "Pedal travel from first touch to full clamp, as a share of the whole", "0.35";
    FADE_START = "clutch.fade_start", q(D::Temperature, 100.0, 900.0), "Face temperature at which friction begins to fall", "\"275 °C\"";
    FADE_SPAN = "clutch.fade_span", q(D::TemperatureDifference, 20.0, 800.0), "Rise over that at which friction is half-way to its floor", "\"150 K\"";
    FADE_FLOOR = "clutch.fade_floor", q(D::Ratio, 0.05, 1.0), "Share of cool friction that is left however hot the face", "0.35";
    CLUTCH_HARM = "clutch.harm_temperature", q(D::Temperature, 120.0, 1200.0), "Face temperature of lasting harm", "\"375 °C\"";
    FACE_CAPACITY = "clutch.face_heat_capacity", q(D::HeatCapacity, 30.0, 5000.0), "Heat capacity of the skins that rub", "\"380 J/K\"";
    MASS_CAPACITY = "clutch.mass_heat_capacity", q(D::HeatCapacity, 300.0, 30e3), "Heat capacity of flywheel rim and pressure plate behind them", "\"3 kJ/K\"";
    FACE_TO_MASS = "clutch.face_to_mass", q(D::Conductance, 20.0, 8000.0), "Conductance from face to mass", "\"400 W/K\"";
    MASS_TO_AIR = "clutch.mass_to_air", q(D::Conductance, 0.5, 200.0), "Conductance from mass to the air around it", "\"8 W/K\"";

    GEAR_EFFICIENCY = "gearbox.efficiency", q(D::Ratio, 0.7, 1.0), "Share of power that passes a gear", "0.965";
    DIRECT_EFFICIENCY = "gearbox.direct_efficiency", q(D::Ratio, 0.7, 1.0), "The same of a direct gear (ratio 1) in a longitudinal gearbox", "0.985";
    GEAR_EFFICIENCIES = "gearbox.efficiencies", Kind::List { dimension: D::Ratio, low: 0.7, high: 1.0, least: 2, most: 10 }, "Share of power that passes, gear by gear", "[0.96, 0.96, 0.965, 0.97, 0.985, 0.96]";
    INPUT_INERTIA = "gearbox.input_inertia", q(D::Inertia, 5e-4, 0.2), "Clutch disc, input shaft and what turns with it in neutral", "\"0.008 kg·m²\"";
    GEAR_INERTIA = "gearbox.gear_inertia", q(D::Inertia, 0.0, 0.2), "What an engaged gear adds to that, at input speed", "\"0.002 kg·m²\"";
    GEAR_INERTIAS = "gearbox.gear_inertias", Kind::List { dimension: D::Inertia, low: 0.0, high: 0.2, least: 2, most: 10 }, "The same, gear by gear", "[\"0.002 kg·m²\", \"0.003 kg·m²\"]";
    SHIFT_TIME = "gearbox.shift_time", q(D::Time, 0.02, 3.0), "Time of a shift from torque away to torque back", "\"0.45 s\"";
    CLUTCH_OUT_TIME = "gearbox.clutch_out_time", q(D::Time, 0.005, 1.5), "Part of a shift: pedal down", "\"0.10 s\"";
    CHANGE_TIME = "gearbox.change_time", q(D::Time, 0.005, 2.0), "Part of a shift: lever through neutral, synchroniser", "\"0.22 s\"";
    CLUTCH_IN_TIME = "gearbox.clutch_in_time", q(D::Time, 0.005, 2.0), "Part of a shift: pedal up, throttle on with it", "\"0.25 s\"";

    FINAL_EFFICIENCY = "driveline.final_drive_efficiency", q(D::Ratio, 0.7, 1.0), "Share of power that passes the final drive and what follows", "0.96";
    FINAL_INERTIA = "driveline.final_drive_inertia", q(D::Inertia, 1e-3, 5.0), "Gearbox output, propshaft, crown wheel and differential, at axle speed", "\"0.15 kg·m²\"";
    STIFFNESS = "driveline.stiffness", q(D::TorsionalStiffness, 1e3, 80e3), "Torsional stiffness of all shafts and mounts, at axle speed", "\"9 kN·m/rad\"";
    DAMPING = "driveline.damping", q(D::TorsionalDamping, 1.0, 2000.0), "Damping of that torsion", "\"80 N·m·s/rad\"";
    LASH = "driveline.lash", q(D::Angle, 0.0, 0.3), "Free play from flank to flank, at axle speed", "\"1.7 deg\"";
    FRONT_TORQUE_SHARE = "driveline.front_torque_share", q(D::Ratio, 0.02, 0.98), "All-wheel drive: share of torque to the front while the centre differential turns freely", "0.5";
    CENTRE_DIFFERENTIAL = "driveline.centre_differential", Kind::Choice(DIFFERENTIALS), "All-wheel drive: differential between the axles", "\"limited-slip\"";
    CENTRE_PRELOAD = "driveline.centre_differential_preload", q(D::Torque, 0.0, 2000.0), "Friction torque of the centre differential without load", "\"100 N·m\"";
    CENTRE_BIAS = "driveline.centre_differential_bias_ratio", q(D::Ratio, 1.0, 20.0), "Largest ratio of its two output torques under load", "3.0";
    FRONT_DIFFERENTIAL = "driveline.front_differential", Kind::Choice(DIFFERENTIALS), "Differential of a driven front axle", "\"open\"";
    FRONT_PRELOAD = "driveline.front_differential_preload", q(D::Torque, 0.0, 1000.0), "Friction torque of the front differential without load", "\"50 N·m\"";
    FRONT_BIAS = "driveline.front_differential_bias_ratio", q(D::Ratio, 1.0, 20.0), "Largest ratio of its two output torques under load", "2.2";
    REAR_DIFFERENTIAL = "driveline.rear_differential", Kind::Choice(DIFFERENTIALS), "Differential of a driven rear axle", "\"limited-slip\"";
    REAR_PRELOAD = "driveline.rear_differential_preload", q(D::Torque, 0.0, 1000.0), "Friction torque of the rear differential without load", "\"50 N·m\"";
    REAR_BIAS = "driveline.rear_differential_bias_ratio", q(D::Ratio, 1.0, 20.0), "Largest ratio of its two output torques under load", "2.2";
    SOLID_REAR_AXLE = "driveline.solid_rear_axle", Kind::Flag, "Whether the driven rear axle is a solid one", "true";
    REAR_TRACK = "driveline.rear_track", q(D::Length, 0.9, 2.2), "Solid axle: distance between wheel centre planes", "\"1.55 m\"";
    FRONT_ROLL_SHARE = "driveline.front_roll_stiffness_share", SHARE, "Solid axle: front roll stiffness over that of both axles", "0.65";

    TYRE_GRADE = "tyres.grade", Kind::Choice(TYRE_GRADES), "Grade of tyre", "\"summer\"";
    PEAK_FRICTION = "tyres.peak_friction", q(D::Ratio, 0.3, 2.5), "Peak friction on dry asphalt at nominal load (PDX1)", "1.05";
    FRICTION_PER_LOAD = "tyres.friction_per_load", q(D::Ratio, -0.5, 0.1), "Change of friction per relative load over nominal (PDX2)", "-0.06";
    SLIDING_SHARE = "tyres.sliding_share", q(D::Ratio, 0.3, 0.98), "Friction of a tyre that slides slowly over its peak friction", "0.92";
    SLIDING_FALL = "tyres.sliding_fall", q(D::Ratio, 0.0, 0.2), "Fall of friction with sliding speed, per m/s: friction is divided by 1 + this times the speed of the tread over the road", "0.012";
    PEAK_SLIP = "tyres.peak_slip", q(D::Ratio, 0.02, 0.5), "Slip ratio at the peak, dry, nominal load", "0.11";
    SLIP_STIFFNESS = "tyres.slip_stiffness", q(D::Ratio, 5.0, 60.0), "Slip stiffness over load, at nominal load (PKX1)", "21";
    SLIP_STIFFNESS_PER_LOAD = "tyres.slip_stiffness_per_load", q(D::Ratio, -10.0, 10.0), "Its change per relative load (PKX2)", "-0.16";
    SLIP_STIFFNESS_EXPONENT = "tyres.slip_stiffness_exponent", q(D::Ratio, -2.0, 2.0), "Its exponential change per relative load (PKX3)", "0.25";
    CURVATURE_PER_LOAD = "tyres.curvature_per_load", q(D::Ratio, -2.0, 2.0), "Change of curvature per relative load (PEX2)", "0.1";
    CURVATURE_PER_LOAD_SQUARED = "tyres.curvature_per_load_squared", q(D::Ratio, -2.0, 2.0), "Change of curvature per relative load squared (PEX3)", "-0.02";
    CIRCUMFERENCE_FACTOR = "tyres.circumference_factor", q(D::Ratio, 2.9, 3.15), "Rolling circumference over free diameter", "3.05";
    CARCASS_STIFFNESS = "tyres.carcass_stiffness", q(D::Ratio, 20.0, 400.0), "Longitudinal carcass stiffness times free diameter over nominal load; gives the relaxation length", "57";
    ROLLING_RESISTANCE = "tyres.rolling_resistance", q(D::Ratio, 0.003, 0.04), "Rolling resistance over load at walking pace", "0.012";
    ROLLING_GROWTH = "tyres.rolling_resistance_growth", q(D::PerSpeedSquared, 0.0, 2e-5), "Its growth with speed squared", "\"5.2e-7 s²/m²\"";

    FRONT_SIZE = "tyres.front.size", Kind::TyreSize, "Size of the front tyres where it differs", "\"225/40R18\"";
    FRONT_PEAK_FRICTION = "tyres.front.peak_friction", q(D::Ratio, 0.3, 2.5), "Peak friction of a front tyre (PDX1)", "1.05";
    FRONT_CIRCUMFERENCE = "tyres.front.rolling_circumference", q(D::Length, 1.0, 3.2), "Rolling circumference of a front tyre", "\"1943 mm\"";
    FRONT_WHEEL_INERTIA = "tyres.front.wheel_inertia", q(D::Inertia, 0.1, 5.0), "Front wheel with tyre, disc and hub, one", "\"1.2 kg·m²\"";
    FRONT_NOMINAL_LOAD = "tyres.front.nominal_load", q(D::Force, 500.0, 12e3), "Nominal load of a front tyre's coefficients (FNOMIN)", "\"4000 N\"";
    FRONT_RELAXATION = "tyres.front.relaxation_length", q(D::Length, 0.02, 1.5), "Relaxation length of a front tyre, along the road", "\"0.22 m\"";
    FRONT_PCX1 = "tyres.front.pcx1", q(D::Ratio, 1.01, 1.99), "Magic Formula shape factor of a front tyre", "1.43";
    FRONT_PEX1 = "tyres.front.pex1", q(D::Ratio, -20.0, 0.99), "Magic Formula curvature factor of a front tyre", "-0.4";
    REAR_SIZE = "tyres.rear.size", Kind::TyreSize, "Size of the rear tyres where it differs", "\"255/35R18\"";
    REAR_PEAK_FRICTION = "tyres.rear.peak_friction", q(D::Ratio, 0.3, 2.5), "Peak friction of a rear tyre (PDX1)", "1.05";
    REAR_CIRCUMFERENCE = "tyres.rear.rolling_circumference", q(D::Length, 1.0, 3.2), "Rolling circumference of a rear tyre", "\"1943 mm\"";
    REAR_WHEEL_INERTIA = "tyres.rear.wheel_inertia", q(D::Inertia, 0.1, 5.0), "Rear wheel with tyre, disc and hub, one", "\"1.2 kg·m²\"";
    REAR_NOMINAL_LOAD = "tyres.rear.nominal_load", q(D::Force, 500.0, 12e3), "Nominal load of a rear tyre's coefficients (FNOMIN)", "\"4000 N\"";
    REAR_RELAXATION = "tyres.rear.relaxation_length", q(D::Length, 0.02, 1.5), "Relaxation length of a rear tyre, along the road", "\"0.22 m\"";
    REAR_PCX1 = "tyres.rear.pcx1", q(D::Ratio, 1.01, 1.99), "Magic Formula shape factor of a rear tyre", "1.43";
    REAR_PEX1 = "tyres.rear.pex1", q(D::Ratio, -20.0, 0.99), "Magic Formula curvature factor of a rear tyre", "-0.4";

    DRIVER_MASS = "chassis.driver_mass", q(D::Mass, 0.0, 500.0), "Driver and what else is on board", "\"75 kg\"";
    ENGINE_POSITION = "chassis.engine_position", Kind::Choice(ENGINE_POSITIONS), "Where the engine sits", "\"front\"";
    WHEELBASE = "chassis.wheelbase", q(D::Length, 1.4, 4.5), "Wheelbase", "\"2.65 m\"";
    FRONT_WEIGHT_SHARE = "chassis.front_weight_share", q(D::Ratio, 0.25, 0.75), "Share of weight on the front axle", "\"53 %\"";
    HEIGHT = "chassis.height", q(D::Length, 0.9, 2.4), "Height of the roof", "\"1.38 m\"";
    WIDTH = "chassis.width", q(D::Length, 1.2, 2.4), "Width without mirrors", "\"1.79 m\"";
    CG_HEIGHT = "chassis.cg_height", q(D::Length, 0.2, 1.0), "Height of the centre of gravity", "\"0.53 m\"";
    FRONTAL_AREA = "chassis.frontal_area", q(D::Area, 0.8, 4.5), "Frontal area", "\"2.1 m²\"";
    DRAG_COEFFICIENT = "chassis.drag_coefficient", q(D::Ratio, 0.12, 1.2), "Drag coefficient", "0.31";
    DRAG_AREA = "chassis.drag_area", q(D::Area, 0.2, 3.0), "Drag coefficient times frontal area", "\"0.65 m²\"";
    FRONT_LIFT = "chassis.front_lift_coefficient", q(D::Ratio, -2.0, 0.5), "Lift coefficient of the front axle; downforce is negative", "0.03";
    REAR_LIFT = "chassis.rear_lift_coefficient", q(D::Ratio, -2.0, 0.5), "Lift coefficient of the rear axle; downforce is negative", "0.07";
    PITCH_FREQUENCY = "chassis.pitch_frequency", q(D::Frequency, 0.5, 10.0), "Natural frequency of pitch", "\"1.45 Hz\"";
    PITCH_DAMPING = "chassis.pitch_damping_ratio", q(D::Ratio, 0.05, 2.0), "Damping ratio of pitch", "0.3";
}
