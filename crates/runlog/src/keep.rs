//! Keeps what a log is read for, in bounded memory: all of it, or what lies around each departure.

use std::collections::VecDeque;

use crate::channel::Channel;
use crate::log::{Row, Stretch};
use crate::read::Keep;

/// Kept before the car was last slow, s.
const BEFORE_S: f64 = 10.0;
/// Kept once the car is slow again, s.
const AFTER_S: f64 = 3.0;
/// Time for which the speed may fail to reach a new height before a run is over, s.
const NO_FASTER_S: f64 = 10.0;
/// Longest run, s.
pub(crate) const LONGEST_S: f64 = 120.0;
/// Longest crawl between standing and driving that is remembered, s.
const LONGEST_CRAWL_S: f64 = 60.0;
/// What lies beyond a longer hole in the rows is told by itself, s.
pub(crate) const LONGEST_GAP_S: f64 = 10.0;
/// Under this a car may be standing, whatever the noise, m/s.
const SLOW_MPS: f64 = 1.5;
/// Over this it drives, m/s.
const GONE_MPS: f64 = 2.5;
/// Most rows that are waited on before a departure.
const MOST_WAITING: usize = 100_000;

enum State {
    /// The car has not been slow since the last departure.
    Driving,
    /// It was slow at this time, s.
    Slow { last_s: f64 },
    /// It departed; the rows of the run so far.
    Away { from_s: f64, fastest_mps: f64, fastest_s: f64, slow_since_s: Option<f64>, rows: Vec<Row> },
}

pub(crate) struct Keeper {
    keep: Keep,
    recording: u32,
    waiting: VecDeque<Row>,
    state: State,
    kept_rows: usize,
    pub stretches: Vec<Stretch>,
    /// Departures that were not kept for want of room.
    pub left_out: u64,
    pub largest_share: [f64; 2],
}

impl Keeper {
    pub(crate) fn new(keep: Keep) -> Self {
        Self {
            keep,
            recording: 0,
            waiting: VecDeque::new(),
            state: State::Driving,
            kept_rows: 0,
            stretches: Vec::new(),
            left_out: 0,
            largest_share: [0.0; 2],
        }
    }

    pub(crate) fn push(&mut self, row: Row) {
        for (largest, channel) in self.largest_share.iter_mut().zip([Channel::Throttle, Channel::Clutch]) {
            *largest = largest.max(row.get(channel));
        }
        if let Keep::Everything { most_rows } = self.keep {
            if self.kept_rows < most_rows {
                self.waiting.push_back(row);
                self.kept_rows += 1;
            } else {
                self.left_out += 1;
            }
            return;
        }
        self.follow(row);
    }

    fn follow(&mut self, row: Row) {
        let (now_s, speed_mps) = (row.time_s(), row.get(Channel::Speed));
        if self.waiting.back().is_some_and(|last| now_s - last.time_s() > LONGEST_GAP_S) {
            self.close();
            self.state = State::Driving;
            self.waiting.clear();
        }
        let slow = speed_mps < SLOW_MPS;
        self.waiting.push_back(row);
        match &mut self.state {
            State::Driving => {
                if slow {
                    self.state = State::Slow { last_s: now_s };
                }
            }
            State::Slow { last_s } => {
                if slow {
                    *last_s = now_s;
                } else if speed_mps > GONE_MPS {
                    let from_s = *last_s - BEFORE_S;
                    let rows = self.waiting.iter().filter(|r| r.time_s() >= from_s).copied().collect();
                    self.state = State::Away {
                        from_s: now_s,
                        fastest_mps: speed_mps,
                        fastest_s: now_s,
                        slow_since_s: None,
                        rows,
                    };
                }
            }
            State::Away { from_s, fastest_mps, fastest_s, slow_since_s, rows } => {
                rows.push(row);
                if slow {
                    slow_since_s.get_or_insert(now_s);
                } else if speed_mps > GONE_MPS {
                    *slow_since_s = None;
                }
                if speed_mps > 1.01 * *fastest_mps {
                    (*fastest_mps, *fastest_s) = (speed_mps, now_s);
                }
                let stands = slow_since_s.is_some_and(|since_s| now_s - since_s > AFTER_S);
                let over = now_s - *fastest_s > NO_FASTER_S || now_s - *from_s > LONGEST_S;
                if stands || over || rows.len() >= Keep::MOST_ROWS_OF_A_RUN {
                    self.close();
                    if slow {
                        self.state = State::Slow { last_s: now_s };
                    }
                }
            }
        }
        self.forget(now_s);
    }

    fn forget(&mut self, now_s: f64) {
        let keep_from_s = match self.state {
            State::Slow { last_s } => last_s.max(now_s - LONGEST_CRAWL_S) - BEFORE_S,
            State::Driving | State::Away { .. } => now_s - BEFORE_S,
        };
        while self.waiting.len() > MOST_WAITING || self.waiting.front().is_some_and(|r| r.time_s() < keep_from_s) {
            self.waiting.pop_front();
        }
    }

    fn close(&mut self) {
        if let State::Away { rows, .. } = core::mem::replace(&mut self.state, State::Driving) {
            if self.kept_rows + rows.len() > Keep::MOST_ROWS_OF_STARTS {
                self.left_out += 1;
                return;
            }
            self.kept_rows += rows.len();
            self.stretches.push(Stretch::from_rows(self.recording, rows.iter()));
        }
    }

    /// Ends a recording: the log's end, or a clock that starts anew.
    pub(crate) fn end_recording(&mut self) {
        if matches!(self.keep, Keep::Everything { .. }) && !self.waiting.is_empty() {
            self.stretches.push(Stretch::from_rows(self.recording, self.waiting.iter()));
        }
        self.close();
        self.waiting.clear();
        self.state = State::Driving;
        self.recording += 1;
    }
}
