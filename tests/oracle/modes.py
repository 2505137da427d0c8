"""The driver and the switches of docs/model.md: what holds between two switches, and what each switch changes."""

import math

import model as m
from model import V, WE, WI, WP

QUICK_S = 0.08
FLARE_SLIP = 1.0


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

    def corners(self):
        return [self.start_s, self.end_s]


class Mode:
    """What holds until the next switch."""

    def __init__(self, model):
        driver, self.bite = model.day["driver"], model.car["clutch"]["bite_point"]
        share = {"straight": self.bite, "quick_to_bite": 0.2}[driver["release_shape"]]
        self.bite_s = share * driver["release_s"]
        # From the bite on: rate of the pedal, at most if it is moved by feel.
        self.release_per_s = (1.0 - self.bite) / (driver["release_s"] - self.bite_s)
        self.floor_s = self.bite_s - driver["throttle_lead_s"]
        self.start_s = min(0.0, self.floor_s)
        self.hold = model.holding_throttle(driver["held_radps"], 0.0)
        part = driver["part_throttle"]
        self.part = part is not None
        to = part["held"] if self.part else 1.0
        self.program = Line(self.floor_s, self.hold, self.floor_s + driver["throttle_ease_s"], to)
        self.held, self.moved_s = True, None
        self.gear, self.engaged, self.synchroniser_nm = 0, True, 0.0
        self.locked, self.sign = False, 1.0
        self.fuel_cut, self.launching = False, model.car["engine"]["launch_limiter"] is not None
        self.shift = None
        # The pedal: its rate, whether it is moved by feel, whether the clutch has bitten.
        self.pedal_per_s, self.by_feel, self.bitten = 0.0, False, False
        # What is done later: (time, what).
        self.later = []

    def limiter(self, model):
        engine = model.car["engine"]
        return engine["launch_limiter"]["limiter"] if self.launching else engine["limiter"]

    def next_corner(self, t):
        """The next time at which the throttle program has a corner, or something is due."""
        times = [at for at, _ in self.later] + self.program.corners()
        return min((at for at in times if t + 1e-12 < at < math.inf), default=math.inf)

    def move_pedal(self, t, y, to, within_s, then):
        """Straight to somewhere, and what is done once it is there."""
        self.by_feel, self.pedal_per_s = False, (to - y[m.PEDAL]) / within_s
        self.later = [(when, what) for when, what in self.later if getattr(what, "pedal", None) is None]

        def there(t, y, instant):
            y[m.PEDAL], self.pedal_per_s = to, 0.0
            if then:
                then(t, y, instant)

        there.pedal = to
        # Before whatever else is due then.
        self.later.insert(0, (t + within_s, there))


class Switches:
    """Which switches are watched for in a mode, and what each does."""

    def __init__(self, model, notes):
        self.model, self.notes = model, notes
        driver = model.day["driver"]
        self.driver, self.answer = driver, driver["wheelspin"]
        self.trims = self.answer["response"] == "trimmed"
        self.shift_at = driver["shift_at_radps"]

    def shift_speed(self, gear):
        return self.shift_at[min(gear, len(self.shift_at) - 1)]

    def awaits_shift(self):
        return self.model.mode.shift is None and self.model.mode.gear < len(self.model.ratios) - 1

    def shift_due(self, y):
        """Above zero when the engine has the shift revs and they are not those of an engine that flares."""
        due = y[WI] - self.shift_speed(self.model.mode.gear)
        return min(due, self.short_of_flare(y)) if self.trims else due

    def short_of_flare(self, y):
        """Above zero while neither true nor felt slip is that of wheels that flare."""
        return FLARE_SLIP - max(y[m.FELT_SLIP], self.model.slip_now(y))

    def begins(self, t, y, instant):
        """The pedal begins to move."""
        mode = self.model.mode
        mode.move_pedal(t, y, mode.bite, mode.bite_s, self.bites)

    def bites(self, t, y, instant):
        mode = self.model.mode
        mode.bitten = True
        feel, up_s = self.driver["clutch_feel"], (1.0 - mode.bite) / mode.release_per_s
        if feel and up_s >= feel["lag_s"]:
            mode.by_feel = True
        else:
            mode.move_pedal(t, y, 1.0, (1.0 - mode.bite) / mode.release_per_s, None)

    def is_up(self, t, y, instant):
        mode = self.model.mode
        y[m.PEDAL], mode.by_feel, mode.pedal_per_s = 1.0, False, 0.0

    def watched(self, at):
        """(function of t and y, direction, action) for the mode of the moment; `at(t, y)` is the cached instant."""
        mode, limiter = self.model.mode, self.model.mode.limiter(self.model)
        found = []
        if mode.held:
            if mode.bitten:
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
            found.append((lambda t, y: self.shift_due(y), 1, self.shift_point))
        if mode.by_feel:
            found.append((lambda t, y: y[m.PEDAL] - 1.0, 1, self.is_up))
        if mode.shift == "synchronising":
            ratio, way = self.model.ratios[mode.gear], math.copysign(1.0, mode.synchroniser_nm)
            found.append((lambda t, y: way * (y[WI] - ratio * y[WP]), -1, self.engages))
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
        elif self.awaits_shift() and self.shift_due(y) > 0.0:
            self.shift_point(t, y, instant)
        elif mode.part and y[V] > self.driver["part_throttle"]["until_mps"]:
            self.opens(t, y, instant)
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
        spins = self.trims and self.short_of_flare(y) < 0.0
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

    def part_of_shift(self, name):
        return self.driver["shift_time_factor"] * self.model.car["gearbox"]["shift"][name]

    def begins_shift(self, t, y, instant):
        mode, out = self.model.mode, self.part_of_shift("clutch_out_s")
        mode.shift = "pedal out"
        mode.move_pedal(t, y, 0.0, out, self.neutral)
        if self.driver["lifts_to_shift"]:
            mode.program = Line(t, mode.program(t), t + min(out, QUICK_S), 0.0)
        self.notes.shifts.append((t, mode.gear + 1, y[WE], y[V]))

    def neutral(self, t, y, instant):
        mode = self.model.mode
        mode.shift, mode.engaged, mode.synchroniser_nm = "neutral", False, 0.0
        if mode.locked:
            mode.locked, mode.sign = False, math.copysign(1.0, instant.engine_nm)
        mode.later.append((t + 0.5 * self.part_of_shift("change_s"), self.synchronises))

    def synchronises(self, t, y, instant):
        mode, model = self.model.mode, self.model
        before = model.input_inertias[mode.gear]
        mode.gear += 1
        inertia = model.input_inertias[mode.gear]
        y[m.E_DRIVELINE] += 0.5 * (before - inertia) * y[WI] ** 2
        half = 0.5 * self.part_of_shift("change_s")
        gap = y[WI] - model.ratios[mode.gear] * y[WP]
        step = y[WI] * (1 - model.ratios[mode.gear] / model.ratios[mode.gear - 1])
        mode.synchroniser_nm = inertia * math.copysign(max(abs(gap), 0.25 * abs(step)), gap) / half
        mode.shift = "synchronising"

    def engages(self, t, y, instant):
        mode, model = self.model.mode, self.model
        y[WI] = model.ratios[mode.gear] * y[WP]
        mode.engaged, mode.synchroniser_nm, mode.shift = True, 0.0, "pedal in"
        mode.locked, mode.sign = False, math.copysign(1.0, y[WE] - y[WI])
        into = self.part_of_shift("clutch_in_s")
        mode.move_pedal(t, y, 1.0, into, self.shifted)
        to = 1.0
        if mode.part:
            to = min(self.driver["part_throttle"]["held"] * model.ratios[0] / model.ratios[mode.gear], 1.0)
        mode.program = Line(t, mode.program(t), t + into, to)

    def shifted(self, t, y, instant):
        self.model.mode.shift = None if self.model.mode.locked else "settling"

    def opens(self, t, y, instant):
        mode = self.model.mode
        mode.part = False
        if not (mode.shift in ("pedal out", "neutral", "synchronising") and self.driver["lifts_to_shift"]):
            mode.program = Line(t, mode.program(t), t + self.driver["part_throttle"]["open_s"], 1.0)
