//! The twelve-line sheet to fill in.

use crate::vehicle_keys as keys;

/// Text of a commented sheet with twelve values for an owner to overwrite.
#[must_use]
pub fn sheet_template() -> String {
    let lines = [
        (&keys::NAME, "What you call the car."),
        (&keys::MASS, "Kerb mass from the registration paper or a weighbridge: full tank, nobody in it."),
        (&keys::DRIVEN_AXLE, "\"front\", \"rear\" or \"all\"."),
        (&keys::PEAK_POWER, "As the maker rates it. hp is 745.7 W; write PS for metric horsepower, or kW."),
        (&keys::PEAK_POWER_AT, "The engine speed that goes with it."),
        (&keys::PEAK_TORQUE, "lbf·ft or N·m."),
        (&keys::PEAK_TORQUE_AT, "The engine speed that goes with it; the lowest if it is held over a range."),
        (&keys::REDLINE, "Where the red field of the rev counter begins."),
        (&keys::GEAR_RATIOS, "First gear first, without reverse."),
        (&keys::FINAL_DRIVE, "Also called axle ratio."),
        (&keys::TYRE_SIZE, "From the sidewall."),
        (&keys::ASPIRATION, "\"naturally aspirated\", \"turbocharged\" or \"supercharged\"."),
    ];
    let mut text = String::from(
        "#:schema ../schemas/vehicle.schema.json\n\
         # A car on one sheet. Overwrite the twelve values with your car's; all else is estimated, with a spread.\n\
         # `bitepoint check` on this file shows every estimate and its rule, and each can be given here instead:\n\
         # [engine] [clutch] [gearbox] [driveline] [tyres] [chassis].\n\n",
    );
    for (key, hint) in lines {
        text.push_str(&format!("# {hint}\n{} = {}\n\n", key.path, key.example));
    }
    text.push_str(
        "# Two more lines that help where you know them:\n\
         # model_year = 2004                         # what tyres, drag, gearbox and power rating were like\n\
         # known = \"0-60 mph = 7.1 s, rollout\"       # a result that you know, a road test's where no driver is named\n\n\
         # What you know better than an estimate goes below, for example:\n\
         # [chassis]\n\
         # cg_height = \"0.53 m\"\n\
         # [gearbox]\n\
         # shift_time = { value = \"0.40 s\", spread = \"0.05 s\" }\n",
    );
    text
}
