//! A launch as a driver would describe it to another: the one place that puts a launch into words.
//!
//! Plan, run, compare, sweep and review all use [`Described`], so that one launch reads the same everywhere.

use bitepoint_physics::run::{Run, Sample};
use bitepoint_runner::launch::{Launch, OPEN_S};
use bitepoint_runner::plan::Decision;

use crate::format::{ENGINE_SPEED, SHARE, SPAN, Scale, Units};

/// A time that a person can hit, s.
const DOABLE: Scale = SPAN.decimals(1);
/// Kept revs that are no further below held revs are the held revs, rad/s (300 rpm, and half of one for rounding).
const CLOSE_RADPS: f64 = 300.5 * core::f64::consts::PI / 30.0;
/// A clutch that is fully engaged this soon after the car moves is not slipped, s.
const SMARTLY_S: f64 = 0.3;
/// A pedal that comes up faster than this is dropped, s.
const DROPPED_S: f64 = 0.2;
/// A throttle that begins to open within this of the bite opens "as it bites", s.
const AT_BITE_S: f64 = 0.05;
/// A throttle that takes no longer than this goes straight down, s.
const STRAIGHT_DOWN_S: f64 = 0.35;
/// Wheelspin for which the throttle is held back for less than this is not worth a word, s.
const BRIEFLY_S: f64 = 0.2;

/// What is known of a launch, for words about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Described {
    /// The launch.
    pub launch: Launch,
    /// Whether the driver keeps the revs with the pedal; otherwise the pedal comes up regardless.
    pub keeps_revs: bool,
    /// Time from a part throttle to wide open, s.
    pub open_s: f64,
    /// When and how fast the car was when the clutch was fully engaged, s from first movement and m/s; nothing if it never was.
    pub engaged: Option<(f64, f64)>,
    /// Time for which the driver held back throttle for wheelspin, s.
    pub trimmed_s: f64,
    /// Least throttle while that was so, 0 to 1, if it is known.
    pub least_throttle: Option<f64>,
    /// Road speed at each shift, m/s.
    pub shifts_mps: Vec<f64>,
    /// Road speed at the end of the run, m/s.
    pub final_mps: f64,
}

impl Described {
    /// A launch with its run; `samples` may be empty.
    #[must_use]
    pub fn new(driver: &bitepoint_physics::driver::Driver, run: &Run, samples: &[Sample]) -> Self {
        Self {
            launch: Launch::of(driver),
            keeps_revs: driver.clutch_feel.is_some(),
            open_s: driver.part_throttle.map_or(OPEN_S, |part| part.open_s),
            engaged: run.launch.clutch_home_s.zip(run.launch.clutch_home_mps),
            trimmed_s: run.launch.trimmed_s,
            least_throttle: least_throttle(samples, run.shifts.first().map_or(f64::INFINITY, |shift| shift.time_s)),
            shifts_mps: run.shifts.iter().map(|shift| shift.speed_mps).collect(),
            final_mps: run.final_speed_mps,
        }
    }

    /// The whole launch, a sentence for each thing to do.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        let mut sentences = vec![self.hold(), self.clutch(units), self.throttle(units)];
        sentences.extend(self.wheelspin());
        sentences.push(self.shifts(units));
        sentences
    }

    /// The launch in one paragraph.
    #[must_use]
    pub fn paragraph(&self, units: Units) -> String {
        self.sentences(units).join(" ")
    }

    /// Its first line, for headings: "Hold 3000 rpm, slip the clutch until 12 mph".
    #[must_use]
    pub fn short(&self, units: Units) -> String {
        format!("Hold {}, {}", ENGINE_SPEED.text(self.launch.held_radps), self.clutch_short(units))
    }

    /// "Hold 3000 rpm."
    #[must_use]
    pub fn hold(&self) -> String {
        format!("Hold {}.", ENGINE_SPEED.text(self.launch.held_radps))
    }

    /// How the clutch comes in, in a few words.
    #[must_use]
    pub fn clutch_short(&self, units: Units) -> String {
        let speed = units.speed().decimals(0);
        match (self.engaged, self.keeps_revs) {
            (Some((s, _)), _) if s <= SMARTLY_S && self.launch.release_s < DROPPED_S => "drop the clutch".to_owned(),
            (Some((s, _)), _) if s <= SMARTLY_S => "let the clutch in smartly".to_owned(),
            (_, false) => format!("let the clutch in over {}", DOABLE.text(self.launch.release_s)),
            (Some((_, mps)), true) => format!("slip the clutch until {}", speed.text(mps)),
            (None, true) => "slip the clutch".to_owned(),
        }
    }

    /// How the clutch comes in.
    #[must_use]
    pub fn clutch(&self, units: Units) -> String {
        let speed = units.speed().decimals(0);
        let kept = if self.launch.held_radps - self.launch.kept_radps <= CLOSE_RADPS {
            format!("holding {}", ENGINE_SPEED.text(self.launch.held_radps))
        } else {
            format!("keeping {}", ENGINE_SPEED.text(self.launch.kept_radps))
        };
        match (self.engaged, self.keeps_revs) {
            (Some((s, _)), _) if s <= SMARTLY_S && self.launch.release_s < DROPPED_S => "Drop the clutch.".to_owned(),
            (Some((s, _)), _) if s <= SMARTLY_S => "Let the clutch in smartly.".to_owned(),
            (_, false) => format!("Let the clutch in over {}.", DOABLE.text(self.launch.release_s)),
            (Some((_, mps)), true) => {
                format!("Slip the clutch, {kept} until {}, then let it all the way out.", speed.text(mps))
            }
            (None, true) => format!("Slip the clutch, {kept}."),
        }
    }

    /// What the throttle does, and when.
    #[must_use]
    pub fn throttle(&self, units: Units) -> String {
        let launch = &self.launch;
        let (to, when) = (self.throttle_to(), self.throttle_when());
        let over = DOABLE.text(launch.throttle_ease_s);
        let first = if launch.throttle_ease_s <= STRAIGHT_DOWN_S {
            format!("Throttle to {to} {when}")
        } else if launch.throttle_lead_s.abs() < AT_BITE_S {
            format!("As it bites, squeeze the throttle to {to} over {over}")
        } else {
            format!("Squeeze the throttle to {to} over {over}, beginning {when}")
        };
        format!("{first}{}.", self.throttle_later(units))
    }

    /// The throttle on a card: what it goes to, large, and how, small.
    #[must_use]
    pub fn throttle_card(&self, units: Units) -> (String, String) {
        let large = if self.launch.holds_part_throttle() { self.throttle_to() } else { "To the floor".to_owned() };
        let when = self.throttle_when();
        let how = if self.launch.throttle_ease_s <= STRAIGHT_DOWN_S {
            when
        } else {
            format!("squeeze over {}, beginning {when}", DOABLE.text(self.launch.throttle_ease_s))
        };
        (large, format!("{how}{}", self.throttle_later(units)))
    }

    fn throttle_to(&self) -> String {
        if self.launch.holds_part_throttle() { SHARE.text(self.launch.part_throttle) } else { "the floor".to_owned() }
    }

    fn throttle_when(&self) -> String {
        let lead = self.launch.throttle_lead_s;
        if lead.abs() < AT_BITE_S {
            "as it bites".to_owned()
        } else if lead > 0.0 {
            format!("{} before it bites", DOABLE.text(lead))
        } else {
            format!("{} after it bites", DOABLE.text(-lead))
        }
    }

    /// How a part throttle is left; nothing without one.
    fn throttle_later(&self, units: Units) -> String {
        if !self.launch.holds_part_throttle() {
            return String::new();
        }
        if self.launch.part_until_mps >= self.final_mps {
            return "; stay there".to_owned();
        }
        let from = units.speed().decimals(0).text(self.launch.part_until_mps);
        format!("; from {from} feed in the rest over {}", DOABLE.text(self.open_s))
    }

    /// What the driver does about wheelspin; nothing if there is none worth a word.
    #[must_use]
    pub fn wheelspin(&self) -> Option<String> {
        if self.trimmed_s < BRIEFLY_S {
            return None;
        }
        let after = DOABLE.text(self.trimmed_s);
        let round = |throttle: f64| SHARE.text((20.0 * throttle).round() / 20.0);
        Some(match self.least_throttle.filter(|least| *least < 0.95) {
            Some(least) => format!(
                "Expect wheelspin for about {after}; ease the throttle to about {} and feed it back in.",
                round(least)
            ),
            None => format!("Expect wheelspin for about {after}; ease the throttle and feed it back in."),
        })
    }

    /// Where to shift: "1–2 at 6500 rpm (38 mph)."
    #[must_use]
    pub fn shifts(&self, units: Units) -> String {
        let each = self.each_shift(units);
        if each.is_empty() { "No shift.".to_owned() } else { format!("Shift {}.", each.join(", ")) }
    }

    /// Each shift: "1–2 at 6500 rpm (38 mph)".
    #[must_use]
    pub fn each_shift(&self, units: Units) -> Vec<String> {
        let speed = units.speed().decimals(0);
        let each = self.shifts_mps.iter().enumerate().map(|(gear, mps)| {
            let at = Decision::ShiftRevs(gear).of(&self.launch);
            format!("{}–{} at {} ({})", gear + 1, gear + 2, ENGINE_SPEED.text(at), speed.text(*mps))
        });
        each.collect()
    }
}

/// Least throttle after it was widest, before the first shift: how far a driver who trims it goes back. Nothing without samples.
fn least_throttle(samples: &[Sample], first_shift_s: f64) -> Option<f64> {
    let mut widest = 0.0;
    let mut least: Option<f64> = None;
    for sample in samples.iter().filter(|s| s.time_s > 0.0).take_while(|s| s.time_s < first_shift_s && s.gear == 1) {
        widest = sample.throttle.max(widest);
        if sample.throttle < widest {
            least = Some(least.map_or(sample.throttle, |least: f64| least.min(sample.throttle)));
        }
    }
    least
}

/// What would help a launch that stalls, bogs or does not arrive: how it differs from a recommended one, most telling first.
#[must_use]
pub fn what_helps(given: &Launch, recommended: &Launch) -> Vec<String> {
    let rpm = |radps: f64| ENGINE_SPEED.text(radps);
    let mut helps = Vec::new();
    let (held, better) = (given.held_radps, recommended.held_radps);
    if better > held + CLOSE_RADPS {
        helps.push(format!("hold more revs ({} instead of {})", rpm(better), rpm(held)));
    } else if better < held - CLOSE_RADPS {
        helps.push(format!("hold fewer revs ({} instead of {})", rpm(better), rpm(held)));
    }
    if recommended.kept_radps > given.kept_radps + CLOSE_RADPS {
        helps.push(format!("keep the revs at {} while the clutch slips", rpm(recommended.kept_radps)));
    }
    if recommended.release_s > given.release_s + 0.15 {
        helps.push(format!(
            "let the clutch in more slowly ({} instead of {})",
            DOABLE.text(recommended.release_s),
            DOABLE.text(given.release_s)
        ));
    } else if recommended.release_s < given.release_s - 0.5 {
        helps.push(format!(
            "let the clutch in sooner ({} instead of {})",
            DOABLE.text(recommended.release_s),
            DOABLE.text(given.release_s)
        ));
    }
    if recommended.throttle_lead_s - recommended.throttle_ease_s > given.throttle_lead_s - given.throttle_ease_s + 0.15
    {
        helps.push("open the throttle earlier".to_owned());
    }
    if recommended.part_throttle > given.part_throttle + 0.05 {
        helps.push("give it more throttle".to_owned());
    }
    helps
}

#[cfg(test)]
mod tests {
    use super::*;
    use bitepoint_physics::driver::ReleaseShape;

    const RPM: f64 = core::f64::consts::PI / 30.0;

    fn described() -> Described {
        Described {
            launch: Launch {
                held_radps: 3000.0 * RPM,
                kept_radps: 2500.0 * RPM,
                release_s: 0.6,
                release_shape: ReleaseShape::QuickToBite,
                throttle_ease_s: 0.3,
                throttle_lead_s: 0.0,
                part_throttle: 1.0,
                part_until_mps: 0.0,
                shift_at_radps: vec![6500.0 * RPM],
            },
            keeps_revs: true,
            open_s: 1.0,
            engaged: Some((0.9, 12.0 * 0.447_04)),
            trimmed_s: 0.0,
            least_throttle: None,
            shifts_mps: vec![38.0 * 0.447_04],
            final_mps: 26.8,
        }
    }

    fn plain(text: &str) -> String {
        text.replace('\u{a0}', " ")
    }

    #[test]
    fn a_slipped_launch_reads_as_a_driver_would_say_it() {
        assert_eq!(
            plain(&described().paragraph(Units::Us)),
            "Hold 3000 rpm. Slip the clutch, keeping 2500 rpm until 12 mph, then let it all the way out. Throttle to the floor as it \
             bites. Shift 1–2 at 6500 rpm (38 mph)."
        );
        assert_eq!(plain(&described().short(Units::Us)), "Hold 3000 rpm, slip the clutch until 12 mph");
    }

    #[test]
    fn revs_that_are_kept_near_those_held_are_the_same_revs() {
        let mut near = described();
        near.launch.kept_radps = 2700.0 * RPM;
        assert_eq!(
            plain(&near.clutch(Units::Us)),
            "Slip the clutch, holding 3000 rpm until 12 mph, then let it all the way out."
        );
    }

    #[test]
    fn a_quick_clutch_is_let_in_smartly_or_dropped() {
        let mut quick = described();
        quick.engaged = Some((0.2, 2.0));
        assert_eq!(quick.clutch(Units::Us), "Let the clutch in smartly.");
        quick.launch.release_s = 0.1;
        assert_eq!(quick.clutch(Units::Us), "Drop the clutch.");
    }

    #[test]
    fn a_part_throttle_beyond_the_finish_is_kept_to_the_end() {
        let mut part = described();
        part.launch = Launch { part_throttle: 0.7, part_until_mps: 10.0, throttle_ease_s: 0.8, ..part.launch };
        assert_eq!(
            plain(&part.throttle(Units::Us)),
            "As it bites, squeeze the throttle to 70 % over 0.8 s; from 22 mph feed in the rest over 1.0 s."
        );
        part.launch.part_until_mps = 40.0;
        part.launch.throttle_lead_s = -0.2;
        assert_eq!(
            plain(&part.throttle(Units::Us)),
            "Squeeze the throttle to 70 % over 0.8 s, beginning 0.2 s after it bites; stay there."
        );
    }

    #[test]
    fn wheelspin_says_how_far_to_ease_the_throttle() {
        let mut spins = described();
        assert_eq!(spins.wheelspin(), None);
        spins.trimmed_s = 1.24;
        spins.least_throttle = Some(0.684);
        assert_eq!(
            spins.wheelspin().map(|text| plain(&text)).as_deref(),
            Some("Expect wheelspin for about 1.2 s; ease the throttle to about 70 % and feed it back in.")
        );
    }

    #[test]
    fn what_helps_names_only_what_differs() {
        let good = described().launch;
        assert!(what_helps(&good, &good).is_empty());
        let poor = Launch {
            held_radps: 1500.0 * RPM,
            kept_radps: 1000.0 * RPM,
            release_s: 0.2,
            throttle_ease_s: 1.0,
            ..good.clone()
        };
        let helps = what_helps(&poor, &good);
        assert_eq!(helps.len(), 4, "{helps:?}");
        assert!(helps[0].starts_with("hold more revs") && helps[3] == "open the throttle earlier");
    }
}
