//! Starts at the limit of friction: a rigid car without rotating inertia, on tyres with one friction coefficient.
//!
//! Statics of a car that accelerates (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapters 1 and 2;
//! J. Y. Wong, Theory of Ground Vehicles, chapter 3), recomputed. With friction 1, height 0.53 m and wheelbase 2.60 m:
//! 60 % on the front axle gives 0.498 with front and 0.502 with rear drive, 50 % gives 0.415 and 0.628.

/// Where the weight is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// Share of weight on the front axle, standing on the level.
    pub front_share: f64,
    /// Height of the centre of gravity, m.
    pub height_m: f64,
    /// Wheelbase, m.
    pub wheelbase_m: f64,
}

impl Stance {
    fn slope(&self) -> f64 {
        self.height_m / self.wheelbase_m
    }

    /// Largest acceleration of a front-drive car over gravity.
    #[must_use]
    pub fn front_drive(&self, friction: f64) -> f64 {
        friction * self.front_share / (1.0 + friction * self.slope())
    }

    /// Largest acceleration of a rear-drive car over gravity, while its front wheels stay down.
    #[must_use]
    pub fn rear_drive(&self, friction: f64) -> f64 {
        friction * (1.0 - self.front_share) / (1.0 - friction * self.slope())
    }

    /// Acceleration over gravity at which the front wheels carry nothing: `f L/h`.
    #[must_use]
    pub fn wheel_lift(&self) -> f64 {
        self.front_share / self.slope()
    }
}

/// Largest acceleration over gravity with all wheels driven, up a slope (rise over run): `μ cos α - sin α`.
#[must_use]
pub fn all_wheel_drive(friction: f64, rise_per_run: f64) -> f64 {
    let angle = rise_per_run.atan();
    friction * angle.cos() - angle.sin()
}
