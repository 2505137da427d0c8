//! A comparison in sentences, for screen and page alike.

use bitepoint_runner::bands::Band;
use bitepoint_runner::compare::{Car, Influence, Money, Share, Verdict, Worth};

use bitepoint_runner::launch::{Launch, OPEN_S};

use super::report::CompareReport;
use crate::format::{ENERGY, MISSING, SHARE, SPAN, band, number};
use crate::launch::Described;

/// Growth from which more heat or torque is worth a word, as a share.
const WORTH_A_WORD: f64 = 0.05;
/// Share of the draws that must miss the target before it is worth a word.
const OFTEN_MISSED: f64 = 0.02;
/// Share of the variance that must be predicted for the inputs to be named.
const PREDICTED: f64 = 0.3;
/// Share of the variance from which an input is named.
const LEAST_SHARE: f64 = 0.02;

/// A difference of times with its sign and milliseconds, s.
#[must_use]
pub fn difference(seconds: f64) -> String {
    let text = number(seconds, 3);
    let signed = if seconds > 0.0 && text != "0.000" { format!("+{text}") } else { text };
    if signed == MISSING { signed } else { format!("{signed}\u{a0}s") }
}

/// From and to, s.
#[must_use]
pub fn span(band: Band) -> String {
    format!("{} to {}", difference(band.low_s).trim_end_matches("\u{a0}s"), difference(band.high_s))
}

/// An amount of money.
#[must_use]
pub fn money(price: Option<&Money>) -> String {
    price.map_or_else(
        || MISSING.to_owned(),
        |p| format!("{}\u{a0}{}", number(p.amount, if p.amount.fract() == 0.0 { 0 } else { 2 }), p.currency),
    )
}

/// What the car does as it is: as estimated, and over what is not known of it.
#[must_use]
pub fn base(report: &CompareReport) -> String {
    let base = &report.comparison.base;
    let mean = base.mean_s.zip(base.likely).map_or_else(String::new, |(mean_s, b)| {
        format!("; {} on average over what is not known (90 % (car): {})", SPAN.text(mean_s), band(b.low_s, b.high_s))
    });
    format!("{} to {}: {} as estimated{mean}", report.vehicle_name, report.gate(), SPAN.text(base.time_s))
}

/// A car's launch, to be put into words.
#[must_use]
pub fn described(car: &Car) -> Described {
    Described {
        launch: car.launch.clone(),
        keeps_revs: car.keeps_revs,
        open_s: OPEN_S,
        engaged: car.engaged_s.zip(car.engaged_mps),
        trimmed_s: car.trimmed_s,
        least_throttle: None,
        shifts_mps: car.shifts_mps.clone(),
        final_mps: car.final_mps,
    }
}

/// Whether a changed car is launched as the car as it is; its shift points may be its own.
#[must_use]
pub fn launched_as_base(base: &Car, car: &Car) -> bool {
    let shifted = Launch { shift_at_radps: base.launch.shift_at_radps.clone(), ..car.launch.clone() };
    shifted == base.launch
}

/// Which launch each car has: "as it is: hold …; Sticky tyres is clearly quicker with its own: hold …".
#[must_use]
pub fn launches(report: &CompareReport) -> String {
    let base = &report.comparison.base;
    let changed = report.ranked_changes().into_iter().chain(report.comparison.together.iter().map(|t| &t.worth));
    let own: Vec<String> = changed
        .filter_map(|worth| Some((worth, worth.car.as_ref()?)))
        .filter(|(_, car)| !launched_as_base(base, car))
        .map(|(worth, car)| format!("{} ({})", worth.label, lower(&described(car).short(report.units))))
        .collect();
    let recommended = described(base).paragraph(report.units);
    if own.is_empty() {
        return format!("every car as is recommended for the car as it is: {recommended}");
    }
    format!(
        "as is recommended for the car as it is: {recommended} Clearly quicker with a launch of their own: {}.",
        own.join(", ")
    )
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// The one sentence of the page.
#[must_use]
pub fn headline(report: &CompareReport) -> String {
    let best = report.ranked_changes().into_iter().find(|worth| worth.verdict == Verdict::Quicker);
    match best.and_then(|worth| Some((worth, worth.difference?))) {
        Some((worth, difference)) => {
            format!("{}: {} quicker to {}", worth.label, SPAN.text(-difference.mean_s), report.gate())
        }
        None => format!("Nothing here is certain to be quicker to {}", report.gate()),
    }
}

/// What is to be thought of one difference.
#[must_use]
pub fn verdict(worth: &Worth, driver_sd_s: f64) -> String {
    let Some(difference) = worth.difference else {
        return "does not get there".to_owned();
    };
    let size = SPAN.text(difference.mean_s.abs());
    let verdict = match worth.verdict {
        Verdict::Quicker => format!("{size} quicker"),
        Verdict::Slower => format!("{size} slower"),
        Verdict::Nothing => return "changes nothing".to_owned(),
        Verdict::DoesNotArrive => return "does not get there".to_owned(),
        Verdict::NotDistinguishable => "too small to distinguish from zero with what is known of the car".to_owned(),
    };
    match worth.starts_to_see {
        Some(count) if worth.within_driver_scatter => format!(
            "{verdict}; less than your own scatter of {} from start to start: {} timed starts of each to see it",
            SPAN.text(driver_sd_s),
            starts(count)
        ),
        _ => verdict,
    }
}

/// Changes by what is to be thought of them, each list in words: quicker, slower, too small to distinguish from zero.
#[must_use]
pub fn sorted(report: &CompareReport) -> Vec<(&'static str, String)> {
    let changes = report.ranked_changes();
    let of = |verdict: Verdict| -> Vec<&str> {
        changes.iter().filter(|c| c.verdict == verdict).map(|c| c.label.as_str()).collect()
    };
    let lists = [
        ("Quicker", of(Verdict::Quicker), "at least 95 % sure"),
        ("Slower", of(Verdict::Slower), "at least 95 % sure"),
        ("Unsure", of(Verdict::NotDistinguishable), "too small to distinguish from zero with what is known of the car"),
        ("Nothing", of(Verdict::Nothing), "no time changes at all"),
        ("Not there", of(Verdict::DoesNotArrive), "these cars do not arrive, or too seldom"),
    ];
    let shown = lists.into_iter().filter(|(_, labels, _)| !labels.is_empty());
    shown.map(|(head, labels, why)| (head, format!("{}: {why}", labels.join(", ")))).collect()
}

/// Changes that are worth less than the driver's own scatter; nothing if none is.
#[must_use]
pub fn within_scatter(report: &CompareReport) -> Option<String> {
    let small: Vec<String> = report
        .ranked_changes()
        .iter()
        .filter(|c| c.within_driver_scatter && c.verdict != Verdict::Nothing)
        .filter_map(|c| Some(format!("{} ({})", c.label, starts(c.starts_to_see?))))
        .collect();
    let sd = SPAN.text(report.comparison.driver.sd_s);
    (!small.is_empty()).then(|| {
        format!(
            "less than your own scatter of {sd}, with the timed starts of each car that it takes to see it: {}",
            small.join(", ")
        )
    })
}

fn starts(count: f64) -> String {
    if count > 999.0 { "thousands".to_owned() } else { number(count, 0) }
}

/// Side effects of a change.
#[must_use]
pub fn costs(report: &CompareReport, worth: &Worth) -> Vec<String> {
    let (Some(car), base) = (&worth.car, &report.comparison.base) else {
        return vec![format!("no launch of the changed car gets to {}", report.gate())];
    };
    let mut costs: Vec<String> = shifts(report, base, car).into_iter().collect();
    let temperature = report.units.temperature();
    let hotter = car.clutch_energy_j > (1.0 + WORTH_A_WORD) * base.clutch_energy_j;
    let fades = car.clutch_face_c >= car.clutch_fade_start_c;
    if hotter || (fades && base.clutch_face_c < base.clutch_fade_start_c) {
        let heat = format!(
            "{} of heat in the clutch instead of {}",
            ENERGY.text(car.clutch_energy_j),
            ENERGY.text(base.clutch_energy_j)
        );
        let face = temperature.text(car.clutch_face_c);
        costs.push(if car.clutch_face_c >= car.clutch_harm_c {
            format!(
                "{heat}; its face reaches {face} and is harmed for good from {}: do not launch like this",
                temperature.text(car.clutch_harm_c)
            )
        } else if fades {
            format!("{heat}; its face reaches {face} and fades from {}", temperature.text(car.clutch_fade_start_c))
        } else {
            heat
        });
    }
    let torque = report.units.torque();
    if car.shaft_torque_nm > (1.0 + WORTH_A_WORD) * base.shaft_torque_nm {
        costs.push(format!(
            "peak of {} in the half-shafts, {} more than in the car as it is",
            torque.text(car.shaft_torque_nm),
            SHARE.text(car.shaft_torque_nm / base.shaft_torque_nm - 1.0)
        ));
    }
    let draws = report.comparison.draws;
    if f64::from(car.not_arrived) > OFTEN_MISSED * f64::from(draws) {
        costs.push(format!("{} of {draws} simulated cars do not arrive at all", car.not_arrived));
    }
    costs
}

fn shifts(report: &CompareReport, base: &Car, car: &Car) -> Option<String> {
    let (before, now) = (base.shifts_mps.len(), car.shifts_mps.len());
    let speed = report.units.speed().decimals(0);
    let at: Vec<String> = car.shifts_mps.iter().map(|mps| speed.number(*mps)).collect();
    let where_at = if at.is_empty() { String::new() } else { format!(", at {} {}", at.join(" and "), speed.unit) };
    let many = |n: usize| if n == 1 { "one shift".to_owned() } else { format!("{n} shifts") };
    match now.cmp(&before) {
        core::cmp::Ordering::Greater => {
            Some(format!("{} more before {} ({now} instead of {before}{where_at})", many(now - before), report.gate()))
        }
        core::cmp::Ordering::Less => {
            Some(format!("{} less before {}: a gain, not a cost", many(before - now), report.gate()))
        }
        core::cmp::Ordering::Equal => None,
    }
}

/// Inputs that matter most to an influence, largest first; none if too little of the variance is predicted.
#[must_use]
pub fn main_shares(influence: &Influence, most: usize) -> Vec<&Share> {
    let enough = influence.foretold >= PREDICTED;
    influence.shares.iter().filter(|share| enough && share.total >= LEAST_SHARE).take(most).collect()
}

/// What to measure first, in a clause; nothing if no input stands out.
#[must_use]
pub fn measure_first(influence: Option<&Influence>) -> Option<String> {
    let shares = main_shares(influence?, 4);
    let named: Vec<String> = shares.iter().map(|s| format!("{} {}", s.key, SHARE.text(s.total))).collect();
    (!named.is_empty()).then(|| named.join(", "))
}

/// Sum of gains beside the gain of all at once.
#[must_use]
pub fn together(report: &CompareReport) -> Option<String> {
    let together = report.comparison.together.as_ref()?;
    let mean_s = together.worth.difference?.mean_s;
    Some(match together.sum_of_singles_s {
        Some(sum) => format!(
            "All together: {} ({}); added up one by one: {}.",
            difference(mean_s),
            span(together.worth.difference?.likely),
            difference(sum)
        ),
        None => format!("All together: {}.", difference(mean_s)),
    })
}

/// Unit of money in which gains are given: 1, 10, 100, 1000 … so that prices are some of them; and its currency.
#[must_use]
pub fn money_unit(report: &CompareReport, currency: &str) -> f64 {
    let amounts = report.comparison.changes.iter().filter_map(|c| c.price.as_ref());
    let most = amounts.filter(|p| p.currency == currency).map(|p| p.amount).fold(0.0, f64::max);
    if most > 0.0 { 10f64.powf(most.log10().round()) } else { 1.0 }
}

/// Currencies of the prices, in the order in which they come.
#[must_use]
pub fn currencies(report: &CompareReport) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for price in report.comparison.changes.iter().filter_map(|c| c.price.as_ref()) {
        if !found.contains(&price.currency) {
            found.push(price.currency.clone());
        }
    }
    found
}

/// That unit, with its currency.
#[must_use]
pub fn money_unit_text(report: &CompareReport, currency: &str) -> String {
    money(Some(&Money { amount: money_unit(report, currency), currency: currency.to_owned() }))
}

/// Seconds gained per unit of money, `alone` or with that unit; a dash without a price or a difference.
#[must_use]
pub fn gain(report: &CompareReport, worth: &Worth, alone: bool) -> String {
    match (&worth.price, worth.gain_per_money_s) {
        (Some(price), Some(gain_s)) if worth.verdict != Verdict::Nothing => {
            let gain = SPAN.text(gain_s * money_unit(report, &price.currency));
            if alone { gain } else { format!("{gain} per {}", money_unit_text(report, &price.currency)) }
        }
        _ => MISSING.to_owned(),
    }
}
