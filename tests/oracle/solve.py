"""Solves the cases of `cases.json` with SciPy and writes `expected.json`.

    python solve.py [--method LSODA|Radau|DOP853|BDF] [--rtol 1e-10] [--output FILE]

Every stretch between two switches or corners is solved by itself; switches and gates are roots on the dense output,
peaks are its maxima.
"""

import argparse
import json
import platform
import time
from pathlib import Path

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

import model as m
from model import Model
from modes import Mode, Switches

HERE = Path(__file__).parent
LONGEST_STEP_S = 0.01
# A driver who leaves less of the throttle than this is said to hold some back.
TRIMMED = 0.95

FOOT_M, MPH_MPS, KMH_MPS = 0.3048, 0.44704, 1.0 / 3.6
GATES = (
    [(f"{feet} ft", m.X, feet * FOOT_M) for feet in (60, 330, 660, 1000, 1320)]
    + [(f"{metres} m", m.X, metres) for metres in (100, 200, 400, 500, 800, 1000)]
    + [(f"{mph} mph", m.V, mph * MPH_MPS) for mph in (30, 40, 60, 80, 100, 130)]
    + [(f"{kmh} km/h", m.V, kmh * KMH_MPS) for kmh in (50, 100, 200)]
)
TRAP_M = 66 * FOOT_M

# Absolute tolerances: a ten-thousand-millionth of an ordinary size of each state.
ATOL = np.array([
    1e-9, 1e-8, 1e-8, 1e-9, 1e-11, 1e-9, 1e-6, 1e-5, 1e-10, 1e-10, 1e-8, 1e-8, 1e-10, 1e-10, 1e-8,
    1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4,
])
ATOL_UNIT = np.array([1e-9, 1e-10])


class Cached:
    """The instant of a state; SciPy asks every switch for the same state one after the other."""

    def __init__(self, model):
        self.model, self.now, self.key, self.value = model, 0.0, None, None

    def __call__(self, t, y):
        key = (t, y.tobytes())
        if key != self.key:
            self.key, self.value = key, self.model.evaluate(t, y)[1]
        return self.value

    def forget(self, t):
        self.now, self.key = t, None


class Notes:
    """What is noted while a run goes on."""

    PEAKS = {
        "clutch_face_c": lambda y, i: y[m.FACE],
        "engine_radps": lambda y, i: y[m.WE],
        "shaft_torque_nm": lambda y, i: i.shaft_nm,
        "acceleration_mps2": lambda y, i: i.acceleration_mps2,
        "largest_slip_mps": lambda y, i: i.slip_mps,
        # The lowest engine speed of the start, as the largest of its negative.
        "lowest_launch_radps": lambda y, i: -y[m.WE],
    }

    def __init__(self, rollout_m):
        self.waiting = list(GATES) + [("rollout", m.X, rollout_m)]
        self.waiting += [(f"trap {name}", m.X, at - TRAP_M) for name, _, at in GATES if name in ("660 ft", "1320 ft")]
        self.passed, self.shifts = {}, []
        self.peaks = {name: -np.inf for name in self.PEAKS}
        self.cuts, self.trimmed_s, self.home_s, self.evaluations, self.switches = 0, 0.0, None, 0, 0

    def read(self, stretch, at, mode):
        """Gates and peaks of one stretch."""
        ts, dense = stretch.t, stretch.sol
        for gate in list(self.waiting):
            name, state, mark = gate
            beyond = np.nonzero(stretch.y[state] >= mark)[0]
            if beyond.size and beyond[0] > 0:
                i = beyond[0]
                self.passed[name] = brentq(lambda t: dense(t)[state] - mark, ts[i - 1], ts[i], xtol=1e-13, rtol=1e-14)
                self.waiting.remove(gate)
        instants = [at(t, stretch.y[:, i]) for i, t in enumerate(ts)]
        if mode.moved_s is not None and mode.shift in (None, "reacting"):
            beyond = [TRIMMED - instant.trimmed_to for instant in instants]
            self.read_trimmed(ts, beyond, lambda t: TRIMMED - at(t, dense(t)).trimmed_to)
        for name, of in self.PEAKS.items():
            if name == "largest_slip_mps" and mode.moved_s is None:
                continue
            starting = mode.gear == 0 and mode.shift in (None, "reacting") and ts[0] >= 0.0
            if name == "lowest_launch_radps" and not starting:
                continue
            values = np.array([of(stretch.y[:, i], instant) for i, instant in enumerate(instants)])
            largest = int(values.argmax())
            self.peaks[name] = max(self.peaks[name], float(values[largest]))
            low, high = ts[max(largest - 1, 0)], ts[min(largest + 1, len(ts) - 1)]

            def lower(t, of=of):
                y = dense(t)
                return -of(y, at(t, y))

            found = minimize_scalar(lower, bounds=(low, high), method="bounded", options={"xatol": 1e-10})
            self.peaks[name] = max(self.peaks[name], -float(found.fun))


    def read_trimmed(self, ts, beyond, function):
        """Time for which a function is above zero that is known at the ends of the steps."""
        for i in range(len(ts) - 1):
            span = ts[i + 1] - ts[i]
            if beyond[i] * beyond[i + 1] < 0.0:
                until = brentq(function, ts[i], ts[i + 1], xtol=1e-13, rtol=1e-14) - ts[i]
                span = until if beyond[i] > 0.0 else span - until
            elif max(beyond[i], beyond[i + 1]) <= 0.0:
                span = 0.0
            self.trimmed_s += span


def run(case, method, rtol):
    """One case, from the first movement of pedal or throttle to the finish."""
    model = Model(case)
    notes = Notes(case["scenario"]["rollout_m"])
    mode = model.mode = Mode(model)
    switches, at = Switches(model, notes), Cached(model)
    limit_s = case["scenario"]["time_limit_s"]
    finish = case["scenario"]["finish"]
    end = (m.X, finish["distance_m"]) if "distance_m" in finish else (m.V, finish["speed_mps"])

    t, y = mode.start_s, np.zeros(m.UNITS + 2 * len(model.units))
    y[m.WE], y[m.THROTTLE] = case["scenario"]["driver"]["held_radps"], mode.hold
    y[m.FELT_REVS] = y[m.WE]
    y[m.BOOST] = mode.hold**2 if model.boost else 0.0
    y[m.FACE] = y[m.MASS] = case["scenario"]["clutch_start_c"]
    sine = model.slope_sine(0.0)
    y[m.DF] = model.mass * m.GRAVITY_MPS2 * sine * model.transfer_arm
    start = y.copy()
    atol = np.concatenate([ATOL] + [ATOL_UNIT] * len(model.units))

    mode.later.append((0.0, switches.begins))
    do_due(mode, at, t, y)
    while True:
        at.forget(t)
        while switches.settle(t, y, at(t, y)):
            notes.switches += 1
            at.forget(t)
        watched = switches.watched(at) + [(lambda t, y: y[end[0]] - end[1], 1, None)]
        events = []
        for function, direction, _ in watched:
            def event(t, y, function=function):
                return function(t, y)
            event.terminal, event.direction = True, direction
            events.append(event)
        until = min(mode.next_corner(t), mode.start_s + limit_s)
        stretch = solve_ivp(
            lambda t, y: model.evaluate(t, y)[0], (t, until), y, method=method, rtol=rtol, atol=atol,
            events=events, dense_output=True, max_step=LONGEST_STEP_S,
        )
        if stretch.status < 0:
            raise RuntimeError(stretch.message)
        notes.evaluations += stretch.nfev
        notes.read(stretch, at, mode)
        t, y = float(stretch.t[-1]), stretch.y[:, -1].copy()
        notes.switches += 1
        at.forget(t)
        instant = at(t, y)
        if stretch.status == 1:
            action = next(a for (_, _, a), times in zip(watched, stretch.t_events) if times.size)
            if action is None:
                break
            action(t, y, instant)
        elif t >= mode.start_s + limit_s:
            raise RuntimeError("the time limit passed")
        do_due(mode, at, t, y)
    return result(case, model, notes, t, y, start)


def do_due(mode, at, t, y):
    """What is due now; an action may make another due at once."""
    while due := [entry for entry in mode.later if entry[0] <= t + 1e-12]:
        mode.later.remove(due[0])
        at.forget(t)
        due[0][1](t, y, at(t, y))


def result(case, model, notes, t, y, start):
    zero = model.mode.moved_s
    gates = {name: notes.passed[name] - zero for name, _, _ in GATES if name in notes.passed}
    if "distance_m" in case["scenario"]["finish"]:
        gates |= {
            name: t - zero for name, state, mark in GATES
            if state == m.X and abs(mark - case["scenario"]["finish"]["distance_m"]) < 1e-9
        }
    accounts = {"engine_work_j": m.E_ENGINE, "aero_j": m.E_AERO, "rolling_j": m.E_ROLLING, "tyre_slip_j": m.E_TYRE,
                "clutch_j": m.E_CLUTCH, "driveline_j": m.E_DRIVELINE}
    return {
        "name": case["name"],
        "first_movement_s": zero,
        "clutch_home_s": None if notes.home_s is None else notes.home_s - zero,
        "gates_s": gates,
        "rollout_s": notes.passed["rollout"] - zero,
        "traps_mps": {
            name: TRAP_M / (gates[name] + zero - notes.passed[f"trap {name}"])
            for name in ("660 ft", "1320 ft") if name in gates
        },
        "shifts": [
            {"from_gear": gear, "time_s": when - zero, "engine_radps": float(engine), "speed_mps": float(speed)}
            for when, gear, engine, speed in notes.shifts
        ],
        "peaks": {name: abs(float(value)) for name, value in notes.peaks.items()},
        "energy": {name: float(y[state]) for name, state in accounts.items()}
        | {"residual_j": float(model.residual(y, start))},
        "final_speed_mps": float(y[m.V]),
        "trimmed_s": notes.trimmed_s,
        "fuel_cuts": notes.cuts,
        "evaluations": notes.evaluations,
        "stretches": notes.switches,
    }


def solve_all(method="LSODA", rtol=1e-10, tell=lambda text: None):
    """What `expected.json` holds."""
    cases = json.loads((HERE / "cases.json").read_text())
    runs = []
    for case in cases:
        began = time.perf_counter()
        runs.append(run(case, method, rtol))
        tell(f"{case['name']}: {time.perf_counter() - began:.1f} s, {runs[-1]['evaluations']} evaluations")
    return {
        "versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
        "method": method,
        "rtol": rtol,
        "runs": runs,
    }


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--method", default="LSODA")
    parser.add_argument("--rtol", type=float, default=1e-10)
    parser.add_argument("--output", type=Path, default=HERE / "expected.json")
    args = parser.parse_args()
    found = solve_all(args.method, args.rtol, tell=lambda text: print(text, flush=True))
    args.output.write_text(json.dumps(found, indent=2, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
