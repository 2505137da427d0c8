"""The driver and the switches of docs/model.md: what holds between two switches, and what each switch changes."""

import math

import model as m
from model import V, WE, WI, WP

QUICK_S = 0.08


class Line:
    """A straight change from one value at one time to another; constant before and after."""

    def __init__(self, start_s, start, end_s, end):
        self.start_s, self.start, self.end_s, self.end = start_s, start, end_s, end

    def __call__(self, t):
        if t <= self.start_s:
            return self.start
        if t >= self.end_s:
            return self.end
        return self.start + (self.end - self.start) * (t - self.start_s) / (self.end_s - self.start_s)

    def when(self, value):
        """Time at which it passes a value, if it does."""
        share = (value - self.start) / (self.end - self.start) if self.end != self.start else -1.0
        return self.start_s + share * (self.end_s - self.start_s) if 0.0 <= share <= 1.0 else math.inf

    def corners(self):
        return [self.start_s, self.end_s]


class Release:
    """The pedal of the start."""

    def __init__(self, driver, bite):
        self.shape, self.length_s, self.bite = driver["release_shape"], driver["release_s"], bite

    def __call__(self, t):
        s = min(max(t / self.length_s, 0.0), 1.0)
        if self.shape == "straight":
            return s
        if self.shape == "s_shaped":
            return s * s * (3.0 - 2.0 * s)
        if s <= 0.2:
            return self.bite * s / 0.2
        return self.bite + (1.0 - self.bite) * (s - 0.2) / 0.8

    def when(self, pedal):
        low, high = 0.0, self.length_s
        for _ in range(200):
            middle = 0.5 * (low + high)
            if self(middle) < pedal:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def corners(self):
        return [0.0, 0.2 * self.length_s, self.length_s]


class Mode:
    """What holds until the next switch."""

    def __init__(self, model):
        driver, clutch = model.day["driver"], model.car["clutch"]
        self.pedal = Release(driver, clutch["bite_point"])
        self.bite_s = self.pedal.when(clutch["bite_point"])
        self.floor_s = self.bite_s - driver["throttle_lead_s"]
        self.start_s = min(0.0, self.floor_s)
        self.hold = model.holding_throttle(driver["held_radps"], 0.0)
        part = driver["part_throttle"]
        self.part = part is not None
        to = part["held"] if self.part else 1.0
        self.program = Line(self.floor_s, self.hold, self.floor_s + driver["throttle_ease_s"], to)
        # What wheelspin leaves of the throttle.
        self.left = Line(0.0, 1.0, 0.0, 1.0)
        self.held, self.moved_s = True, None
        self.gear, self.engaged, self.synchroniser_nm = 0, True, 0.0
        self.locked, self.sign = False, 1.0
        self.fuel_cut, self.launching = False, model.car["engine"]["launch_limiter"] is not None
        self.shift, self.spin = None, "watching"
        # What is done later: (time, what).
        self.later = []

    def throttle(self, t):
        return min(self.program(t), self.left(t))

    def limiter(self, model):
        engine = model.car["engine"]
        return engine["launch_limiter"]["limiter"] if self.launching else engine["limiter"]

    def next_corner(self, t, clutch):
        """The next time at which pedal or throttle has a corner, or something is due."""
        times = [at for at, _ in self.later]
        for line in (self.pedal, self.program, self.left):
            times += line.corners()
        times += [self.pedal.when(clutch["bite_point"]), self.pedal.when(clutch["bite_point"] + clutch["working_band"])]
        return min((at for at in times if t + 1e-12 < at < math.inf), default=math.inf)


class Switches:
    """Which switches are watched for in a mode, and what each does."""

    def __init__(self, model, notes):
        self.model, self.notes = model, notes
        driver = model.day["driver"]
        self.driver, self.answer = driver, driver["wheelspin"]
        self.delayed = self.answer["response"] == "delayed"
        self.shift_at = driver["shift_at_radps"]

    def shift_speed(self, gear):
        return self.shift_at[min(gear, len(self.shift_at) - 1)]

    def awaits_shift(self):
        return self.model.mode.shift is None and self.model.mode.gear < len(self.model.ratios) - 1

    def shift_due(self, y, instant):
        """Above zero when the engine has the shift revs and they are not those of spinning tyres."""
        due = y[WI] - self.shift_speed(self.model.mode.gear)
        return min(due, -self.noticed(y, instant)[0]) if self.delayed else due

    def minds_spin(self):
        mode = self.model.mode
        return self.delayed and mode.spin == "watching" and mode.shift in (None, "reacting")

    def noticed(self, y, instant):
        """Slip speed beyond the noticed one, and beyond half of it."""
        threshold = self.answer["notice_slip"] * max(y[V], 3.0)
        return instant.slip_mps - threshold, instant.slip_mps - 0.5 * threshold

    def watched(self, at):
        """(function of t and y, direction, action) for the mode of the moment; `at(t, y)` is the cached instant."""
        mode, limiter = self.model.mode, self.model.mode.limiter(self.model)
        found = []
        if mode.held:
            if at.now >= mode.bite_s:
                found.append((lambda t, y: at(t, y).net_n, 1, self.moves))
        else:
            found.append((lambda t, y: y[V], -1, self.stops))
        if mode.locked:
            found.append((lambda t, y: at(t, y).capacity_nm - abs(at(t, y).clutch_nm), -1, self.lets_go))
        else:
            sign = mode.sign
            found.append((lambda t, y: sign * (y[WE] - y[WI]), -1, self.meets))
        if mode.fuel_cut:
            found.append((lambda t, y: y[WE] - limiter["resume_radps"], -1, self.resumes))
        else:
            found.append((lambda t, y: y[WE] - limiter["cut_radps"], 1, self.cuts))
        if mode.launching:
            until = self.model.car["engine"]["launch_limiter"]["until_mps"]
            found.append((lambda t, y: y[V] - until, 1, self.launched))
        found.append((lambda t, y: y[WE] - self.model.car["engine"]["stall_radps"], -1, self.stalls))
        if mode.part:
            found.append((lambda t, y: y[V] - self.driver["part_throttle"]["until_mps"], 1, self.opens))
        if self.awaits_shift():
            found.append((lambda t, y: self.shift_due(y, at(t, y)), 1, self.shift_point))
        if mode.shift == "synchronising":
            ratio, way = self.model.ratios[mode.gear], math.copysign(1.0, mode.synchroniser_nm)
            found.append((lambda t, y: way * (y[WI] - ratio * y[WP]), -1, self.engages))
        if self.minds_spin():
            found.append((lambda t, y: self.noticed(y, at(t, y))[0], 1, self.notices))
        if self.delayed and mode.spin == "lifted":
            found.append((lambda t, y: self.noticed(y, at(t, y))[1], -1, self.grips))
        return found

    def settle(self, t, y, instant):
        """Switches whose condition holds already, though nothing has crossed anything in this mode."""
        mode = self.model.mode
        if mode.held and instant.capacity_nm > 0.0 and instant.net_n > 0.0:
            self.moves(t, y, instant)
        elif mode.fuel_cut and y[WE] < mode.limiter(self.model)["resume_radps"]:
            self.resumes(t, y, instant)
        elif not mode.fuel_cut and y[WE] > mode.limiter(self.model)["cut_radps"]:
            self.cuts(t, y, instant)
        elif self.awaits_shift() and self.shift_due(y, instant) > 0.0:
            self.shift_point(t, y, instant)
        elif mode.part and y[V] > self.driver["part_throttle"]["until_mps"]:
            self.opens(t, y, instant)
        elif self.minds_spin() and self.noticed(y, instant)[0] > 0.0:
            self.notices(t, y, instant)
        else:
            return False
        return True

    def moves(self, t, y, instant):
        mode = self.model.mode
        mode.held = False
        if mode.moved_s is None:
            mode.moved_s = t

    def stops(self, t, y, instant):
        if abs(instant.net_n + instant.rolling_n) > instant.rolling_n:
            raise RuntimeError(f"the car rolls back at {t} s")
        y[V] = 0.0
        self.model.mode.held = True

    def meets(self, t, y, instant):
        """The clutch's two sides turn alike."""
        mode, model = self.model.mode, self.model
        y[WE] = y[WI]
        if not mode.engaged:
            mode.sign = -mode.sign
            return
        mode.locked = True
        _, locked = model.evaluate(t, y)
        if abs(locked.clutch_nm) > locked.capacity_nm:
            mode.locked, mode.sign = False, math.copysign(1.0, locked.clutch_nm)
        elif mode.gear == 0 and mode.shift in (None, "reacting"):
            self.notes.home_s = t
        if mode.locked and mode.shift == "settling":
            mode.shift = None

    def lets_go(self, t, y, instant):
        mode = self.model.mode
        y[WE] = y[WI]
        mode.locked, mode.sign = False, math.copysign(1.0, instant.clutch_nm)

    def cuts(self, t, y, instant):
        mode = self.model.mode
        mode.fuel_cut = True
        self.notes.cuts += 1
        spins = self.delayed and self.noticed(y, instant)[0] > 0.0
        if mode.locked and self.awaits_shift() and not mode.launching and not spins:
            self.react(t, max(self.driver["shift_reaction_s"], QUICK_S))

    def resumes(self, t, y, instant):
        self.model.mode.fuel_cut = False

    def launched(self, t, y, instant):
        self.model.mode.launching = False

    def stalls(self, t, y, instant):
        raise RuntimeError(f"the engine stalls at {t} s")

    def shift_point(self, t, y, instant):
        self.react(t, self.driver["shift_reaction_s"])

    def react(self, t, reaction_s):
        mode = self.model.mode
        mode.shift = "reacting"
        mode.later.append((t + reaction_s, self.begins_shift))

    def begins_shift(self, t, y, instant):
        mode, timing = self.model.mode, self.model.car["gearbox"]["shift"]
        mode.shift = "pedal out"
        out = timing["clutch_out_s"]
        mode.pedal = Line(t, mode.pedal(t), t + out, 0.0)
        if self.driver["lifts_to_shift"]:
            mode.program = Line(t, mode.throttle(t), t + min(out, QUICK_S), 0.0)
        mode.left, mode.spin = Line(t, 1.0, t, 1.0), "watching"
        mode.later = [(when, what) for when, what in mode.later if what not in (self.answers, self.looks_again)]
        mode.later.append((t + out, self.neutral))
        self.notes.shifts.append((t, mode.gear + 1, y[WE], y[V]))

    def neutral(self, t, y, instant):
        mode, timing = self.model.mode, self.model.car["gearbox"]["shift"]
        mode.shift, mode.engaged, mode.synchroniser_nm = "neutral", False, 0.0
        if mode.locked:
            mode.locked, mode.sign = False, math.copysign(1.0, instant.engine_nm)
        mode.later.append((t + 0.5 * timing["change_s"], self.synchronises))

    def synchronises(self, t, y, instant):
        mode, model = self.model.mode, self.model
        before = model.input_inertias[mode.gear]
        mode.gear += 1
        inertia = model.input_inertias[mode.gear]
        y[m.E_DRIVELINE] += 0.5 * (before - inertia) * y[WI] ** 2
        half = 0.5 * model.car["gearbox"]["shift"]["change_s"]
        gap = y[WI] - model.ratios[mode.gear] * y[WP]
        step = y[WI] * (1 - model.ratios[mode.gear] / model.ratios[mode.gear - 1])
        mode.synchroniser_nm = inertia * math.copysign(max(abs(gap), 0.25 * abs(step)), gap) / half
        mode.shift = "synchronising"

    def engages(self, t, y, instant):
        mode, model = self.model.mode, self.model
        y[WI] = model.ratios[mode.gear] * y[WP]
        mode.engaged, mode.synchroniser_nm, mode.shift = True, 0.0, "pedal in"
        mode.locked, mode.sign = False, math.copysign(1.0, y[WE] - y[WI])
        into = model.car["gearbox"]["shift"]["clutch_in_s"]
        mode.pedal = Line(t, mode.pedal(t), t + into, 1.0)
        to = 1.0
        if mode.part:
            to = min(self.driver["part_throttle"]["held"] * model.ratios[0] / model.ratios[mode.gear], 1.0)
        mode.program = Line(t, mode.program(t), t + into, to)
        mode.later.append((t + into, self.shifted))

    def shifted(self, t, y, instant):
        self.model.mode.shift = None if self.model.mode.locked else "settling"

    def notices(self, t, y, instant):
        mode = self.model.mode
        mode.spin = "reacting"
        mode.later.append((t + self.answer["reaction_s"], self.answers))

    def answers(self, t, y, instant):
        mode = self.model.mode
        if self.noticed(y, instant)[1] > 0.0:
            mode.spin = "lifted"
            self.lifts(t, instant)
        else:
            mode.spin = "watching"

    def lifts(self, t, instant):
        mode = self.model.mode
        asked = mode.throttle(t)
        mode.left = Line(t, asked, t + QUICK_S, self.answer["lift_to"] * asked)
        self.notes.lifts += 1
        self.will_look_again(t, instant)

    def will_look_again(self, t, instant):
        mode = self.model.mode
        mode.slip_mps = instant.slip_mps
        mode.later.append((t + QUICK_S + self.answer["reaction_s"], self.looks_again))

    def looks_again(self, t, y, instant):
        if self.noticed(y, instant)[0] > 0.0 and instant.slip_mps >= self.model.mode.slip_mps:
            self.lifts(t, instant)
        else:
            self.will_look_again(t, instant)

    def grips(self, t, y, instant):
        mode = self.model.mode
        mode.spin = "watching"
        mode.later = [(when, what) for when, what in mode.later if what != self.looks_again]
        mode.left = Line(t, mode.left(t), t + self.answer["ease_back_s"], 1.0)

    def opens(self, t, y, instant):
        mode = self.model.mode
        mode.part = False
        if not (mode.shift in ("pedal out", "neutral", "synchronising") and self.driver["lifts_to_shift"]):
            mode.program = Line(t, mode.program(t), t + self.driver["part_throttle"]["open_s"], 1.0)
