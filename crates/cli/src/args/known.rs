//! Results that are known of the car: the same for every command.

use clap::Args as ClapArgs;

/// What is known of the car besides its file.
#[derive(Debug, Clone, Default, ClapArgs)]
pub(crate) struct Known {
    /// A result known of this car or one like it, which all answers then take into account: "0-60 mph = 6.2 s, rollout", "quarter mile = 14.7 s
    /// ± 0.2 s, keen", "quarter mile = 95 mph" (trap speed); by a road tester where no driver is named; repeat for more
    #[arg(long, value_name = "RESULT")]
    pub(crate) known: Vec<String>,
}
