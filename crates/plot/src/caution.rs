//! What every report says before anybody drives.

/// Cautions that hold for every run, most important first.
pub const CAUTIONS: [&str; 6] = [
    "Drive timed starts on a closed course only. Local law, the venue's rules and its officials come first, whatever this page says.",
    "A hard launch can break the driveline, without warning and on the first try: half-shafts, joints, differential, gearbox.",
    "It can burn the clutch and the tyres. Clutch, tyres and the parts around them get hot enough to burn skin; let them cool before you touch them.",
    "A prediction does not make it safe or legal. The numbers come from a model of the car and from inputs that are partly estimated; yours will differ.",
    "Have the car inspected by a qualified mechanic before you launch it hard, and again after.",
    "Keep people away from the car's path and from behind it, and leave room to stop at more than the speeds shown here.",
];
