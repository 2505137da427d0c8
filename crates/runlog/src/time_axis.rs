//! Makes time rise: repeated, missing and backward stamps are mended where that is safe, and counted.

use crate::channel::Channel;
use crate::clock::{Origin, Stamp};
use crate::log::{Gap, Note, Row};
use crate::rate::Rate;

const DAY_S: f64 = 86_400.0;
/// A stamp that goes back by no more is a row out of order; by more, a new recording.
const OUT_OF_ORDER_S: f64 = 2.0;
/// Rows under one stamp that are still taken for a coarse clock.
const MOST_UNDER_ONE_STAMP: usize = 5000;
/// Gaps that are kept to be named.
const GAPS_KEPT: usize = 50;
/// Steps from which the rate is told.
const STEPS_KEPT: usize = 4096;
/// A step is a gap if it is so many times the usual one, and longer than `SHORTEST_GAP_S`.
const GAP_STEPS: f64 = 3.5;
const SHORTEST_GAP_S: f64 = 0.15;
/// Stamps of an epoch or a date are told from the log's first row on.
const FAR_S: f64 = 1e7;

/// What comes out of the axis.
pub(crate) enum Out {
    Row(Row),
    /// The clock began anew: what follows is another recording.
    Restart,
}

/// Why the stamps make no time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Broken {
    /// Thousands of rows have the same stamp.
    Stuck { line: u64 },
    /// Stamps go back again and again.
    Backward { times: u64, of: u64, first_line: u64 },
}

#[derive(Default)]
pub(crate) struct TimeAxis {
    pending: Vec<Row>,
    zero_s: Option<f64>,
    days_s: f64,
    last_out_s: f64,
    steps_s: Vec<f64>,
    usual_s: Option<f64>,
    groups: u64,
    shared_groups: u64,
    fractional: bool,
    pub rows: u64,
    pub span_s: f64,
    pub gaps: Vec<Gap>,
    gap_count: u64,
    longest_gap: Option<Gap>,
    missing: Count,
    backward: Count,
    restarts: Count,
    repeated: Count,
    clashing: Count,
    spread: Count,
}

/// How often something happened, and where first.
#[derive(Default, Clone, Copy)]
pub(crate) struct Count {
    pub times: u64,
    pub first_line: u64,
}

impl Count {
    pub(crate) fn add(&mut self, line: u64) {
        if self.times == 0 {
            self.first_line = line;
        }
        self.times += 1;
    }
}

impl TimeAxis {
    /// Takes a row with its stamp, or without one.
    pub(crate) fn push(&mut self, mut row: Row, stamp: Option<Stamp>, out: &mut dyn FnMut(Out)) -> Result<(), Broken> {
        let Some(stamp) = stamp else {
            self.missing.add(row.line);
            return Ok(());
        };
        let counts_from_far = stamp.origin == Origin::Midnight || stamp.seconds.abs() > FAR_S;
        let zero_s = *self.zero_s.get_or_insert(if counts_from_far { stamp.seconds } else { 0.0 });
        let mut time_s = stamp.seconds - zero_s + self.days_s;
        self.fractional |= stamp.seconds.fract() != 0.0;
        let Some(pending_s) = self.pending.first().map(Row::time_s) else {
            row.set(Channel::Time, time_s);
            self.pending.push(row);
            return Ok(());
        };
        if stamp.origin == Origin::Midnight && pending_s - time_s > DAY_S / 2.0 {
            self.days_s += DAY_S;
            time_s += DAY_S;
        }
        row.set(Channel::Time, time_s);
        let step_s = time_s - pending_s;
        if step_s == 0.0 {
            if self.pending.len() >= MOST_UNDER_ONE_STAMP {
                return Err(Broken::Stuck { line: row.line });
            }
            self.pending.push(row);
        } else if step_s > 0.0 {
            self.flush(Some(time_s), out);
            self.pending.push(row);
        } else if -step_s <= OUT_OF_ORDER_S {
            self.backward.add(row.line);
        } else {
            self.restarts.add(row.line);
            self.flush(None, out);
            out(Out::Restart);
            self.pending.push(row);
            self.last_out_s = f64::NAN;
        }
        self.check(row.line)
    }

    fn check(&self, line: u64) -> Result<(), Broken> {
        let times = self.backward.times + self.restarts.times;
        let of = self.rows + self.backward.times + 1;
        if times > 20 && 10 * times > of {
            let first = [self.backward, self.restarts].iter().filter(|c| c.times > 0).map(|c| c.first_line).min();
            return Err(Broken::Backward { times, of, first_line: first.unwrap_or(line) });
        }
        Ok(())
    }

    /// Hands on the rows under the pending stamp; `next_s` is the stamp that follows.
    fn flush(&mut self, next_s: Option<f64>, out: &mut dyn FnMut(Out)) {
        let mut group = core::mem::take(&mut self.pending);
        self.groups += 1;
        if group.len() > 1 {
            self.shared_groups += 1;
            if complementary(&group) {
                let merged = merge(&group);
                group.clear();
                group.push(merged);
            } else if group.windows(2).all(|w| same_values(&w[0], &w[1])) {
                group[1..].iter().for_each(|row| self.repeated.add(row.line));
                group.truncate(1);
            } else if self.is_coarse() {
                self.spread.add(group[0].line);
                let until_s = next_s.filter(|s| s - group[0].time_s() < 1.5).unwrap_or(group[0].time_s() + 1.0);
                let (from_s, count) = (group[0].time_s(), group.len() as f64);
                for (i, row) in group.iter_mut().enumerate() {
                    row.set(Channel::Time, from_s + (until_s - from_s) * i as f64 / count);
                }
            } else {
                group[1..].iter().for_each(|row| self.clashing.add(row.line));
                group.truncate(1);
            }
        }
        for row in group.drain(..) {
            self.emit(row, out);
        }
        self.pending = group;
    }

    /// Whether several rows share a stamp because the clock is coarse, not by accident.
    fn is_coarse(&self) -> bool {
        !self.fractional || 10 * self.shared_groups > 3 * self.groups
    }

    fn emit(&mut self, row: Row, out: &mut dyn FnMut(Out)) {
        let step_s = row.time_s() - self.last_out_s;
        if self.rows > 0 && step_s > 0.0 {
            self.span_s += step_s;
            if self.steps_s.len() < STEPS_KEPT {
                self.steps_s.push(step_s);
                if self.steps_s.len() % 64 == 32 {
                    self.usual_s = Rate::of_steps(&self.steps_s).map(|r| r.period_s);
                }
            }
            if self.usual_s.is_some_and(|usual_s| step_s > GAP_STEPS * usual_s && step_s > SHORTEST_GAP_S) {
                let gap = Gap { line: row.line, from_s: self.last_out_s, to_s: row.time_s() };
                self.gap_count += 1;
                if self.gaps.len() < GAPS_KEPT {
                    self.gaps.push(gap);
                }
                if self.longest_gap.is_none_or(|l| l.to_s - l.from_s < step_s) {
                    self.longest_gap = Some(gap);
                }
            }
        }
        self.rows += 1;
        self.last_out_s = row.time_s();
        out(Out::Row(row));
    }

    /// Hands on what is pending at the end of the file.
    pub(crate) fn finish(&mut self, out: &mut dyn FnMut(Out)) -> Result<(), Broken> {
        if !self.pending.is_empty() {
            self.flush(None, out);
        }
        let backward = self.backward.times;
        if backward > 2 && 10 * backward > self.rows + backward {
            return Err(Broken::Backward {
                times: backward,
                of: self.rows + backward,
                first_line: self.backward.first_line,
            });
        }
        Ok(())
    }

    pub(crate) fn rate(&self) -> Option<Rate> {
        Rate::of_steps(&self.steps_s)
    }

    /// What was found and done.
    pub(crate) fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        let mut note = |count: Count, what: &dyn Fn(u64) -> String| {
            if count.times > 0 {
                notes.push(Note { line: Some(count.first_line), what: what(count.times) });
            }
        };
        note(self.missing, &|n| format!("{n} rows have no time and are left out, the first here"));
        note(self.backward, &|n| format!("time goes back a little in {n} rows, which are left out, the first here"));
        note(self.restarts, &|n| {
            format!("the clock starts anew {n} times, the first here: each is read as a recording of its own")
        });
        note(self.repeated, &|n| {
            format!("{n} rows repeat the row before, time and all, and are left out, the first here")
        });
        note(self.clashing, &|n| {
            format!("{n} rows have the time of the row before but other values, and are left out, the first here")
        });
        note(self.spread, &|n| {
            format!(
                "the clock is coarser than the rows: the rows under one stamp are spread evenly ({n} stamps, the first here)"
            )
        });
        if let Some(gap) = self.longest_gap {
            let longest_s = gap.to_s - gap.from_s;
            let what = if self.gap_count == 1 {
                format!("the log has a gap of {longest_s:.2} s that ends here")
            } else {
                format!("the log has {} gaps, the longest of {longest_s:.2} s ends here", self.gap_count)
            };
            notes.push(Note { line: Some(gap.line), what });
        }
        notes
    }
}

fn same_values(a: &Row, b: &Row) -> bool {
    a.values.iter().zip(&b.values).all(|(x, y)| x == y || x.is_nan() && y.is_nan())
}

/// Whether no channel has a value in more than one of the rows: they are parts of one.
fn complementary(group: &[Row]) -> bool {
    let channels = Channel::ALL.into_iter().filter(|c| *c != Channel::Time);
    channels.into_iter().all(|c| group.iter().filter(|r| r.get(c).is_finite()).count() <= 1)
}

fn merge(group: &[Row]) -> Row {
    let mut merged = group[0];
    for row in &group[1..] {
        for (into, from) in merged.values.iter_mut().zip(&row.values) {
            if into.is_nan() {
                *into = *from;
            }
        }
    }
    merged
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(stamps: &[(f64, f64)], origin: Origin) -> (Vec<f64>, TimeAxis, Result<(), Broken>) {
        let mut axis = TimeAxis::default();
        let mut times = Vec::new();
        let mut out = |o: Out| {
            if let Out::Row(row) = o {
                times.push(row.time_s());
            }
        };
        let mut ended = Ok(());
        for (i, (seconds, speed)) in stamps.iter().enumerate() {
            let mut row = Row::empty(i as u64 + 1);
            row.set(Channel::Speed, *speed);
            ended = ended.and(axis.push(row, Some(Stamp { seconds: *seconds, origin }), &mut out));
        }
        ended = ended.and(axis.finish(&mut out));
        (times, axis, ended)
    }

    #[test]
    fn a_row_that_is_repeated_counts_once() {
        let (times, axis, _) = run(&[(0.1, 1.0), (0.2, 2.0), (0.2, 2.0), (0.3, 3.0)], Origin::Any);
        assert_eq!(times, [0.1, 0.2, 0.3]);
        assert!(axis.notes().iter().any(|n| n.line == Some(3) && n.what.contains("repeat")));
    }

    #[test]
    fn rows_under_a_coarse_clock_are_spread() {
        let stamps: Vec<(f64, f64)> = (0..20).map(|i| (f64::from(i / 5), f64::from(i))).collect();
        let (times, _, _) = run(&stamps, Origin::Any);
        for (i, time_s) in times.iter().enumerate() {
            assert!((time_s - 0.2 * i as f64).abs() < 1e-9, "{i}: {time_s}");
        }
    }

    #[test]
    fn midnight_is_passed() {
        let (times, _, _) = run(&[(86_398.0, 1.0), (86_399.0, 2.0), (0.0, 3.0), (1.0, 4.0)], Origin::Midnight);
        assert_eq!(times, [0.0, 1.0, 2.0, 3.0]);
    }

    #[test]
    fn a_row_out_of_order_is_left_out_and_named() {
        let (times, axis, ended) = run(&[(0.1, 1.0), (0.2, 2.0), (0.15, 2.0), (0.3, 3.0)], Origin::Any);
        assert_eq!(times, [0.1, 0.2, 0.3]);
        assert_eq!(ended, Ok(()));
        assert!(axis.notes().iter().any(|n| n.line == Some(3) && n.what.contains("goes back")));
    }

    #[test]
    fn time_that_runs_backwards_is_no_time() {
        let stamps: Vec<(f64, f64)> = (0..50).map(|i| (5.0 - 0.1 * f64::from(i), f64::from(i))).collect();
        assert!(matches!(run(&stamps, Origin::Any).2, Err(Broken::Backward { first_line: 2, .. })));
    }

    #[test]
    fn a_hole_is_named_with_its_length() {
        let mut stamps: Vec<(f64, f64)> = (0..100).map(|i| (0.1 * f64::from(i), f64::from(i))).collect();
        stamps.drain(60..80);
        let (_, axis, _) = run(&stamps, Origin::Any);
        assert_eq!(axis.gaps.len(), 1);
        assert!((axis.gaps[0].to_s - axis.gaps[0].from_s - 2.1).abs() < 1e-9);
    }
}
