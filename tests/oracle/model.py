"""The equations of docs/model.md, written again from that page alone, in plain floats.

Every name of a parameter is the name that `cases.json` gives it, unit included. Sections are in the page's order.
"""

import math
from bisect import bisect_right

from scipy.interpolate import PchipInterpolator

GRAVITY_MPS2 = 9.80665
FLANK_ROUNDING_RAD = 1e-3
SLIP_FRICTION_RADPS = 0.2
CARCASS_S = 0.5e-3
IDEAL_SLIP, IDEAL_GAIN, IDEAL_LEAD_S = 0.9, 0.35, 0.016
MOST_RELAXING_SLIP = 10.0
WALKING_MPS = 4.0
LEAST_THROTTLE, DYING_SHARE, DEEPEST_DIP = 0.1, 0.3, 0.3

# States.
V, WE, WI, WP, TWIST, X, DF, DFR, BOOST, THROTTLE, FACE, MASS, PEDAL, FELT_SLIP, FELT_REVS = range(15)
E_ENGINE, E_AERO, E_ROLLING, E_TYRE, E_CLUTCH, E_DRIVELINE = range(15, 21)
UNITS = 21

FRONT, REAR = 0, 1
LEFT, RIGHT = 0, 1


class Curve:
    """Monotone cubic through points; the end values hold outside them. SciPy knows the slopes that the page asks for."""

    def __init__(self, points):
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        cubics = PchipInterpolator(xs, ys).c
        self.knots = xs
        self.cubics = [tuple(float(c) for c in cubics[:, i]) for i in range(len(xs) - 1)]
        self.ends = ys[0], ys[-1]

    def value(self, x):
        if x <= self.knots[0]:
            return self.ends[0]
        if x >= self.knots[-1]:
            return self.ends[1]
        i = bisect_right(self.knots, x) - 1
        a, b, c, d = self.cubics[i]
        s = x - self.knots[i]
        return ((a * s + b) * s + c) * s + d

    def slope(self, x):
        if x <= self.knots[0] or x >= self.knots[-1]:
            return 0.0
        i = bisect_right(self.knots, x) - 1
        a, b, c, _ = self.cubics[i]
        s = x - self.knots[i]
        return (3.0 * a * s + 2.0 * b) * s + c


def saturation_pa(kelvin):
    return math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6343.1645 / kelvin)


def air_density(air):
    """CIPM-2007 (A. Picard et al., Metrologia 45 (2008) 149-155) with 400 ppm carbon dioxide."""
    t, p = air["temperature_c"], air["pressure_pa"]
    kelvin = t + 273.15
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t
    xv = air["relative_humidity"] * enhancement * saturation_pa(kelvin) / p
    virial = (
        1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t
        + (5.707e-6 - 2.051e-8 * t) * xv
        + (1.9898e-4 - 2.376e-6 * t) * xv * xv
    )
    z = 1.0 - p / kelvin * virial + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * xv * xv)
    return p * 28.96546e-3 / (z * 8.314472 * kelvin) * (1.0 - 0.3780 * xv)


def power_correction(standard, air):
    """Reference power over power of the day. The standards count kelvins from -273 °C."""
    kelvin = air["temperature_c"] + 273.0
    wet_kpa = air["pressure_pa"] / 1000.0
    dry_kpa = wet_kpa - air["relative_humidity"] * saturation_pa(air["temperature_c"] + 273.15) / 1000.0
    if standard == "sae_j1349":
        return 1.18 * (99.0 / dry_kpa) * math.sqrt(kelvin / 298.0) - 0.18
    if standard == "iso_1585":
        return (99.0 / dry_kpa) ** 1.2 * (kelvin / 298.0) ** 0.6
    if standard == "din_70020":
        return 101.3 / wet_kpa * math.sqrt(kelvin / 293.0)
    return 1.0


class Unit:
    """A driven axle, or one wheel of it."""

    def __init__(self, axle, side, tyre, n, share, friction, stiffness):
        self.axle, self.side, self.n, self.share = axle, side, n, share
        self.sign = 0.0 if side is None else (1.0 if side == LEFT else -1.0)
        self.radius = tyre["rolling_radius_m"]
        self.inertia = n * tyre["wheel_inertia_kgm2"]
        self.relaxation = tyre["relaxation_length_m"]
        self.mf, self.friction, self.stiffness = tyre["magic_formula"], friction, stiffness
        m = self.mf
        self.terms = (
            m["nominal_load_n"], m["pcx1"], m["pdx1"], m["pdx2"], m["pex1"], m["pex2"], m["pex3"],
            m["pkx1"], m["pkx2"], m["pkx3"],
        )

    def factors(self, load):
        """B, C, D, E under this load."""
        load0, c, d1, d2, e1, e2, e3, k1, k2, k3 = self.terms
        f = max(load, 1.0) / load0 - 1.0
        d = max(d1 + d2 * f, 0.2 * d1) * self.friction * load
        k = load * max(k1 + k2 * f, 0.2 * k1) * math.exp(k3 * f) * self.stiffness
        e = min(e1 + e2 * f + e3 * f * f, 1.0)
        return (k / (c * d) if d > 0.0 else 0.0), c, d, e

    def force(self, load, slip, sliding_mps):
        b, c, d, e = self.factors(load)
        fall = 1.0 + self.mf["sliding_fall_s_per_m"] * abs(sliding_mps)
        b, d = b * fall, d / fall
        s = b * slip
        return d * math.sin(c * math.atan(s - e * (s - math.atan(s))))

    def slip_rate(self, tread_mps, v, slip):
        """Of the relaxed slip; a tyre that slides has a shorter relaxation length."""
        length = self.relaxation / (1.0 + min(abs(slip), MOST_RELAXING_SLIP) / self.peak)
        return (tread_mps - v - abs(v) * slip) / length

    def peak_slip(self, load):
        """Where the sine's argument reaches a right angle, by bisection."""
        b, c, _, e = self.factors(load)
        if c <= 1.0:
            return math.inf
        target = math.tan(0.5 * math.pi / c)
        low, high = 0.0, 1.0
        while high - e * (high - math.atan(high)) < target:
            high *= 2.0
        for _ in range(200):
            s = 0.5 * (low + high)
            if s - e * (s - math.atan(s)) < target:
                low = s
            else:
                high = s
        return low / b


class Model:
    """One case: parameters, and the right-hand side in the mode of the moment (`self.mode`)."""

    def __init__(self, case):
        car, day = case["vehicle"], case["scenario"]
        self.car, self.day = car, day
        engine, driveline = car["engine"], car["driveline"]
        self.full = Curve(engine["full_load_nm"])
        self.boost = engine["boost"]
        self.off = Curve(self.boost["off_boost_nm"]) if self.boost else None
        share = engine["air_correction_share"]
        self.air_factor = 1.0 + share * (1.0 / power_correction(engine["rated_to"], day["air"]) - 1.0)
        self.density = air_density(day["air"])
        slope = day["slope"]
        self.profile = Curve(slope["height_m"]) if "height_m" in slope else None
        if not self.profile:
            p = slope["rise_per_run"]
            self.sine = p / math.sqrt(1.0 + p * p)

        layout = driveline["layout"]
        self.front_share = {"front": 1.0, "rear": 0.0}.get(layout["driven"], layout.get("front_share"))
        self.drives = [self.front_share > 0.0, self.front_share < 1.0]
        self.tyres = [car["front_tyre"], car["rear_tyre"]]
        self.differentials = [driveline["front_differential"], driveline["rear_differential"]]
        self.centre = layout.get("centre")
        self.solid = driveline["solid_rear_axle"]
        chassis, surface = car["chassis"], day["surface"]
        rho = surface["right_to_left_friction"]
        side_scale = {LEFT: 2.0 / (1.0 + rho), RIGHT: 2.0 * rho / (1.0 + rho), None: 1.0}
        self.units = []
        self.mass = chassis["mass_kg"]
        self.rolling_mass = self.mass
        for axle, tyre in enumerate(self.tyres):
            if not self.drives[axle]:
                self.rolling_mass += 2.0 * tyre["wheel_inertia_kgm2"] / tyre["rolling_radius_m"] ** 2
                continue
            split = rho != 1.0 or (axle == REAR and self.solid is not None)
            axle_share = self.front_share if axle == FRONT else 1.0 - self.front_share
            for side in (LEFT, RIGHT) if split else (None,):
                n = 1.0 if split else 2.0
                self.units.append(Unit(
                    axle, side, tyre, n, 0.5 * n * axle_share,
                    surface["friction_scale"] * side_scale[side], surface["slip_stiffness_scale"],
                ))
        self.of_axle = [[i for i, u in enumerate(self.units) if u.axle == axle] for axle in (FRONT, REAR)]
        for unit, load in zip(self.units, self.static_loads()):
            unit.peak = min(unit.peak_slip(0.5 * load), 1.0)
        self.constants()
        self.mode = None

    def constants(self):
        """Parameters of the inner loop as plain attributes."""
        car, day = self.car, self.day
        engine, clutch, chassis, driveline = car["engine"], car["clutch"], car["chassis"], car["driveline"]
        motoring = engine["motoring"]
        self.c0, self.c1, self.c2 = motoring["constant_nm"], motoring["linear_nm_s"], motoring["quadratic_nm_s2"]
        self.je, self.idle, self.lag = engine["inertia_kgm2"], engine["idle_radps"], engine["throttle_lag_s"]
        self.full_capacity = (
            clutch["friction_coefficient"] * clutch["clamp_n"] * clutch["effective_radius_m"] * clutch["faces"]
        )
        gearbox = car["gearbox"]
        final = gearbox["final_drive"]
        self.jp, self.final_ratio = final["inertia_kgm2"], final["ratio"]
        self.ratios = [g["ratio"] * final["ratio"] for g in gearbox["gears"]]
        self.efficiencies = [g["efficiency"] * final["efficiency"] for g in gearbox["gears"]]
        self.input_inertias = [gearbox["input_inertia_kgm2"] + g["inertia_kgm2"] for g in gearbox["gears"]]
        self.stiffness, self.damping = driveline["stiffness_nm_per_rad"], driveline["damping_nm_s_per_rad"]
        self.half_lash = 0.5 * driveline["lash_rad"]
        self.transfer_arm = chassis["cg_height_m"] / chassis["wheelbase_m"]
        self.pitch = 2.0 * math.pi * chassis["pitch_frequency_hz"]
        self.pitch_damping = 2.0 * chassis["pitch_damping_ratio"] * self.pitch
        self.lift = chassis["front_lift_area_m2"], chassis["rear_lift_area_m2"]
        self.front_weight, self.drag_area = chassis["front_weight_share"], chassis["drag_area_m2"]
        self.rolling = [(t["rolling_constant"], t["rolling_quadratic_s2_per_m2"]) for t in self.tyres]
        self.rolling_scale, self.headwind = day["surface"]["rolling_resistance_scale"], day["headwind_mps"]
        driver = day["driver"]
        self.ideal = driver["wheelspin"]["response"] == "ideal"
        self.trim = driver["wheelspin"] if driver["wheelspin"]["response"] == "trimmed" else None
        self.feel, self.kept = driver["clutch_feel"], driver["kept_radps"]
        if self.feel:
            foot_s = clutch["working_band"] / (1.5 * self.feel["foot_per_s"])
            self.recovery_s = 4.0 * self.feel["damping_ratio"] ** 2 * (self.feel["lag_s"] + foot_s)

    def slope_sine(self, x):
        return self.profile.slope(self.day["slope"]["start_m"] + x) if self.profile else self.sine

    def height_gain(self, x):
        if not self.profile:
            return self.sine * x
        start = self.day["slope"]["start_m"]
        return self.profile.value(start + x) - self.profile.value(start)

    def static_loads(self):
        """Load of the axle of each unit: the car standing on the level."""
        weight = self.mass * GRAVITY_MPS2
        share = self.car["chassis"]["front_weight_share"]
        return [weight * (share if u.axle == FRONT else 1.0 - share) for u in self.units]

    # Engine.

    def drag(self, w):
        return self.c0 + w * (self.c1 + w * self.c2)

    def full_load(self, w, boost):
        full = self.full.value(w)
        if self.boost:
            off = min(self.off.value(w), full)
            full = off + boost * (full - off)
        return self.air_factor * full * min(1.0, max(0.0, w / self.idle))

    def holding_throttle(self, w, boost):
        drag = self.drag(w)
        return drag / max(drag + self.full_load(w, boost), drag)

    # Clutch.

    def clutch_full(self, face_c):
        """Torque of the fully clamped clutch."""
        clutch = self.car["clutch"]
        e = max(0.0, (face_c - clutch["fade_start_c"]) / clutch["fade_span_k"])
        return self.full_capacity * (1.0 + clutch["fade_floor"] * e * e) / (1.0 + e * e)

    def clamp(self, pedal):
        """Share of that at a pedal, and how far the pedal is outside of the band."""
        clutch = self.car["clutch"]
        place = (pedal - clutch["bite_point"]) / clutch["working_band"]
        s = min(max(place, 0.0), 1.0)
        return s * s * (3.0 - 2.0 * s), place - s

    # Driver.

    def throttle_left(self, felt_slip):
        """What wheelspin leaves of the throttle."""
        if not self.trim or felt_slip <= self.trim["target_slip"]:
            return 1.0
        excess = self.trim["gain"] * (felt_slip - self.trim["target_slip"])
        open_ = max(0.0, 1.0 - excess / (2.0 * (1.0 - LEAST_THROTTLE)))
        return LEAST_THROTTLE + (1.0 - LEAST_THROTTLE) * open_ * open_

    def slip_now(self, y):
        """What would be felt if it were felt at once."""
        v = float(y[V])
        tread = max(unit.radius * float(w) for unit, w in zip(self.units, y[UNITS::2]))
        return (tread - v) / math.hypot(v, WALKING_MPS)

    def dying(self, felt_revs):
        return min(max((self.kept - felt_revs) / (DYING_SHARE * self.kept), 0.0), 1.0)

    def pedal_rate(self, pedal, felt_revs, trimmed_to, engine_nm, full_nm):
        """Of a pedal that is moved by feel."""
        recovery = self.je * (felt_revs - self.kept) / self.recovery_s
        allowed = engine_nm + max(trimmed_to * recovery, min(recovery, 0.0))
        if self.mode.locked:
            allowed += full_nm * (1.0 - self.dying(felt_revs))
        clamped, beyond = self.clamp(pedal)
        foot = self.feel["foot_per_s"]
        rate = foot * (max(allowed / full_nm, -DEEPEST_DIP) - (clamped + beyond))
        return max(min(rate, self.mode.release_per_s), -foot)

    # Shafts.

    def twist(self, theta):
        """Twist beyond the lash, and how much the flanks touch."""
        r, l = theta - self.half_lash, -theta - self.half_lash
        root_r, root_l = math.hypot(r, FLANK_ROUNDING_RAD), math.hypot(l, FLANK_ROUNDING_RAD)
        return 0.5 * ((r + root_r) - (l + root_l)), 0.5 * (2.0 + r / root_r + l / root_l)

    def wound_up(self, theta):
        """Energy in the shafts: the integral of stiffness times twist from rest."""

        def integral(r):
            # Of (r + sqrt(r² + ε²))/2 over r.
            root = math.hypot(r, FLANK_ROUNDING_RAD)
            area = 0.5 * (r * root + FLANK_ROUNDING_RAD**2 * math.asinh(r / FLANK_ROUNDING_RAD))
            return 0.5 * (0.5 * r * r + area)

        def both(th):
            return integral(th - self.half_lash) + integral(-th - self.half_lash)

        return self.stiffness * (both(theta) - both(0.0))

    @staticmethod
    def differential_friction(differential, torque, difference):
        if not differential or differential["kind"] != "limited_slip":
            return 0.0
        bias = differential["bias_ratio"]
        capacity = differential["preload_nm"] + (bias - 1.0) / (bias + 1.0) * abs(torque)
        x = difference / SLIP_FRICTION_RADPS
        return 0.5 * capacity * x / math.sqrt(1.0 + x * x)

    def carried(self, v, speeds, slips, dtheta, axle_loads):
        """Torques at the gearbox input that hold the tyres near their peaks: clutch slipping, clutch locked."""
        ratio, efficiency = self.ratios[self.mode.gear], self.efficiencies[self.mode.gear]
        ji = self.input_inertias[self.mode.gear]
        forces = torques = wheels = 0.0
        relative = -math.inf
        for unit, w, slip in zip(self.units, speeds, slips):
            force = unit.n * unit.factors(0.5 * axle_loads[unit.axle])[2]
            forces += force
            torques += unit.radius * force
            wheels += unit.inertia
            rate = unit.slip_rate(unit.radius * (w + dtheta), v, slip)
            relative = max(relative, (slip + IDEAL_LEAD_S * rate) / unit.peak)
        share = 1.0 + IDEAL_GAIN * (IDEAL_SLIP - relative)
        spin_up = forces / self.rolling_mass * forces / torques
        return [
            (torques + (wheels + self.jp + efficiency * ratio * ratio * inertia) * spin_up) / (efficiency * ratio) * share
            for inertia in (ji, ji + self.je)
        ]

    def evaluate(self, t, y):
        """Rates of all states, and what the switches and peaks look at."""
        mode, units = self.mode, self.units
        v, we, wi, wp, theta, x, df, dfr, boost, u, face, mass, pedal, felt_slip, felt_revs = (float(s) for s in y[:15])
        speeds = [float(s) for s in y[UNITS::2]]
        slips = [float(s) for s in y[UNITS + 1 :: 2]]

        drag_nm, most_nm = self.drag(we), self.full_load(we, boost)
        b = (self.idle - we) / self.idle
        idle = 0.0
        if b > -0.2:
            hold = drag_nm / max(drag_nm + most_nm, drag_nm)
            idle = min(max(hold * (1.0 + 5.0 * b) + 1.5 * b, 0.0), 1.0)

        # Shafts.
        w_out = 0.0
        for unit, w in zip(units, speeds):
            w_out += unit.share * w
        dtheta = wp - w_out
        twisted, touch = self.twist(theta)
        ts = self.stiffness * twisted + self.damping * touch * dtheta
        lost = self.damping * touch * dtheta * dtheta

        # Loads.
        sine = self.slope_sine(x)
        cosine = math.sqrt(1.0 - sine * sine)
        wind = v + self.headwind
        pressure = 0.5 * self.density * wind * wind
        weight = self.mass * GRAVITY_MPS2 * cosine
        total = max(weight - pressure * (self.lift[0] + self.lift[1]), 0.0)
        front = min(max(weight * self.front_weight - df - pressure * self.lift[0], 0.0), total)
        axle_loads = [front, total - front]

        full_nm = self.clutch_full(face)
        capacity, asked = full_nm * self.clamp(pedal)[0], math.inf
        if self.ideal and mode.engaged:
            slipping, asked = self.carried(v, speeds, slips, dtheta, axle_loads)
            if not mode.locked and mode.sign > 0.0:
                through = max(slipping, 0.0)
                asked = max(slipping, asked - max(capacity - through, 0.0))
                capacity = min(capacity, through)

        # Engine.
        load = max(min(u, (asked + drag_nm) / (most_nm + drag_nm)), idle)
        fuelled = load * (most_nm + drag_nm) - drag_nm
        if mode.fuel_cut:
            load = 0.0
        te = load * (most_nm + drag_nm) - drag_nm

        # Driver.
        trimmed_to = self.throttle_left(felt_slip)
        wanted = mode.program(t) * trimmed_to
        if self.feel and mode.gear == 0 and mode.bitten and mode.shift in (None, "reacting"):
            wanted += (1.0 - wanted) * self.dying(felt_revs)
        du = (wanted - u) / self.lag
        if self.trim and mode.shift not in ("pedal out", "neutral", "synchronising"):
            du = max(min(du, self.trim["foot_per_s"]), -self.trim["foot_per_s"])
        dpedal = mode.pedal_per_s
        if mode.by_feel:
            dpedal = self.pedal_rate(pedal, felt_revs, trimmed_to, fuelled, full_nm)
        slip_now = self.slip_now(y)
        dfelt_slip = (slip_now - felt_slip) / self.trim["lag_s"] if self.trim else 0.0
        dfelt_revs = (we - felt_revs) / self.feel["lag_s"] if self.feel else 0.0
        dboost = 0.0
        if self.boost:
            flow = max(we / self.boost["reference_radps"], 0.05) * (0.25 + 0.75 * load)
            dboost = (load * load - boost) * flow / self.boost["time_constant_s"]

        # Clutch, gearbox and final drive.
        ratio, ji = self.ratios[mode.gear], self.input_inertias[mode.gear]
        if mode.engaged:
            efficiency = self.efficiencies[mode.gear]
            tq, j = (te, self.je + ji) if mode.locked else (mode.sign * capacity, ji)
            if tq * self.jp + j * ratio * ts < 0.0:
                efficiency = 1.0 / efficiency
            dwp = (efficiency * ratio * tq - ts) / (self.jp + efficiency * ratio * ratio * j)
            dwi = ratio * dwp
            if mode.locked:
                dwe = dwi
                tc = te - self.je * dwe
            else:
                tc = tq
                dwe = (te - tc) / self.je
            lost += (1.0 - efficiency) * (tq - j * dwi) * wi
        else:
            tc = mode.sign * capacity
            dwe = (te - tc) / self.je
            dwi = (tc - mode.synchroniser_nm) / ji
            dwp = (ratio * mode.synchroniser_nm - ts) / self.jp
            lost += mode.synchroniser_nm * (wi - ratio * wp)
        clutch_w = tc * (we - wi)
        clutch = self.car["clutch"]
        to_mass = clutch["face_to_mass_w_per_k"] * (face - mass)
        dface = (clutch_w - to_mass) / clutch["face_capacity_j_per_k"]
        to_air = clutch["mass_to_air_w_per_k"] * (mass - self.day["air"]["temperature_c"])
        dmass = (to_mass - to_air) / clutch["mass_capacity_j_per_k"]

        # Differentials.
        axle_torque = [self.front_share * ts, (1.0 - self.front_share) * ts]
        mean = [sum(speeds[i] for i in of) / len(of) if of else 0.0 for of in self.of_axle]
        if self.centre:
            difference = mean[REAR] - mean[FRONT]
            friction = self.differential_friction(self.centre, ts, difference)
            axle_torque = [axle_torque[FRONT] + friction, axle_torque[REAR] - friction]
            lost += friction * difference
        torques = [0.5 * unit.n * axle_torque[unit.axle] for unit in units]
        for axle in (FRONT, REAR):
            of = self.of_axle[axle]
            if len(of) == 2:
                left, right = of
                difference = speeds[right] - speeds[left]
                friction = self.differential_friction(self.differentials[axle], axle_torque[axle], difference)
                torques[left] += friction
                torques[right] -= friction
                lost += friction * difference

        # Tyres.
        drive = 0.0
        tyre_w = 0.0
        rates = []
        fastest = -math.inf
        for unit, w, slip, torque in zip(units, speeds, slips, torques):
            fz = 0.5 * axle_loads[unit.axle]
            if self.solid and unit.axle == REAR:
                fz += (
                    unit.sign * axle_torque[REAR] / self.final_ratio
                    * self.solid["front_roll_stiffness_share"] / self.solid["track_m"]
                )
            tread = unit.radius * w
            dslip = unit.slip_rate(tread, v, slip)
            force = unit.n * unit.force(fz, slip + CARCASS_S * dslip, tread - v)
            drive += force
            tyre_w += force * (tread - v)
            fastest = max(fastest, tread)
            rates.append((torque - unit.radius * force) / unit.inertia)
            rates.append(dslip)
        for axle in (FRONT, REAR):
            of = self.of_axle[axle]
            if len(of) == 2 and self.differentials[axle]["kind"] == "locked":
                left, right = of
                ja, jb = units[left].inertia, units[right].inertia
                rates[2 * left] = rates[2 * right] = (ja * rates[2 * left] + jb * rates[2 * right]) / (ja + jb)
        if self.centre and self.centre["kind"] == "locked":
            inertias = [sum(units[i].inertia for i in of) for of in self.of_axle]
            means = [sum(rates[2 * i] for i in of) / len(of) for of in self.of_axle]
            common = sum(j * mean for j, mean in zip(inertias, means)) / sum(inertias)
            for mean, of in zip(means, self.of_axle):
                for i in of:
                    rates[2 * i] += common - mean

        # Body, forces.
        aero = 0.5 * self.density * self.drag_area * wind * abs(wind)
        rolling = self.rolling_scale * sum(
            (c0 + c2 * v * v) * fz for (c0, c2), fz in zip(self.rolling, axle_loads)
        )
        hill = self.mass * GRAVITY_MPS2 * sine
        net = drive - aero - rolling - hill
        dv = 0.0 if mode.held else net / self.rolling_mass
        steady = self.mass * (dv + GRAVITY_MPS2 * sine) * self.transfer_arm
        ddf = self.pitch * self.pitch * (steady - df) - self.pitch_damping * dfr

        dy = [dv, dwe, dwi, dwp, dtheta, v, dfr, ddf, dboost, du, dface, dmass, dpedal, dfelt_slip, dfelt_revs]
        dy += [te * we, aero * v, rolling * v, tyre_w, clutch_w, lost]
        dy += rates
        return dy, Instant(te, tc, capacity, net, rolling, dv, ts, fastest - v, trimmed_to)

    # Energy.

    def residual(self, y, y0):
        """Engine work and the engine's energy at the start, less all that was found again."""
        kinetic = 0.5 * self.rolling_mass * y[V] ** 2
        kinetic += 0.5 * self.je * (y[WE] ** 2 - y0[WE] ** 2)
        kinetic += 0.5 * self.input_inertias[self.mode.gear] * y[WI] ** 2 + 0.5 * self.jp * y[WP] ** 2
        kinetic += sum(0.5 * u.inertia * w * w for u, w in zip(self.units, y[UNITS::2]))
        losses = sum(y[i] for i in (E_AERO, E_ROLLING, E_TYRE, E_CLUTCH, E_DRIVELINE))
        height = self.mass * GRAVITY_MPS2 * self.height_gain(y[X])
        return y[E_ENGINE] - kinetic - losses - height - self.wound_up(y[TWIST])


class Instant:
    """What the switches and peaks look at."""

    __slots__ = (
        "engine_nm", "clutch_nm", "capacity_nm", "net_n", "rolling_n", "acceleration_mps2", "shaft_nm", "slip_mps",
        "trimmed_to",
    )

    def __init__(self, *values):
        for name, value in zip(self.__slots__, values):
            setattr(self, name, value)
