//! Takes given values where there are any and estimates where not, and moves each by its spread.

use crate::belief::Belief;
use crate::entry::{Entry, Origin};
use crate::given::{Givens, Moved, Spread, Value};
use crate::key::{Key, Kind};
use crate::part::{Fitting, Held, own_spread};
use crate::rules::{Rule, Ruled, Rules, clipped};
use crate::tyre_size::TyreSize;

/// An estimated value: how much, how sure, by which rule, whose rule.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Estimate {
    value: f64,
    spread: Spread,
    rule: &'static str,
    origin: Origin,
    /// What its errors have in common with those of other cars and other values.
    ruled: Option<Ruled>,
}

impl Estimate {
    pub(crate) fn new(value: f64, spread: Spread, rule: &'static str, origin: Origin) -> Self {
        Self { value, spread, rule, origin, ruled: None }
    }

    /// Common practice.
    pub(crate) fn practice(value: f64, spread: Spread, rule: &'static str) -> Self {
        Self::new(value, spread, rule, Origin::CommonPractice)
    }

    /// From memory.
    pub(crate) fn memory(value: f64, spread: Spread, rule: &'static str) -> Self {
        Self::new(value, spread, rule, Origin::FromMemory)
    }

    /// By numbers of the table of rules; `spread` is that of single cars about the rule.
    pub(crate) fn ruled(ruled: Ruled, spread: Spread, rule: &'static str, rules: &'static Rules) -> Self {
        Self { ruled: Some(ruled), ..Self::new(ruled.value, spread, rule, ruled.origin(rules)) }
    }

    /// Follows from other values; what those do not know is in their spreads.
    pub(crate) fn derived(value: f64, rule: &'static str) -> Self {
        Self::new(value, Spread::None, rule, Origin::Derived)
    }
}

/// Which numbers a car is estimated by, and whether their errors are told apart from those of single cars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RulesOf {
    pub(crate) numbers: &'static Rules,
    pub(crate) folded: bool,
}

impl RulesOf {
    /// The program's own numbers.
    pub(crate) fn built_in() -> Self {
        Self { numbers: Rules::built_in(), folded: false }
    }

    /// For values that no rule of the table is about, those of a day: no number need be moved in each draw.
    pub(crate) fn unused() -> Self {
        Self { folded: true, ..Self::built_in() }
    }
}

/// One pass over all values of a file.
pub(crate) struct Resolver<'a> {
    pub(crate) given: &'a Givens,
    rules: &'static Rules,
    /// By how much each number of the rules is off; nothing for the numbers as they stand.
    rules_off: Option<Vec<f64>>,
    /// Whether what the numbers of the rules leave open is told with each value, as if it were the value's own.
    folded: bool,
    /// Rules that some value was estimated by, where entries are recorded.
    used: Vec<Rule>,
    /// Standard normal of each key; nothing for the values as they stand.
    normal: Option<&'a dyn Fn(&str) -> f64>,
    /// What is known of this car besides its file; its deviates are `normal`'s already.
    belief: Option<&'a Belief>,
    /// Filled only when somebody wants to read it: thousands of passes do not.
    entries: Option<Vec<Entry>>,
    /// What parts did to the file, and the values of the car without them that they leave as they are.
    fitted: Option<(&'a Fitting, &'a Held)>,
    /// Filled only for a car that parts are fitted to.
    noted: Option<Held>,
}

impl<'a> Resolver<'a> {
    /// Values as they stand.
    pub(crate) fn new(given: &'a Givens, rules: RulesOf) -> Self {
        Self {
            given,
            rules: rules.numbers,
            rules_off: None,
            folded: rules.folded,
            used: Vec::new(),
            normal: None,
            belief: None,
            entries: None,
            fitted: None,
            noted: None,
        }
    }

    /// The same, moved by these deviates, which are those of the belief if there is one.
    pub(crate) fn moved(self, normal: &'a dyn Fn(&str) -> f64, belief: Option<&'a Belief>) -> Self {
        let rules_off = match (self.folded, belief) {
            (false, _) => Some(self.rules.moved(normal)),
            // What is known of the car moves the rules' numbers too; what stays open of them is in the values' own spreads.
            (true, Some(belief)) => Some(self.rules.moved(&|name| belief.mean(name))),
            (true, None) => None,
        };
        Self { normal: Some(normal), rules_off, belief, ..self }
    }

    /// The same, writing down every value with its story.
    pub(crate) fn recording(self) -> Self {
        Self { entries: Some(Vec::new()), ..self }
    }

    /// The same, noting every value for the car with parts.
    pub(crate) fn noting(self) -> Self {
        Self { noted: Some(Held::default()), ..self }
    }

    pub(crate) fn with_parts(self, fitting: &'a Fitting, held: &'a Held) -> Self {
        Self { fitted: Some((fitting, held)), ..self }
    }

    pub(crate) fn into_noted(self) -> Held {
        self.noted.unwrap_or_default()
    }

    pub(crate) fn is_folded(&self) -> bool {
        self.folded
    }

    /// A number of the rules.
    pub(crate) fn rule(&self, rule: Rule) -> Ruled {
        let off = self.rules_off.as_ref().map_or(0.0, |off| off[rule.place()]);
        Ruled::of(rule, self.rules.number(rule).value + off)
    }

    /// An estimate by numbers of the rules; single cars lie about it by the scatter of `about`.
    pub(crate) fn by_rule(&self, ruled: Ruled, about: Rule, rule: &'static str) -> Estimate {
        Estimate::ruled(ruled, Spread::Absolute(self.rules.number(about).scatter), rule, self.rules)
    }

    /// The same, where the scatter is a share of the value.
    pub(crate) fn by_rule_in_shares(&self, ruled: Ruled, about: Rule, rule: &'static str) -> Estimate {
        Estimate::ruled(ruled, Spread::Relative(self.rules.number(about).scatter), rule, self.rules)
    }

    /// Numbers of the rules that some value was estimated by.
    pub(crate) fn used(&self) -> &[Rule] {
        &self.used
    }

    pub(crate) fn into_entries(self) -> Vec<Entry> {
        self.entries.unwrap_or_default()
    }

    /// A quantity: as given, else as estimated; moved by its spread and held within the key's range.
    pub(crate) fn number(&mut self, key: &'static Key, estimate: Estimate) -> f64 {
        let Kind::Quantity { low, high, .. } = key.kind else { return estimate.value };
        let given = self.given.get(key).and_then(|g| match g.value {
            Value::Number { si, spread } => Some((si, spread, g.line)),
            _ => None,
        });
        let held = match (given, self.fitted) {
            (None, Some((fitting, held))) if fitting.holds(key, estimate.origin) => held.number(key),
            _ => None,
        };
        let (si, spread) = given.map_or_else(
            || (held.unwrap_or_else(|| estimate.value.clamp(low, high)), estimate.spread),
            |(si, spread, _)| (si, spread),
        );
        let own = spread;
        let open = match estimate.ruled {
            Some(ruled) if given.is_none() && (self.folded || self.entries.is_some()) => {
                let slopes = ruled.slopes();
                if self.entries.is_some() {
                    self.used.extend(slopes.iter().map(|slope| slope.0));
                }
                self.rules.variance(&slopes)
            }
            _ => 0.0,
        };
        let whole = own.with_variance(open, si);
        let spread = if self.folded { whole } else { own };
        let moved = self.given.moved(key).unwrap_or(Moved::NOT);
        let drawn = match (self.normal, spread) {
            // A value that parts leave alone was drawn with the car without them.
            _ if held.is_some() => si,
            (None, _) | (_, Spread::None) => si,
            (Some(normal), _) => {
                let z = match self.fitted {
                    Some((fitting, _)) if fitting.sets(key) => normal(&own_spread(key.path)),
                    _ => normal(key.path),
                };
                spread.moved(si, clipped(z)).clamp(low, high)
            }
        };
        let base = si;
        let si = moved.of(drawn).clamp(low, high);
        if self.entries.is_some() {
            let (rule, origin) = if given.is_some() { ("", Origin::Given) } else { (estimate.rule, estimate.origin) };
            // What is known of this car makes its own errors smaller; those of the rules are taken as they were.
            let surer = self.belief.map_or(1.0, |belief| belief.sd(key.path));
            let sd_si = (whole.sd_si(base).powi(2) - (1.0 - surer * surer) * own.sd_si(base).powi(2)).max(0.0).sqrt();
            let line = given.map(|g| g.2);
            self.record(key, Value::Number { si, spread }, rule, origin, moved.factor.abs() * sd_si, line);
        }
        if let Some(noted) = &mut self.noted {
            noted.note_number(key, si);
        }
        si
    }

    /// A quantity that there need not be.
    pub(crate) fn optional_number(&mut self, key: &'static Key) -> Option<f64> {
        let si = self.given.number(key)?;
        Some(self.number(key, Estimate::derived(si, "")))
    }

    /// One of a few words.
    pub(crate) fn choice(
        &mut self,
        key: &'static Key,
        otherwise: &'static str,
        rule: &'static str,
        origin: Origin,
    ) -> &'static str {
        let held = self.fitted.and_then(|(_, held)| held.word(key));
        let word = self.given.choice(key).or(held).unwrap_or(otherwise);
        if let Some(noted) = &mut self.noted {
            noted.note_word(key, word);
        }
        self.record_plain(key, || Value::Choice(word), rule, origin);
        word
    }

    pub(crate) fn flag(&mut self, key: &'static Key, otherwise: bool, rule: &'static str) -> bool {
        let flag = self.given.flag(key).unwrap_or(otherwise);
        self.record_plain(key, || Value::Flag(flag), rule, Origin::CommonPractice);
        flag
    }

    pub(crate) fn size(&mut self, key: &'static Key, otherwise: TyreSize, rule: &'static str) -> TyreSize {
        let size = self.given.size(key).unwrap_or(otherwise);
        self.record_plain(key, || Value::Size(size), rule, Origin::Derived);
        size
    }

    /// Writes down a text, list or curve that the caller took from the file or made by `rule`.
    pub(crate) fn record_plain(
        &mut self,
        key: &'static Key,
        value: impl FnOnce() -> Value,
        rule: &'static str,
        origin: Origin,
    ) {
        if self.entries.is_none() {
            return;
        }
        let line = self.given.get(key).map(|g| g.line);
        let (rule, origin) = if line.is_some() { ("", Origin::Given) } else { (rule, origin) };
        self.record(key, value(), rule, origin, 0.0, line);
    }

    fn record(
        &mut self,
        key: &'static Key,
        value: Value,
        rule: &'static str,
        origin: Origin,
        spread_sd_si: f64,
        line: Option<u32>,
    ) {
        if let Some(entries) = &mut self.entries {
            entries.push(Entry { key, value, rule, origin, spread_sd_si, line });
        }
    }
}
