//! What parts leave as it is on a car of which much is estimated.
//!
//! Many estimates follow from the sheet: a clutch is sized by peak torque, a wheelbase guessed from mass. They describe the car as it
//! was built; an engine that is given more boost does not get a larger clutch, a car that sheds weight does not grow shorter.
//! So every estimate of the car without the part is held, error and all, except those that the part itself carries along.

use std::collections::HashMap;

use crate::entry::Origin;
use crate::given::Givens;
use crate::key::Key;
use crate::vehicle_keys as keys;

/// Values of a car without its parts.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Held {
    numbers: HashMap<&'static str, f64>,
    words: HashMap<&'static str, &'static str>,
}

impl Held {
    pub(crate) fn number(&self, key: &Key) -> Option<f64> {
        self.numbers.get(key.path).copied()
    }

    pub(crate) fn word(&self, key: &Key) -> Option<&'static str> {
        self.words.get(key.path).copied()
    }

    pub(crate) fn note_number(&mut self, key: &'static Key, si: f64) {
        self.numbers.insert(key.path, si);
    }

    pub(crate) fn note_word(&mut self, key: &'static Key, word: &'static str) {
        self.words.insert(key.path, word);
    }
}

/// What parts did to a vehicle file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fitting {
    /// The file without them.
    pub(crate) base: Givens,
    /// Keys that they change.
    pub(crate) changed: Vec<&'static Key>,
    /// Those of them whose value takes the place of the car's.
    pub(crate) set: Vec<&'static Key>,
}

/// Name of the deviate of a value that a part sets with a spread of its own.
pub(crate) fn own_spread(path: &str) -> String {
    format!("part.{path}")
}

impl Fitting {
    /// Whether a part's value took the place of the car's.
    pub(crate) fn sets(&self, key: &Key) -> bool {
        self.set.iter().any(|set| set.path == key.path)
    }

    /// Whether an estimate stays what it was without the parts.
    pub(crate) fn holds(&self, key: &Key, origin: Origin) -> bool {
        let is_in = |list: &[&Key]| list.iter().any(|other| other.path == key.path);
        // What follows by arithmetic alone follows, but for what describes a thing that is not changed.
        if origin == Origin::Derived {
            return is_in(&BUILT_IN);
        }
        !self.changed.iter().any(|changed| {
            FOLLOWERS.iter().any(|(of, followers)| of.iter().any(|of| of.path == changed.path) && is_in(followers))
        })
    }
}

/// Derived values that a part does not change: the load for which a tyre's coefficients hold, and the speed for which a turbine's time does.
static BUILT_IN: [&Key; 3] = [&keys::FRONT_NOMINAL_LOAD, &keys::REAR_NOMINAL_LOAD, &keys::SPOOL_AT];

/// Estimates that a change of one of the keys carries along, by their rules.
static FOLLOWERS: [(&[&Key], &[&Key]); 14] = [
    // Another tyre is another rubber.
    (&[&keys::TYRE_GRADE], &[&keys::PEAK_FRICTION, &keys::PEAK_SLIP, &keys::SLIP_STIFFNESS, &keys::ROLLING_RESISTANCE]),
    // Another size is another wheel.
    (
        &[&keys::TYRE_SIZE, &keys::FRONT_SIZE, &keys::REAR_SIZE],
        &[&keys::FRONT_WHEEL_INERTIA, &keys::REAR_WHEEL_INERTIA],
    ),
    // The propshaft turns faster.
    (&[&keys::FINAL_DRIVE], &[&keys::FINAL_INERTIA]),
    (&[&keys::REDLINE], &[&keys::LIMITER, &keys::LIMITER_RESUME, &keys::REDLINE_POWER_SHARE]),
    (&[&keys::PEAK_POWER_AT], &[&keys::REDLINE_POWER_SHARE]),
    (&[&keys::LIMITER], &[&keys::LIMITER_RESUME]),
    (&[&keys::IDLE], &[&keys::STALL]),
    // Torque before boost is the displacement's, so it is a smaller share of a larger peak.
    (&[&keys::PEAK_TORQUE, &keys::TORQUE_CURVE, &keys::DISPLACEMENT], &[&keys::OFF_BOOST_SHARE]),
    (&[&keys::DISPLACEMENT], &[&keys::MOTORING_CONSTANT, &keys::MOTORING_LINEAR, &keys::MOTORING_QUADRATIC]),
    (&[&keys::ASPIRATION], &[&keys::AIR_CORRECTION_SHARE, &keys::IDLE_TORQUE_SHARE, &keys::PLATEAU_SHARE]),
    (&[&keys::CLUTCH_RADIUS], &[&keys::FACE_CAPACITY, &keys::MASS_CAPACITY, &keys::FACE_TO_MASS]),
    (&[&keys::FADE_START], &[&keys::CLUTCH_HARM]),
    (&[&keys::WIDTH, &keys::HEIGHT], &[&keys::FRONTAL_AREA]),
    (&[&keys::HEIGHT], &[&keys::CG_HEIGHT]),
];
